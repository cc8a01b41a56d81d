"""Market days, what each wants, what is still to come, and what is decided of crates."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from ripenroom.records.limits import (
    Crates,
    CropKey,
    EatWithinDays,
    ExpectedFruit,
    FruitPerBox,
    FruitPerDay,
    Id,
    Moment,
    Name,
    Note,
    PriceMinor,
    SoldAmount,
    WantedFruit,
)

SoldBy = Literal["fruit", "kg", "lb", "box"]
"""What amounts and prices of a want or of second grade are given by."""

MarketKind = Literal["market", "festival", "farm stand", "shop order"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MarketDay:
    """A place and time of sale; it begins at ``starts_at`` (UTC).

    ``eat_within_days`` is how soon its buyers eat the fruit, 0 being the same day; None is as
    usual for the kind of market day and the crop.
    At ``settled_at`` (UTC) it was written down what became of all that was brought.
    """

    id: Id
    name: Name
    kind: MarketKind
    starts_at: Moment
    eat_within_days: EatWithinDays | None = None
    note: Note = ""
    settled_at: Moment | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """A market day wants ``count`` fruit of a crop, each at ``price_minor`` (such as cents).

    One that was given by weight or by box keeps what was typed: an ``amount`` ``sold_by`` a unit,
    each unit at ``unit_price_minor``, a box of ``fruit_per_box``. What that is in fruit stands in
    ``count`` and ``price_minor``, and follows from the season's own fruit (``season/amounts.py``).
    """

    id: Id
    market_day_id: Id
    crop: CropKey
    count: WantedFruit
    price_minor: PriceMinor | None = None
    sold_by: SoldBy = "fruit"
    amount: SoldAmount | None = None
    unit_price_minor: PriceMinor | None = None
    fruit_per_box: FruitPerBox | None = None


Feel = Literal["hard", "slight give", "gives", "soft", "too soft"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedPick:
    """On a day ahead ``count`` fruit are expected from the trees, of one feel, into a place.

    A count of 0 says that nothing more of the crop, or of its cultivar, comes from that day on but
    what is expected by other records. It holds until something is picked on a later day.
    """

    id: Id
    crop: CropKey
    on: date
    count: ExpectedFruit
    place_id: Id
    feel: Feel = "slight give"
    cultivar_id: Id | None = None
    note: Note = ""

    @property
    def nothing_more(self) -> bool:
        """Whether it says that nothing more comes."""
        return self.count == 0


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondGrade:
    """Ripe fruit of a crop that no market day takes, even if just past, is worth ``price_minor``.

    That is for pulp, drying or freezing, so many ``fruit_per_day`` at most (None: any number).
    Given by weight or by box, it keeps what was typed, as a :class:`~.market.Want` does.
    """

    id: Id
    crop: CropKey
    price_minor: PriceMinor
    fruit_per_day: FruitPerDay | None = None
    sold_by: SoldBy = "fruit"
    amount_per_day: SoldAmount | None = None
    unit_price_minor: PriceMinor | None = None
    fruit_per_box: FruitPerBox | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """So many ``crates`` of a batch go this way, whatever else a plan would do with them.

    At ``pull_at`` (UTC) they are moved to ``place_id``; both None: they wait where they are, or
    where moves that are written down bring them. Without a ``market_day_id`` they are kept from
    every market day. Once ``packed_at`` (UTC) they stand packed for it.
    """

    id: Id
    batch_id: Id
    crates: Crates
    pull_at: Moment | None = None
    place_id: Id | None = None
    market_day_id: Id | None = None
    packed_at: Moment | None = None
