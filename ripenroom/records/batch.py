"""Batches of picked fruit, their moves from place to place, and what was taken out of them."""

from dataclasses import dataclass
from typing import Final, Literal

from ripenroom.records.limits import (
    Code,
    CropKey,
    FeltFruit,
    Fruit,
    Id,
    Moment,
    Note,
    PickedFruit,
    PriceMinor,
    ProbeMm,
    PulpC,
    Readings,
    TreatmentH,
    Weight,
)
from ripenroom.units import ForceUnit

FEELS: Final = ("hard", "slight give", "gives", "soft", "too soft")
"""Hand feel, from hardest to softest; ``feel_counts`` are in this order."""

FeelCounts = tuple[FeltFruit, FeltFruit, FeltFruit, FeltFruit, FeltFruit]

Outcome = Literal["sold", "discarded"]

Grade = Literal["first", "second"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """One day's harvest of one row at one firmness; ``code`` is short, such as P-0914-2.

    At least one of ``count`` (fruit) and ``weight_kg`` is known. Firmness at pick is known by
    ``feel_counts`` (fruit of each feel; if fewer than ``count`` they are a sample), or by
    ``readings`` as the gauge showed them, in ``reading_unit`` with a probe of ``probe_mm``.
    ``pulp_c`` is the pulp temperature when picked, if measured. Where the batch waits is said by
    its moves; the first of them is at ``picked_at``. ``split_from`` is the id of the batch that
    this one was part of, which may be gone.

    A batch that came of picking over another one has in ``picked_over`` the id of that check, which
    may be gone; it is what was ``taken`` then, or else part of what was left.
    """

    id: Id
    code: Code
    crop: CropKey
    picked_at: Moment
    cultivar_id: Id | None = None
    row_id: Id | None = None
    count: PickedFruit | None = None
    weight_kg: Weight | None = None
    feel_counts: FeelCounts | None = None
    readings: Readings = ()
    reading_unit: ForceUnit | None = None
    probe_mm: ProbeMm | None = None
    pulp_c: PulpC | None = None
    note: Note = ""
    split_from: Id | None = None
    picked_over: Id | None = None
    taken: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """At ``at`` (UTC) all that is left of the batch comes to the place; may lie ahead (a pull)."""

    id: Id
    batch_id: Id
    at: Moment
    place_id: Id


@dataclass(frozen=True, slots=True, kw_only=True)
class Treatment:
    """From ``at`` (UTC) on a batch was given ethylene for ``hours``."""

    id: Id
    batch_id: Id
    at: Moment
    hours: TreatmentH


@dataclass(frozen=True, slots=True, kw_only=True)
class Removal:
    """Fruit that left a batch for good: sold (perhaps on a market day) or discarded.

    ``price_minor`` is what each was sold for, if known; second ``grade`` went for pulp or freezing.
    """

    id: Id
    batch_id: Id
    at: Moment
    count: Fruit
    outcome: Outcome
    market_day_id: Id | None = None
    grade: Grade = "first"
    price_minor: PriceMinor | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Brought:
    """``count`` fruit of a batch came to a market day; what was not sold or thrown came back."""

    id: Id
    batch_id: Id
    market_day_id: Id
    count: Fruit
