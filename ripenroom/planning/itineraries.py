"""Finds, for each batch, the itineraries (moves, then a market day) that a plan chooses from.

Every batch may wait where it is, or be moved on any evening to any other place, and go to any
market day that wants its crop. That is far more than can matter: kept are the best three evenings
for each batch, market day and place, and of these only what is worth half of the batch's best. Of
very many batches fewer are kept (:mod:`ripenroom.planning.search_limits`).

Fruit that stands warm may also be put somewhere cooler on the first evening, and be moved again
later. Fruit that no market takes may go for second grade, from where it stands.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ripenroom.planning.choices import (
    LEAST_SHARE,
    ItineraryInput,
    Journeys,
    JourneyViews,
    Look,
    Selling,
    standing,
)
from ripenroom.planning.moved_itineraries import FirstMoves, moved, sales_of, to_put_away
from ripenroom.planning.occupancy import CrateStays, taken
from ripenroom.planning.paying_itineraries import paying
from ripenroom.planning.problem import FREE, NO_WANT, Itineraries
from ripenroom.planning.prospects import Prospects
from ripenroom.planning.rough_itineraries import Tried, tried_roughly
from ripenroom.planning.search_limits import MOST_EXACT, MOST_PLACES, LeftOutItineraries, kept
from ripenroom.science.blocks import joined
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

__all__ = [
    "BEST_SECOND",
    "LEAST_SHARE",
    "FoundItineraries",
    "ItineraryInput",
    "JourneyViews",
    "Journeys",
    "Look",
    "find",
]

BEST_SECOND = 6
"""Evenings kept on which a batch may be sold for second grade."""

_WORTH_PUTTING_AWAY = 0.1
"""By so much more of a batch has to keep in a cooler place to be put there for later."""

_BLOCK = 1_500_000
"""Shares looked at in one go, so that memory stays in bounds: each is a few numbers, and some
thirty where the fruit is saleable."""


@dataclass(frozen=True, slots=True)
class FoundItineraries:
    """The itineraries worth thinking about, what is expected on those that sell something, and
    what was left out for its number (None: nothing).

    Those that sell come first; then, one for each batch, those on which a crate is left where it
    is. Prospects have one line for each that sells; None if there are none. ``chosen`` says whether
    they are only those that pay.
    """

    ways: Itineraries
    prospects: Prospects | None
    left_out: LeftOutItineraries | None
    chosen: bool


def find(choices: ItineraryInput, views: JourneyViews) -> FoundItineraries:
    """The itineraries worth thinking about, and what is expected on them."""
    second: list[Selling] = []
    left = _left(choices, views)
    if (choices.second_of != NO_WANT).any():
        second.append(_for_second_grade(choices, views.second))
    parts: list[Selling] = []
    left_out: list[LeftOutItineraries] = []
    chosen = views.short_by is not None
    chosen &= choices.at_once or sales_of(choices) > MOST_EXACT
    if (choices.want_of != NO_WANT).any():
        if chosen:
            parts, left_out = _those_that_pay(choices, views, [*second, left])
        else:
            parts, left_out = _all_that_sell(choices, views)
    parts += second
    whole = joined(parts) if parts else None
    parts.clear()
    ways = _ways(choices, [left] if whole is None else [whole, left])
    out = joined(left_out) if left_out else None
    return FoundItineraries(ways, None if whole is None else whole.prospects, out, chosen)


def _all_that_sell(
    choices: ItineraryInput, views: JourneyViews
) -> tuple[list[Selling], list[LeftOutItineraries]]:
    """All ways of batches to market days, as they are; and what was left out for its number."""
    batches, days = choices.want_of.shape
    places = min(choices.destinations.size, MOST_PLACES)
    step = max(1, _BLOCK // max(1, places * choices.evening_h.size * days))
    parts: list[Selling] = []
    left_out: list[LeftOutItineraries] = []
    for first in range(0, batches, step):
        block = np.arange(first, min(first + step, batches))
        found = joined(_selling(choices, views, block))
        moves = (found.pull >= 0).astype(np.intp) + (found.first >= 0)
        some, out = kept(found.batch, found.want, moves, found.share, choices.price, batches)
        if out is not None:
            found = found.of(some)
            left_out.append(out)
        parts.append(found)
    return parts, left_out


def _those_that_pay(
    choices: ItineraryInput, views: JourneyViews, others: "list[Selling | _Left]"
) -> tuple[list[Selling], list[LeftOutItineraries]]:
    """Of very many ways to market days those that pay, among them and all ``others``."""
    assert views.short_by is not None
    assert views.between is not None
    tried, left_out = tried_roughly(choices, views)
    short = views.short_by(_ways(choices, [tried, *others]))[: tried.batch.size]
    found, out = paying(choices, views.between, tried, short)
    return [found], [*left_out, *out]


def _ways(choices: ItineraryInput, columns: "Sequence[Tried | Selling | _Left]") -> Itineraries:
    """All columns of itineraries one after the other, with the room that they take up."""

    def of_both(name: str) -> np.ndarray:
        return np.concatenate([getattr(part, name) for part in columns])

    batch, pull, first_move = of_both("batch"), of_both("pull"), of_both("first")
    evening_h = np.append(choices.evening_h, np.nan)
    room = taken(
        CrateStays(
            choices.stays,
            batch,
            evening_h[first_move],
            of_both("first_place"),
            evening_h[pull],
            of_both("place"),
            of_both("until_h"),
        ),
        choices.evening_h,
        choices.hands,
    )
    return Itineraries(
        batch,
        of_both("want"),
        of_both("first_place"),
        first_move,
        of_both("place"),
        pull,
        of_both("share"),
        np.zeros(batch.size),
        np.zeros(batch.size),
        np.zeros(batch.size, bool),
        np.full(batch.size, FREE),
        *room,
    )


@dataclass(frozen=True, slots=True)
class _Left:
    """Itineraries that sell nothing: crates are left where they are, one for each batch, or put
    somewhere cooler for later."""

    batch: Indices
    want: Indices
    first_place: Indices
    first: Indices
    place: Indices
    pull: Indices
    share: Floats
    until_h: Floats


def _left(choices: ItineraryInput, views: JourneyViews) -> _Left:
    batch = np.arange(choices.gone_h.size)
    place, pull, until_h = choices.stays.place[:, -1], np.full(batch.size, -1), choices.cleared_h
    share = np.zeros(batch.size)
    if views.later is not None:
        share = views.later(batch, np.full(batch.size, np.nan), place)
        puts_away = choices.evening_h.size and not choices.at_once
        free = np.flatnonzero(~choices.written) if puts_away else batch[:0]
        number, cool = to_put_away(choices, free)
        own = free[number]
        tonight = choices.first_evening[own]
        moved_h = choices.evening_h[tonight]
        cooler = views.later(own, moved_h, cool)
        gains = np.flatnonzero(cooler >= share[own] + _WORTH_PUTTING_AWAY)
        own, cool = own[gains], cool[gains]
        batch, place = np.append(batch, own), np.append(place, cool)
        pull, until_h = np.append(pull, tonight[gains]), np.append(until_h, until_h[own])
        share = np.append(share, cooler[gains])
    # What is kept for later is not cleared away meanwhile.
    until_h = np.where(share > 0.0, np.inf, until_h)
    none = np.full(batch.size, -1)
    return _Left(batch, np.full(batch.size, NO_WANT), none, none, place, pull, share, until_h)


def _for_second_grade(choices: ItineraryInput, look: Look) -> Selling:
    """Evenings on which batches can be sold for second grade, from where they stand."""
    batch = np.flatnonzero((choices.second_of != NO_WANT).any(axis=1))
    expected = look(standing(choices.stays, batch))
    evening = np.arange(choices.evening_h.size)
    possible = evening >= choices.first_evening[batch][:, None]
    share = np.where(possible, expected.expected(), 0.0)
    enough = share >= LEAST_SHARE
    if evening.size > BEST_SECOND:
        # Of equals the earliest: second grade does not get better by waiting.
        rank = np.argsort(np.argsort(-np.round(share, 3), axis=1, kind="stable"), axis=1)
        enough &= rank < BEST_SECOND
    line, when = np.nonzero(enough)
    none = np.full(line.size, -1)
    return Selling(
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


def _selling(choices: ItineraryInput, views: JourneyViews, block: Indices) -> list[Selling]:
    """Those of a block of batches: as they stand, moved, and moved twice."""
    served = choices.want_of[block] != NO_WANT
    stand = views.markets(0)(standing(choices.stays, block))
    share = np.where(served, stand.expected(), 0.0)
    line, day = np.nonzero(share >= LEAST_SHARE)
    none = np.full(line.size, -1)
    found = [
        Selling(
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
    once = FirstMoves(block[free], np.full(free.size, -1), choices.gone_h[block[free]])
    best = share[free].max(axis=1, initial=0.0)
    worth, once_moved = moved(choices, views.markets, once, best, None)
    found += once_moved
    simple = np.maximum(share[free], worth)
    number, cool = to_put_away(choices, block[free])
    if number.size:
        own = block[free][number]
        tonight_h = choices.evening_h[choices.first_evening[own]]
        twice = FirstMoves(own, cool, views.closes(Journeys(own, tonight_h, cool)))
        best = simple[number].max(axis=1, initial=0.0)
        found += moved(choices, views.markets, twice, best, simple[number])[1]
    return found
