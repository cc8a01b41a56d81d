"""What is known of the last plan's itineraries, so that an edit that touches no fruit asks no more.

To find itineraries is most of the work of a plan. What is expected on them hangs on the fruit, the
places, when market days are and what was learned: not on what they want or pay, on pins, or on
the minute at which is asked.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace

import numpy as np

from ripenroom.planning.itineraries import FoundItineraries, ItineraryInput
from ripenroom.records.market import MarketDay
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.room_clocks import Schedule
from ripenroom.season.state import SeasonState


@dataclass(frozen=True, slots=True)
class ItineraryBasis:
    """All that a plan's itineraries, and what is expected on them, follow from.

    Where none of it has changed since the last plan, its itineraries are used again.

    Crops and what was learned are what ``state`` holds, ``end_h`` (h) is when all market days are
    over. ``choices`` hold prices as well, by which those are chosen that are kept of very many:
    other prices would choose others, but these stay as good as they are.
    """

    state: SeasonState
    choices: ItineraryInput
    lines: BatchColumns
    schedules: Mapping[str, Schedule]
    days: Sequence[MarketDay]
    end_h: float

    def as_before(self, other: "ItineraryBasis") -> bool:
        """Whether all of it is as it was when ``other`` was asked."""
        one, two, two_lines = self.state, other.state, other.lines
        return (
            one.crops is two.crops
            and one.learned is two.learned
            and one.zone == two.zone
            and self.end_h == other.end_h
            and self.days == other.days
            and self.schedules == other.schedules
            and _same(replace(self.choices, price=other.choices.price), other.choices)
            # How much was taken away meanwhile is no matter for what becomes of the rest.
            and _same(
                replace(self.lines, picked=two_lines.picked, taken=two_lines.taken), two_lines
            )
        )


@dataclass(frozen=True, slots=True)
class ReusedItineraries:
    """What was ``asked``, what was ``found``, and what a usual crate was worth (``unit``)."""

    asked: ItineraryBasis
    found: FoundItineraries
    unit: float


def _same(one: object, other: object) -> bool:
    """Whether two values, with all arrays in them, are equal; nan equals nan."""
    if one is other:
        return True
    if type(one) is not type(other):
        return False
    if isinstance(one, np.ndarray) and isinstance(other, np.ndarray):
        floats = one.dtype.kind == "f"
        return bool(np.array_equal(one, other, equal_nan=floats))
    if is_dataclass(one):
        return all(_same(getattr(one, f.name), getattr(other, f.name)) for f in fields(one))
    return bool(one == other)
