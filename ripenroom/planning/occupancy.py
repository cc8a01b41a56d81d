"""The room that crates take up: in which place they stand, on which evenings.

A place counts as taken on an evening if the crate is there at any time from that evening to the
next. Moves that are decided already may be made at any hour: then both places are taken.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats


@dataclass(frozen=True, slots=True)
class CrateStays:
    """Of each crate: its ``batch``, whose ``stays`` are as written down, where new moves bring it
    (h; nan: none) and when it is gone (h)."""

    stays: Stays
    batch: Indices
    first_h: Floats
    first_place: Indices
    move_h: Floats
    place: Indices
    until_h: Floats

    def of(self, some: slice) -> "CrateStays":
        """Some of them only."""
        return CrateStays(
            self.stays.of(self.batch[some]),
            np.arange(self.batch[some].size),
            self.first_h[some],
            self.first_place[some],
            self.move_h[some],
            self.place[some],
            self.until_h[some],
        )


@dataclass(frozen=True, slots=True)
class Hands:
    """The number of the place that stands for what hands can move on an evening; what was moved
    before ``since_h`` (h) is done."""

    place: int
    since_h: float


SmallIndices = npt.NDArray[np.int16]
"""Numbers of places and evenings, of which a season has few; there are very many ways."""

Room = tuple[SmallIndices, SmallIndices, SmallIndices, np.ndarray]
"""Places in which crates stand, the evening from which on, that until which, and whether a new move
brings them there; all of shape (ways, stays)."""

_CELLS = 500_000
"""Stays of ways that are looked at in one go."""

_HALF_A_DAY_H = 12.0


def taken(ways: CrateStays, evening_h: Floats, hands: Hands | None) -> Room:
    """The room that crates take up. With ``hands`` a crate stands there too on evenings when it is
    moved, be it by a new move or as is decided."""
    step = max(1, _CELLS // ways.stays.start_h.shape[1])
    firsts = range(0, max(1, ways.batch.size), step)
    parts = [_taken(ways.of(slice(first, first + step)), evening_h, hands) for first in firsts]
    # Stays that are over before the first evening take up nothing for anyone.
    some = np.logical_or.reduce([(until > starts).any(axis=0) for _, starts, until, _ in parts])
    where, begin, end, brought = zip(*parts, strict=True)
    tables = [np.concatenate([part[:, some] for part in of]) for of in (where, begin, end)]
    new = np.concatenate([part[:, some] for part in brought])
    return tables[0], tables[1], tables[2], new & (tables[2] > tables[1])


def _taken(ways: CrateStays, evening_h: Floats, hands: Hands | None) -> Room:
    last = np.searchsorted(evening_h, ways.until_h)
    new_h = np.column_stack([ways.first_h, ways.move_h])
    made = np.isfinite(new_h)
    at_h = np.where(made, new_h, np.inf)
    gone = np.searchsorted(evening_h, at_h)
    new_from = np.where(made, _evening(evening_h, at_h), gone)
    new_until = np.where(made, last[:, None], new_from)
    new_until[:, 0] = np.where(made.all(axis=1), gone[:, 1], new_until[:, 0])
    begins = _evening(evening_h, ways.stays.start_h)
    # Padding repeats stays: the repeats have no length, and take up nothing.
    ends = np.searchsorted(evening_h, ways.stays.end_h)
    ends = np.where(ways.stays.end_h > ways.stays.start_h, ends, begins)
    leaves = np.minimum(gone.min(axis=1), last)
    place = [ways.stays.place, ways.first_place[:, None], ways.place[:, None]]
    stay_from, stay_until = [begins, new_from], [np.minimum(ends, leaves[:, None]), new_until]
    new = [np.zeros(begins.shape, bool), made]
    if hands is not None:
        moved_h = np.column_stack([ways.stays.start_h[:, 1:], at_h])
        told = np.column_stack([np.diff(ways.stays.start_h, axis=1) > 0.0, made])
        told &= (moved_h > hands.since_h) & (moved_h < ways.until_h[:, None])
        evening, in_reach = _nearest(evening_h, moved_h)
        place.append(np.full(moved_h.shape, hands.place))
        stay_from.append(evening)
        stay_until.append(evening + (told & in_reach))
        new.append(np.column_stack([np.zeros((begins.shape[0], begins.shape[1] - 1), bool), made]))
    starts = np.concatenate(stay_from, axis=1)
    until = np.concatenate(stay_until, axis=1)
    until = np.clip(until, starts, np.maximum(starts, evening_h.size))
    where = np.concatenate(place, axis=1)
    small = [table.astype(np.int16) for table in (where, starts, until)]
    return small[0], small[1], small[2], np.concatenate(new, axis=1)


def _evening(evening_h: Floats, hours: Floats) -> Indices:
    """The evening before each hour, or at it; the first if there is none."""
    return np.maximum(np.searchsorted(evening_h, hours, side="right") - 1, 0)


def _nearest(evening_h: Floats, hours: Floats) -> tuple[Indices, np.ndarray]:
    """The evening nearest to each hour, and whether it is on the same day."""
    evening = _evening(evening_h - _HALF_A_DAY_H, hours)
    if not evening_h.size:
        return evening, np.zeros(hours.shape, bool)
    return evening, np.abs(hours - evening_h[evening]) <= _HALF_A_DAY_H
