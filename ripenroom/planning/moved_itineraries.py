"""Batches that are moved, once or twice: the best evenings and places for every market day.

Fruit that stands warm may be put somewhere cooler on the first evening, and be moved again later.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from ripenroom.planning.choices import LEAST_SHARE, ItineraryInput, Journeys, Look, Selling
from ripenroom.planning.problem import NO_WANT
from ripenroom.planning.prospects import Prospects
from ripenroom.planning.search_limits import MOST_PLACES, looked_at, places_for
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
    wait = np.arange(evenings) - choices.first_evening[batch][:, None]
    sales = sales_of(choices)
    tried = moves_of(choices, starts, looked_at(wait, sales, 1 if simple is None else _THEN_EVERY))
    own, target, evening, to = tried.start, tried.target, tried.evening, tried.to
    most = np.zeros((batch.size, days))
    if not own.size:
        return most, []
    journeys, move_h = tried.journeys, choices.evening_h[evening]
    first_day = first_days(choices)
    first_evening = choices.first_evening[batch].clip(max=evenings - 1)
    shape = batch.size, to.shape[1], evenings
    worth = np.zeros((*shape, days))
    seen: list[tuple[tuple[Indices, ...], Prospects]] = []
    for some in by_evening(evening):
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


def by_evening(evening: Indices, groups: int = _GROUPS) -> list[Indices]:
    """Moves in a few groups, those on the earliest evenings first: market days before a move are
    no matter for it."""
    order = np.argsort(evening, kind="stable")
    return [some for some in np.array_split(order, groups) if some.size]


def first_days(choices: ItineraryInput) -> Indices:
    """The first market day after each evening."""
    return np.searchsorted(choices.start_h, choices.evening_h, side="right")


def sales_of(choices: ItineraryInput) -> int:
    """How many single moves of all batches, with every market day after each, there would be."""
    batches, days = choices.want_of.shape
    places = min(choices.destinations.size, MOST_PLACES)
    return int(batches * places * (days - first_days(choices)).sum())


@dataclass(frozen=True, slots=True)
class Moves:
    """Moves that can be tried: of which ``start``, to which ``target`` of its own places ``to``,
    (starts, places), on which ``evening``; all but ``to`` of one shape, as are the ``journeys``."""

    start: Indices
    target: Indices
    evening: Indices
    to: Indices
    journeys: Journeys


def moves_of(choices: ItineraryInput, starts: FirstMoves, looked: np.ndarray) -> Moves:
    """Moves of starts that can be tried, on evenings that are ``looked`` at, (starts, evenings).

    Of what was put somewhere before, a second move."""
    batch, first = starts.batch, starts.first_place
    # Of each batch, the destinations that it may go to.
    to = choices.destinations[places_for(batch, choices.place_c[choices.destinations])]
    wait = np.arange(choices.evening_h.size) - choices.first_evening[batch][:, None]
    # Fruit is not moved once it is past where it stands.
    possible = (wait >= 0) & (choices.evening_h < starts.gone_h[:, None]) & looked
    possible &= first_days(choices) < choices.start_h.size
    put_away = first >= 0
    here = np.where(put_away, first, choices.stays.place[batch, -1])
    # What was put in the cold is moved to where it ripens, not about in the cold.
    celsius = choices.place_c
    elsewhere = to != here[:, None]
    elsewhere &= ~put_away[:, None] | (celsius[first][:, None] <= celsius[to] - COOLER_K)
    possible &= ~put_away[:, None] | (wait > 0)
    own, target, evening = np.nonzero(elsewhere[:, :, None] & possible[:, None, :])
    journeys = Journeys(batch[own], choices.evening_h[evening], to[own, target])
    if put_away.any():
        first_evening = choices.first_evening[batch].clip(max=choices.evening_h.size - 1)
        first_h = choices.evening_h[first_evening]
        journeys = replace(journeys, first_h=first_h[own], first_place=first[own])
    return Moves(own, target, evening, to, journeys)
