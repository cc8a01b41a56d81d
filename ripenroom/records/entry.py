"""What is entered before it is a record: a pick, a check, hand-feel counts as they are typed."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ripenroom.records.batch import FEELS, FeelCounts
from ripenroom.records.limits import (
    CropKey,
    Id,
    Moment,
    Note,
    PickedFruit,
    PickedWeight,
    ProbeMm,
    PulpC,
    Readings,
)
from ripenroom.records.refusal import Refusal
from ripenroom.units import ForceUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class PickEntry:
    """What the pick form or the command line hands over; times are aware, mass and heat are SI.

    With ``split_by_feel`` and feel counts of several feels, one batch is made of each feel.
    """

    crop: CropKey
    place_id: Id
    picked_at: Moment
    cultivar_id: Id | None = None
    row_id: Id | None = None
    count: PickedFruit | None = None
    weight_kg: PickedWeight | None = None
    feel_counts: FeelCounts | None = None
    readings: Readings = ()
    reading_unit: ForceUnit | None = None
    probe_mm: ProbeMm | None = None
    pulp_c: PulpC | None = None
    note: Note = ""
    split_by_feel: bool = True
    answered: frozenset[str] = frozenset()
    """Fields whose question (see :class:`ripenroom.records.refusal.Question`) was answered yes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckEntry:
    """What the check form or the command line hands over; ``at`` is aware.

    Either ``feel_counts`` or ``readings`` (as the gauge showed them) with their unit.
    """

    batch_id: Id
    at: Moment
    feel_counts: FeelCounts | None = None
    readings: Readings = ()
    reading_unit: ForceUnit | None = None
    probe_mm: ProbeMm | None = None
    note: Note = ""
    answered: frozenset[str] = frozenset()
    """Fields whose question (see :class:`ripenroom.records.refusal.Question`) was answered yes."""


_BETWEEN = re.compile(r"[\s,;/+·]+")


def feel_parts(text: str) -> list[str]:
    """What stands between the spaces, commas and the like of a typed line, hardest feel first."""
    return [part for part in _BETWEEN.split(text.strip()) if part]


def parse_feel_counts(text: str, looks: Sequence[str] = ()) -> FeelCounts | None:
    """Fruit of each feel from a typed line; None if nothing was typed.

    Four numbers leave out "too soft". Raises ``Refusal`` for anything else, in the words of
    ``looks`` where fruit is looked at instead: five of them, greenest first.

    >>> parse_feel_counts("3 9 6 2")
    (3, 9, 6, 2, 0)
    """
    parts = feel_parts(text)
    if not parts:
        return None
    if not all(part.isdecimal() and len(part) < 10 for part in parts):
        raise Refusal(
            "feel_counts",
            "Color: type whole numbers with spaces between, such as 3 9 6 2, not “{typed}”."
            if looks
            else "Hand feel: type whole numbers with spaces between, such as 3 9 6 2, not "
            "“{typed}”.",
            typed=text.strip(),
        )
    if len(parts) not in (4, 5):
        if looks:
            raise Refusal(
                "feel_counts",
                "Color: type 4 or 5 numbers, not {given}: {first}, and {last} if any. Type 0"
                " for none.",
                given=len(parts),
                first=", ".join(looks[:-1]),
                last=looks[-1],
            )
        raise Refusal(
            "feel_counts",
            "Hand feel: type 4 or 5 numbers, not {given}: hard, slight give, gives, soft, and"
            " too soft if any. Type 0 for none.",
            given=len(parts),
        )
    counts = [int(part) for part in parts] + [0] * (len(FEELS) - len(parts))
    if not any(counts):
        return None
    return (counts[0], counts[1], counts[2], counts[3], counts[4])
