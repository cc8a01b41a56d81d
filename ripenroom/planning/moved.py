"""Batches that are moved, once or twice: the best evenings and places for every market day.

Fruit that stands warm may be put somewhere cooler on the first evening, and be moved again later.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from ripenroom.planning.bounded import looked_at, places_for
from ripenroom.planning.choices import LEAST_SHARE, ItineraryInput, Journeys, Look, Selling
from ripenroom.planning.problem import NO_WANT
from ripenroom.planning.prospects import Prospects
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

BEST_PULLS = 3
"""Evenings kept for each batch, market day and place."""

BEST_TWICE = 1
"""Evenings kept for each batch, market day and pair of places, where it is moved twice."""

LEAST_OF_BEST = 0.25
"""A move is dropped if it leaves less than this part of the batch's largest saleable share."""

COOLER_K = 3.0
"""Fruit is put away in a place that is cooler by so much at least ..."""

COOL_PLACES = 2
"""... and only in one of so many coldest."""

_THEN_EVERY = 3
"""What is put away is moved again on one of the next evenings, or on every third after them: it
will be planned for again before then."""

_GROUPS = 4
"""Groups of evenings, each of which is looked at with the market days after its first."""


def to_put_away(choices: ItineraryInput, batch: Indices) -> tuple[Indices, Indices]:
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
class FirstMoves:
    """Batches, where each is put on its first evening (-1: nowhere), and when it is past there."""

    batch: Indices
    first_place: Indices
    gone_h: Floats


def moved(
    choices: ItineraryInput,
    markets: Callable[[int], Look],
    starts: FirstMoves,
    best: Floats,
    simple: Floats | None,
) -> tuple[Floats, list[Selling]]:
    """The best of what a (further) move can do: its shares (starts, days), and those kept."""
    batch, first = starts.batch, starts.first_place
    evenings, days = choices.evening_h.size, choices.start_h.size
    # Of each batch, the destinations that it may go to.
    to = choices.destinations[places_for(batch, choices.place_c[choices.destinations])]
    shape = batch.size, to.shape[1], evenings
    wait = np.arange(evenings) - choices.first_evening[batch][:, None]
    # Fruit is not moved once it is past where it stands.
    possible = (wait >= 0) & (choices.evening_h < starts.gone_h[:, None])
    here = np.where(first >= 0, first, choices.stays.place[batch, -1])
    elsewhere = to != here[:, None]
    first_day = np.searchsorted(choices.start_h, choices.evening_h, side="right")
    sales = choices.gone_h.size * to.shape[1] * int((days - first_day).sum())
    possible &= first_day < days
    possible &= looked_at(wait, sales, 1 if simple is None else _THEN_EVERY)
    if simple is not None:
        # What was put in the cold is moved to where it ripens, not about in the cold.
        celsius = choices.place_c
        elsewhere &= celsius[first][:, None] <= celsius[to] - COOLER_K
        possible &= wait > 0
    own, target, evening = np.nonzero(elsewhere[:, :, None] & possible[:, None, :])
    most = np.zeros((batch.size, days))
    if not own.size:
        return most, []
    move_h = choices.evening_h[evening]
    first_evening = choices.first_evening[batch].clip(max=evenings - 1)
    journeys = Journeys(batch[own], move_h, to[own, target])
    if simple is not None:
        first_h = choices.evening_h[first_evening]
        journeys = replace(journeys, first_h=first_h[own], first_place=first[own])
    worth = np.zeros((*shape, days))
    seen: list[tuple[tuple[Indices, ...], Prospects]] = []
    for some in _by_evening(evening):
        day = int(first_day[evening[some]].min())
        expected = markets(day)(journeys.of(some))
        share = expected.expected()
        serves = choices.want_of[batch[own[some]], day:] != NO_WANT
        serves &= move_h[some, None] < choices.start_h[day:]
        row, later = np.nonzero(serves & (share >= LEAST_SHARE))
        cells: tuple[Indices, ...]
        cells = own[some][row], target[some][row], evening[some][row], day + later
        worth[cells] = share[row, later]
        seen.append((cells, expected.at(row, later)))
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
    found = []
    for where, expected in seen:
        chosen = np.flatnonzero(kept[where])
        start, place, pull, market = (index[chosen] for index in where)
        found.append(
            Selling(
                batch[start],
                choices.want_of[batch[start], market],
                first[start],
                np.where(first[start] >= 0, first_evening[start], -1),
                to[start, place],
                pull,
                worth[start, place, pull, market],
                choices.start_h[market],
                expected.of(chosen),
            )
        )
    return most, found


def _by_evening(evening: Indices) -> list[Indices]:
    """Moves in a few groups, those on the earliest evenings first: market days before a move are
    no matter for it."""
    order = np.argsort(evening, kind="stable")
    return [some for some in np.array_split(order, _GROUPS) if some.size]
