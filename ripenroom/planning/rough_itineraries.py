"""All that can be done with very many batches, looked at roughly and on some evenings only.

Of batches that are alike one is looked at for a few.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from ripenroom.planning.choices import (
    LEAST_SHARE,
    ItineraryInput,
    Journeys,
    JourneyViews,
    Look,
    standing,
)
from ripenroom.planning.moved_itineraries import (
    LEAST_OF_BEST,
    FirstMoves,
    by_evening,
    first_days,
    moves_of,
    sales_of,
    to_put_away,
)
from ripenroom.planning.problem import NO_WANT, Problem
from ripenroom.planning.search_limits import (
    MOST_AT_ONCE,
    MOST_PLACES,
    MOST_TRIED,
    LeftOutItineraries,
    kept,
    looked_at_once,
    looked_at_roughly,
)
from ripenroom.science.blocks import joined
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Flags, Floats

_BLOCK = 2_000
"""Places of batches that are looked at in one go, so that memory stays in bounds."""

_EVENINGS = 8
"""Groups of evenings, each of which is looked at with the market days after its first."""


@dataclass(frozen=True, slots=True)
class Tried:
    """Itineraries that sell something on a market ``day``, by a rough look; the rest as in
    :class:`~ripenroom.planning.choices.Selling`."""

    batch: Indices
    day: Indices
    want: Indices
    first_place: Indices
    first: Indices
    place: Indices
    pull: Indices
    share: Floats
    until_h: Floats

    @property
    def moves(self) -> Indices:
        """How many new moves a crate makes."""
        return np.asarray((self.pull >= 0).astype(np.intp) + (self.first >= 0))

    def of(self, some: Indices) -> "Tried":
        """Some of them only."""
        return Tried(*(getattr(self, f.name)[some] for f in fields(Tried)))


def tried_roughly(
    choices: ItineraryInput, views: JourneyViews
) -> tuple[Tried, list[LeftOutItineraries]]:
    """Itineraries of all batches, or their leaders, that sell something, and what was left out for
    its number."""
    batches = choices.want_of.shape[0]
    step = max(1, _BLOCK // max(1, min(choices.destinations.size, MOST_PLACES)))
    most = MOST_AT_ONCE if choices.at_once else MOST_TRIED
    parts: list[Tried] = []
    left_out: list[LeftOutItineraries] = []
    looked = np.arange(batches) if choices.leader is None else np.unique(choices.leader)
    for first in range(0, max(1, looked.size), step):
        found = joined(_of_block(choices, views, looked[first : first + step]))
        some, out = kept(
            found.batch, found.want, found.moves, found.share, choices.price, batches, most
        )
        parts.append(found.of(some))
        if out is not None:
            left_out.append(out)
    return joined(parts), left_out


def _of_block(choices: ItineraryInput, views: JourneyViews, block: Indices) -> list[Tried]:
    """Those of a block of batches: as they stand, moved, and moved twice."""
    roughly = views.roughly
    assert roughly is not None
    served = choices.want_of[block] != NO_WANT
    stand = roughly(0)(standing(choices.stays, block)).expected_roughly()
    share = np.where(served, stand, 0.0)
    line, day = np.nonzero(share >= LEAST_SHARE)
    none = np.full(line.size, -1)
    here = choices.stays.place[block[line], -1]
    found = [_tried(choices, block[line], day, none, here, none, share[line, day])]
    free = block[~choices.written[block]]
    if not (free.size and choices.evening_h.size and choices.destinations.size):
        return found
    line_of = np.full(choices.want_of.shape[0], -1)
    line_of[block] = np.arange(block.size)
    once = _moved(choices, roughly, FirstMoves(free, np.full(free.size, -1), choices.gone_h[free]))
    np.maximum.at(share, (line_of[once.batch], once.day), once.share)
    best = share.max(axis=1, initial=0.0)[line_of[once.batch]]
    found.append(once.of(np.flatnonzero(once.share >= LEAST_OF_BEST * best)))
    number, cool = to_put_away(choices, free)
    if number.size and not choices.at_once:
        own = free[number]
        tonight_h = choices.evening_h[choices.first_evening[own]]
        closes_h = views.closes(Journeys(own, tonight_h, cool))
        twice = _moved(choices, roughly, FirstMoves(own, cool, closes_h))
        # Two moves have to leave as much as one or none.
        enough = twice.share >= share[line_of[twice.batch], twice.day]
        found.append(twice.of(np.flatnonzero(enough)))
    return found


def _moved(choices: ItineraryInput, roughly: Callable[[int], Look], starts: FirstMoves) -> Tried:
    """What (further) moves of starts sell."""
    batch, first_day = starts.batch, first_days(choices)
    wait = np.arange(choices.evening_h.size) - choices.first_evening[batch][:, None]
    looked = looked_at_once(wait) if choices.at_once else looked_at_roughly(wait, sales_of(choices))
    moves = moves_of(choices, starts, looked)
    none = np.empty(0, dtype=np.intp)
    parts = [_tried(choices, none, none, none, none, none, np.empty(0))]
    for some in by_evening(moves.evening, _EVENINGS):
        own, evening = moves.start[some], moves.evening[some]
        first = int(first_day[evening].min())
        share = roughly(first)(moves.journeys.of(some)).expected_roughly()
        serves = choices.want_of[batch[own], first:] != NO_WANT
        serves &= choices.evening_h[evening, None] < choices.start_h[first:]
        row, later = np.nonzero(serves & (share >= LEAST_SHARE))
        start, place = own[row], moves.journeys.place[some][row]
        found = batch[start], first + later, starts.first_place[start], place, evening[row]
        parts.append(_tried(choices, *found, share[row, later]))
    return joined(parts)


def _tried(
    choices: ItineraryInput,
    batch: Indices,
    day: Indices,
    first_place: Indices,
    place: Indices,
    pull: Indices,
    share: Floats,
) -> Tried:
    first = np.where(first_place >= 0, choices.first_evening[batch], -1)
    want, until_h = choices.want_of[batch, day], choices.start_h[day]
    return Tried(batch, day, want, first_place, first, place, pull, share, until_h)


MOST_LEADERS = 250
"""Batches that are looked at roughly where a plan is wanted at once, or a few more: each leads so
many that all are led."""


def leaders(alike: Sequence[Indices | Flags], by: Floats, most: int = MOST_LEADERS) -> Indices:
    """Which batch leads each: one of those that are ``alike`` in all these columns and next to it
    ``by`` a figure; each itself where there are no more than ``most``."""
    each = -(-by.size // most)
    if each <= 1:
        return np.arange(by.size)
    order = np.lexsort((by, *alike))
    number = np.arange(by.size)
    new = np.ones(by.size, bool)
    new[1:] = np.logical_or.reduce([np.diff(column[order]) != 0 for column in alike])
    new |= (number - np.maximum.accumulate(np.where(new, number, 0))) % each == 0
    first = np.flatnonzero(new)
    last = np.append(first[1:], by.size)
    leader = np.empty(by.size, dtype=np.intp)
    leader[order] = np.repeat(order[(first + last) // 2], last - first)
    return leader


def as_led(problem: Problem, leader: Indices | None) -> Problem:
    """The problem in which each leader has the crates of all that it leads; the itineraries of
    these others are left out."""
    if leader is None:
        return problem
    crates = np.bincount(leader, problem.crates, minlength=leader.size).astype(np.intp)
    own = np.flatnonzero(leader[problem.ways.batch] == problem.ways.batch)
    return replace(problem, crates=crates, ways=problem.ways.of(own))


def led_by(batch: Indices, leader: Indices) -> tuple[Indices, Indices]:
    """All batches that each leader among ``batch`` leads, in the order of their leaders there, and
    for each of them the number of its leader's entry."""
    order = np.argsort(leader, kind="stable")
    first, last = (np.searchsorted(leader[order], batch, side) for side in ("left", "right"))
    entry = np.repeat(np.arange(batch.size), last - first)
    offset = np.arange(entry.size) - np.searchsorted(entry, entry)
    return order[first[entry] + offset], entry
