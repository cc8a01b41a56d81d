"""Which itineraries are worth thinking about.

Every batch may wait where it is, or be moved on any evening to any other place, and go to any
market day that wants its crop. That is far more than can matter: kept are the best three evenings
for each batch, market day and place, and of these only what is worth half of the batch's best.

Fruit that stands warm may also be put somewhere cooler on the first evening, and be moved again
later. Fruit that no market takes may go for second grade, from where it stands.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from ripenroom.planning.occupancy import Ways, taken
from ripenroom.planning.problem import FREE, NO_WANT, Itineraries
from ripenroom.planning.prospects import Prospects
from ripenroom.science.blocks import joined
from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats

BEST_PULLS = 3
"""Evenings kept for each batch, market day and place."""

BEST_TWICE = 1
"""Evenings kept for each batch, market day and pair of places, where it is moved twice."""

BEST_SECOND = 6
"""Evenings kept on which a batch may be sold for second grade."""

LEAST_OF_BEST = 0.5
"""A move is dropped if it leaves less than this part of the batch's largest saleable share."""

COOLER_K = 3.0
"""Fruit is put away in a place that is cooler by so much at least ..."""

COOL_PLACES = 2
"""... and only in one of so many coldest."""

EVERY_EVENING = 8
FEW_EVENINGS = 3
"""What is put away is moved again on one of so many next evenings, or on every third after them: it
will be planned for again before then."""

LEAST_SHARE = 0.1
"""Crates with a smaller saleable share are more trouble to sort at a stall than they bring."""

_BLOCK = 2_000_000
"""Shares looked at in one go, so that memory stays in bounds."""


@dataclass(frozen=True, slots=True)
class Journeys:
    """Hypothetical journeys: of which batch, and moved when (h; nan: not at all) to which place.

    Before that move, one at ``first_h`` (nan: none) may bring it to ``first_place``.
    """

    batch: Indices
    move_h: Floats
    place: Indices
    first_h: Floats | None = None
    first_place: Indices | None = None


Look = Callable[[Journeys], Prospects]
"""What the science expects on journeys, at every market day, or on every evening."""

Closes = Callable[[Journeys], Floats]
"""When fruit on journeys is past (h; inf: never)."""


@dataclass(frozen=True, slots=True)
class Views:
    """What can be asked about journeys: ``markets`` sees market days, ``second`` evenings of second
    grade, ``closes`` tells when the fruit is past."""

    markets: Look
    second: Look
    closes: Closes


@dataclass(frozen=True, slots=True)
class Choices:
    """All that itineraries are made from; times in hours, one line per batch.

    ``stays`` are where batches have been and will be as written down; where ``written`` nothing
    else is proposed. ``gone_h`` is when fruit that is left where it is will be cleared away.
    ``want_of`` (batches, market days) numbers the want that a batch can serve there, or is
    ``NO_WANT``; ``second_of`` (batches, evenings) likewise for second grade. ``evening_h`` are
    when moves can be made, ``first_evening`` the first for each batch, ``destinations`` where to.
    ``place_c`` (C) is how warm each place is then. ``hands`` numbers the place that stands for
    what hands can move, if that is limited.
    """

    stays: Stays
    written: np.ndarray
    gone_h: Floats
    want_of: Indices
    second_of: Indices
    start_h: Floats
    evening_h: Floats
    first_evening: Indices
    destinations: Indices
    place_c: Floats
    hands: int | None


@dataclass(frozen=True, slots=True)
class _Selling:
    """Itineraries that sell something, until ``until_h``; the rest as in :class:`Itineraries`."""

    batch: Indices
    want: Indices
    first_place: Indices
    first: Indices
    place: Indices
    pull: Indices
    share: Floats
    until_h: Floats
    prospects: Prospects


def find(choices: Choices, views: Views) -> tuple[Itineraries, Prospects | None]:
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
            parts += _selling(choices, views, block)
    if (choices.second_of != NO_WANT).any():
        parts.append(_for_second_grade(choices, views.second))
    whole = joined(parts) if parts else None
    left = _left(choices)
    columns = [left] if whole is None else [whole, left]

    def of_both(name: str) -> np.ndarray:
        return np.concatenate([getattr(part, name) for part in columns])

    batch, pull, first_move = of_both("batch"), of_both("pull"), of_both("first")
    evening_h = np.append(choices.evening_h, np.nan)
    room = taken(
        Ways(
            choices.stays.of(batch),
            evening_h[first_move],
            of_both("first_place"),
            evening_h[pull],
            of_both("place"),
            of_both("until_h"),
        ),
        choices.evening_h,
        choices.hands,
    )
    ways = Itineraries(
        batch,
        of_both("want"),
        of_both("first_place"),
        first_move,
        of_both("place"),
        pull,
        of_both("share"),
        np.zeros(batch.size, bool),
        np.full(batch.size, FREE),
        *room,
    )
    return ways, whole.prospects if whole else None


@dataclass(frozen=True, slots=True)
class _Left:
    """Itineraries on which crates are left where they are, one for each batch."""

    batch: Indices
    want: Indices
    first_place: Indices
    first: Indices
    place: Indices
    pull: Indices
    share: Floats
    until_h: Floats


def _left(choices: Choices) -> _Left:
    batches = choices.gone_h.size
    none = np.full(batches, -1)
    last = choices.stays.place[:, -1]
    return _Left(
        np.arange(batches),
        np.full(batches, NO_WANT),
        none,
        none,
        last,
        none,
        np.zeros(batches),
        choices.gone_h,
    )


def standing(stays: Stays, batch: Indices) -> Journeys:
    """Journeys without any new move."""
    return Journeys(batch, np.full(batch.size, np.nan), stays.place[batch, -1])


def _for_second_grade(choices: Choices, look: Look) -> _Selling:
    """Evenings on which batches can be sold for second grade, from where they stand."""
    batch = np.flatnonzero((choices.second_of != NO_WANT).any(axis=1))
    expected = look(standing(choices.stays, batch))
    evening = np.arange(choices.evening_h.size)
    possible = evening >= choices.first_evening[batch][:, None]
    share = np.where(possible, expected.expected(), 0.0)
    kept = share >= LEAST_SHARE
    if evening.size > BEST_SECOND:
        # Of equals the earliest: second grade does not get better by waiting.
        rank = np.argsort(np.argsort(-np.round(share, 3), axis=1, kind="stable"), axis=1)
        kept &= rank < BEST_SECOND
    line, when = np.nonzero(kept)
    none = np.full(line.size, -1)
    return _Selling(
        batch[line],
        choices.second_of[batch[line], when],
        none,
        none,
        choices.stays.place[batch[line], -1],
        none,
        share[line, when],
        choices.evening_h[when],
        expected.at(line, when),
    )


def _selling(choices: Choices, views: Views, block: Indices) -> list[_Selling]:
    """Those of a block of batches: as they stand, moved, and moved twice."""
    served = choices.want_of[block] != NO_WANT
    stand = views.markets(standing(choices.stays, block))
    share = np.where(served, stand.expected(), 0.0)
    line, day = np.nonzero(share >= LEAST_SHARE)
    none = np.full(line.size, -1)
    found = [
        _Selling(
            block[line],
            choices.want_of[block[line], day],
            none,
            none,
            choices.stays.place[block[line], -1],
            none,
            share[line, day],
            choices.start_h[day],
            stand.at(line, day),
        )
    ]
    free = np.flatnonzero(~choices.written[block])
    if not (free.size and choices.evening_h.size and choices.destinations.size):
        return found
    once = _Starts(block[free], np.full(free.size, -1), choices.gone_h[block[free]])
    best = share[free].max(axis=1, initial=0.0)
    worth, moved = _moved(choices, views.markets, once, best, None)
    found += moved
    simple = np.maximum(share[free], worth)
    number, cool = _to_put_away(choices, block[free])
    if number.size:
        own = block[free][number]
        tonight_h = choices.evening_h[choices.first_evening[own]]
        twice = _Starts(own, cool, views.closes(Journeys(own, tonight_h, cool)))
        best = simple[number].max(axis=1, initial=0.0)
        found += _moved(choices, views.markets, twice, best, simple[number])[1]
    return found


def _to_put_away(choices: Choices, batch: Indices) -> tuple[Indices, Indices]:
    """Which of some batches can be put away on their first evening, and in which cool place."""
    evening = choices.first_evening[batch]
    in_time = evening < choices.evening_h.size
    in_time &= np.append(choices.evening_h, np.inf)[evening] < choices.gone_h[batch]
    celsius = choices.place_c[choices.destinations]
    coldest = np.argsort(celsius, kind="stable")[:COOL_PLACES]
    here_c = choices.place_c[choices.stays.place[batch, -1]]
    cooler = celsius[coldest] <= here_c[:, None] - COOLER_K
    number, which = np.nonzero(cooler & in_time[:, None])
    return number, choices.destinations[coldest][which]


@dataclass(frozen=True, slots=True)
class _Starts:
    """Batches, where each is put on its first evening (-1: nowhere), and when it is past there."""

    batch: Indices
    first_place: Indices
    gone_h: Floats


def _moved(
    choices: Choices, look: Look, starts: _Starts, best: Floats, simple: Floats | None
) -> tuple[Floats, list[_Selling]]:
    """The best of what a (further) move can do: its shares (starts, days), and those kept."""
    batch, first = starts.batch, starts.first_place
    evenings, places = choices.evening_h.size, choices.destinations.size
    shape = batch.size, places, evenings
    wait = np.arange(evenings) - choices.first_evening[batch][:, None]
    # Fruit is not moved once it is past where it stands.
    possible = (wait >= 0) & (choices.evening_h < starts.gone_h[:, None])
    here = np.where(first >= 0, first, choices.stays.place[batch, -1])
    elsewhere = choices.destinations != here[:, None]
    if simple is not None:
        # What was put in the cold is moved to where it ripens, not about in the cold.
        celsius = choices.place_c
        elsewhere &= celsius[first][:, None] <= celsius[choices.destinations] - COOLER_K
        possible &= (wait > 0) & ((wait <= EVERY_EVENING) | (wait % FEW_EVENINGS == 0))
    own, target, evening = np.nonzero(elsewhere[:, :, None] & possible[:, None, :])
    most = np.zeros((batch.size, choices.start_h.size))
    if not own.size:
        return most, []
    move_h = choices.evening_h[evening]
    first_evening = choices.first_evening[batch].clip(max=evenings - 1)
    journeys = Journeys(batch[own], move_h, choices.destinations[target])
    if simple is not None:
        first_h = choices.evening_h[first_evening]
        journeys = replace(journeys, first_h=first_h[own], first_place=first[own])
    moved = look(journeys)
    serves = (choices.want_of[batch[own]] != NO_WANT) & (move_h[:, None] < choices.start_h)
    worth = np.zeros((*shape, choices.start_h.size))
    worth[own, target, evening] = np.where(serves, moved.expected(), 0.0)
    number = np.zeros(shape, dtype=np.intp)
    number[own, target, evening] = np.arange(own.size)
    most = worth.max(axis=(1, 2))
    least = LEAST_OF_BEST * np.maximum(best, most.max(axis=1))
    kept = worth >= np.maximum(least, LEAST_SHARE)[:, None, None, None]
    if simple is not None:
        # Two moves have to leave as much as one or none.
        kept &= worth >= simple[:, None, None, :]
    best_pulls = BEST_PULLS if simple is None else BEST_TWICE
    if evenings > best_pulls:
        order = np.argpartition(-worth, best_pulls, axis=2)[:, :, :best_pulls]
        among_best = np.zeros(worth.shape, bool)
        np.put_along_axis(among_best, order, True, axis=2)
        kept &= among_best
    own, target, evening, day = np.nonzero(kept)
    selling = _Selling(
        batch[own],
        choices.want_of[batch[own], day],
        first[own],
        np.where(first[own] >= 0, first_evening[own], -1),
        choices.destinations[target],
        evening,
        worth[kept],
        choices.start_h[day],
        moved.at(number[own, target, evening], day),
    )
    return most, [selling]
