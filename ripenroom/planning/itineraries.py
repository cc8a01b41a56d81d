"""Which itineraries are worth thinking about.

Every batch may wait where it is, or be moved on any evening to any other place, and go to any
market day that wants its crop. That is far more than can matter: kept are the best three evenings
for each batch, market day and place, and of these only what is worth half of the batch's best.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ripenroom.planning.problem import NO_WANT, Itineraries
from ripenroom.planning.prospects import Prospects
from ripenroom.science.blocks import joined
from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats

BEST_PULLS = 3
"""Evenings kept for each batch, market day and place."""

LEAST_OF_BEST = 0.5
"""A move is dropped if it leaves less than this part of the batch's largest saleable share."""

LEAST_SHARE = 0.1
"""Crates with a smaller saleable share are more trouble to sort at a stall than they bring."""

_BLOCK = 2_000_000
"""Shares looked at in one go, so that memory stays in bounds."""


@dataclass(frozen=True, slots=True)
class Journeys:
    """Hypothetical journeys: of which batch, and moved when (h; nan: not at all) to which place."""

    batch: Indices
    move_h: Floats
    place: Indices


Look = Callable[[Journeys], Prospects]
"""What the science expects on journeys, at every market day."""


@dataclass(frozen=True, slots=True)
class Choices:
    """All that itineraries are made from; times in hours, one line per batch.

    ``stays`` are where batches have been and will be as written down; where ``pinned`` nothing
    else is proposed. ``gone_h`` is when fruit that is left where it is will be cleared away.
    ``want_of`` (batches, market days) numbers the want that a batch can serve there, or is
    ``NO_WANT``. ``evening_h`` are when moves can be made, ``destinations`` where to.
    """

    stays: Stays
    pinned: np.ndarray
    gone_h: Floats
    want_of: Indices
    start_h: Floats
    evening_h: Floats
    destinations: Indices


def find(choices: Choices, look: Look) -> tuple[Itineraries, Prospects | None]:
    """The itineraries worth thinking about, and what is expected on those that sell something.

    Those that sell come first; then, one for each batch, those on which a crate is left where it
    is. Prospects have one line for each that sells; None if there are none.
    """
    batches, days = choices.want_of.shape
    grid = max(1, choices.destinations.size * choices.evening_h.size)
    step = max(1, _BLOCK // (grid * max(1, days)))
    parts: list[_Selling] = []
    if (choices.want_of != NO_WANT).any():
        for first in range(0, batches, step):
            block = np.arange(first, min(first + step, batches))
            parts += _selling(choices, look, block)
    whole = joined(parts) if parts else None
    left = np.arange(batches)
    none = np.full(batches, -1)
    batch, place, pull = left, choices.stays.place[:, -1], none
    want, share, until_h = np.full(batches, NO_WANT), np.zeros(batches), choices.gone_h
    if whole:
        batch = np.concatenate([whole.batch, batch])
        place = np.concatenate([whole.place, place])
        pull = np.concatenate([whole.pull, pull])
        want = np.concatenate([choices.want_of[whole.batch, whole.day], want])
        share = np.concatenate([whole.share, share])
        until_h = np.concatenate([choices.start_h[whole.day], until_h])
    ways = Itineraries(
        batch,
        want,
        place,
        pull,
        share,
        np.zeros(batch.size, bool),
        *_room_taken(choices, batch, place, pull, until_h),
    )
    return ways, whole.prospects if whole else None


@dataclass(frozen=True, slots=True)
class _Selling:
    """Itineraries that sell something; ``day`` numbers the market day, the rest as outside."""

    batch: Indices
    day: Indices
    place: Indices
    pull: Indices
    share: Floats
    prospects: Prospects


def _selling(choices: Choices, look: Look, block: Indices) -> list[_Selling]:
    """Those of a block of batches: as they stand, and moved."""
    served = choices.want_of != NO_WANT
    last = choices.stays.place[:, -1]
    standing = Journeys(block, np.full(block.size, np.nan), last[block])
    stand = look(standing)
    share = np.where(served[block], stand.expected(), 0.0)
    line, day = np.nonzero(share >= LEAST_SHARE)
    none = np.full(line.size, -1)
    found = [
        _Selling(block[line], day, last[block][line], none, share[line, day], stand.at(line, day))
    ]
    free = block[~choices.pinned[block]]
    evenings, places = choices.evening_h.size, choices.destinations.size
    if not (free.size and evenings and places):
        return found
    shape = free.size, places, evenings
    # Fruit is not moved once it is past where it stands.
    in_time = choices.evening_h < choices.gone_h[free][:, None]
    elsewhere = choices.destinations != last[free][:, None]
    own, target, evening = np.nonzero(elsewhere[:, :, None] & in_time[:, None, :])
    if not own.size:
        return found
    move_h = choices.evening_h[evening]
    moved = look(Journeys(free[own], move_h, choices.destinations[target]))
    serves = served[free[own]] & (move_h[:, None] < choices.start_h)
    worth = np.zeros((*shape, choices.start_h.size))
    worth[own, target, evening] = np.where(serves, moved.expected(), 0.0)
    number = np.zeros(shape, dtype=np.intp)
    number[own, target, evening] = np.arange(own.size)
    best = np.zeros(choices.want_of.shape[0])
    best[block] = share.max(axis=1)
    least = LEAST_OF_BEST * np.maximum(best[free], worth.max(axis=(1, 2, 3)))
    kept = worth >= np.maximum(least, LEAST_SHARE)[:, None, None, None]
    if evenings > BEST_PULLS:
        order = np.argpartition(-worth, BEST_PULLS, axis=2)[:, :, :BEST_PULLS]
        among_best = np.zeros(worth.shape, bool)
        np.put_along_axis(among_best, order, True, axis=2)
        kept &= among_best
    own, target, evening, day = np.nonzero(kept)
    found.append(
        _Selling(
            free[own],
            day,
            choices.destinations[target],
            evening,
            worth[kept],
            moved.at(number[own, target, evening], day),
        )
    )
    return found


def _room_taken(
    choices: Choices, batch: Indices, place: Indices, pull: Indices, until_h: Floats
) -> tuple[Indices, Indices, Indices]:
    """In which places a crate on each itinerary stands, from which evening until which."""
    evening_h = choices.evening_h
    stays = choices.stays
    last = np.searchsorted(evening_h, until_h)[:, None]
    moved = pull >= 0
    leaves = np.where(moved, pull, evening_h.size)[:, None]
    begins = np.searchsorted(evening_h, stays.start_h)[batch]
    ends = np.searchsorted(evening_h, stays.end_h)[batch]
    until = np.minimum(np.minimum(ends, leaves), last)
    own = np.where(moved, pull, 0)[:, None], np.where(moved[:, None], last, 0)
    stay_place = np.concatenate([stays.place[batch], place[:, None]], axis=1)
    stay_from = np.concatenate([begins, own[0]], axis=1)
    stay_until = np.concatenate([until, own[1]], axis=1)
    stay_until = np.maximum(stay_from, stay_until)
    # Stays that are over before the first evening take up nothing for anyone.
    some = (stay_until > stay_from).any(axis=0)
    return stay_place[:, some], stay_from[:, some], stay_until[:, some]
