"""Which room a crate takes up on its way: in which place it stands, on which evenings."""

from dataclasses import dataclass

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats


@dataclass(frozen=True, slots=True)
class Ways:
    """Of each crate: its stays as written down, where new moves bring it (h; nan: none) and when
    it is gone (h)."""

    stays: Stays
    first_h: Floats
    first_place: Indices
    move_h: Floats
    place: Indices
    until_h: Floats


def taken(ways: Ways, evening_h: Floats, hands: int | None) -> tuple[Indices, Indices, Indices]:
    """Places in which crates stand, the evening from which on, and that until which; (ways, stays).

    Where ``hands`` is the number of a place, a crate stands there too on evenings when it is moved.
    """
    last = np.searchsorted(evening_h, ways.until_h)
    new_h = np.column_stack([ways.first_h, ways.move_h])
    made = np.isfinite(new_h)
    new_from = np.searchsorted(evening_h, np.where(made, new_h, 0.0))
    new_until = np.where(made, last[:, None], new_from)
    new_until[:, 0] = np.where(made.all(axis=1), new_from[:, 1], new_until[:, 0])
    leaves = np.where(made, new_from, evening_h.size).min(axis=1)
    begins = np.searchsorted(evening_h, ways.stays.start_h)
    ends = np.searchsorted(evening_h, ways.stays.end_h)
    place = [ways.stays.place, ways.first_place[:, None], ways.place[:, None]]
    stay_from = [begins, new_from]
    stay_until = [np.minimum(np.minimum(ends, leaves[:, None]), last[:, None]), new_until]
    if hands is not None:
        place.append(np.full(new_from.shape, hands))
        stay_from.append(new_from)
        stay_until.append(new_from + made)
    starts = np.concatenate(stay_from, axis=1)
    until = np.concatenate(stay_until, axis=1)
    until = np.clip(until, starts, np.maximum(starts, evening_h.size))
    # Stays that are over before the first evening take up nothing for anyone.
    some = (until > starts).any(axis=0)
    return np.concatenate(place, axis=1)[:, some], starts[:, some], until[:, some]
