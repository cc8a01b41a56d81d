"""Of very many itineraries those that pay.

To look at every way of a thousand batches to a hundred market days takes longer than all else of a
plan, and a plan uses two of a batch. So all are looked at roughly first
(:mod:`.rough_itineraries`). By what market days and room are worth then, the journeys of each batch
that pay best, and those on the evenings beside them, are looked at as they are: the plan is made of
these alone.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np

from ripenroom.planning.choices import LEAST_SHARE, ItineraryInput, Journeys, Look, Selling
from ripenroom.planning.moved_itineraries import BEST_PULLS, LEAST_OF_BEST, sales_of
from ripenroom.planning.problem import NO_WANT
from ripenroom.planning.rough_itineraries import Tried, led_by
from ripenroom.planning.search_limits import MOST_ROUGH, LeftOutItineraries, kept, most_of_each
from ripenroom.science.blocks import joined
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

JOURNEYS = 6_000
"""Journeys that are looked at as they are: of each batch those that pay best, ..."""

FEWEST, MOST = 6, 20
"""... no fewer and no more of it than these, ..."""

BESIDE, BESIDE_THE_PASSED = 1, 2
"""... and of those that are used so many evenings on either side, the second where the rough look
passed over evenings; ..."""

DAYS_AROUND = 8
"""... each on so many market days before and after that on which it pays best. With 1,000 batches
and 100 market days more of any of them reached 0.1 % more at most."""

AT_ONCE, AROUND_AT_ONCE = 2, 2
"""Journeys of each batch, and market days before and after, where a plan is wanted at once; none
beside."""

_GROUPS = 6
"""Groups of journeys that pay at about the same time."""


def paying(
    choices: ItineraryInput, between: Callable[[int, int], Look], tried: Tried, short: Floats
) -> tuple[Selling, list[LeftOutItineraries]]:
    """Itineraries on the journeys that pay best, as they are, and what is left out.

    ``between`` sees market days from one up to another; ``short`` is by how much a crate on each of
    those ``tried`` falls short of being used (in the prices' unit). Of what is left out the rough
    share is all that is known.
    """
    journeys, which = _journeys(choices, tried, short)
    batches = choices.want_of.shape[0]
    most = min(max(JOURNEYS // max(1, batches), FEWEST), MOST)
    best = journeys.rank < (AT_ONCE if choices.at_once else most)
    used = np.flatnonzero(best & (journeys.short <= 0.0) & (journeys.pull >= 0))
    parts = [_of_all_led(choices, journeys.of(np.flatnonzero(best)))]
    beside = BESIDE_THE_PASSED if sales_of(choices) > MOST_ROUGH else BESIDE
    beside = 0 if choices.at_once else beside
    for step in (*range(-beside, 0), *range(1, beside + 1)):
        parts.append(_beside(choices, journeys.of(used), step))
    found = _once(choices, joined(parts))
    order = np.argsort(found.first_day, kind="stable")
    selling = joined(
        [
            _selling(choices, between, found.of(some))
            for some in np.array_split(order, _GROUPS)
            if some.size or not order.size
        ]
    )
    order = _in_order(choices, selling)
    moves = (selling.pull >= 0).astype(np.intp) + (selling.first >= 0)
    batch, want, share = selling.batch[order], selling.want[order], selling.share[order]
    some, out = kept(batch, want, moves[order], share, choices.price, batches)
    rest = tried.of(np.flatnonzero(~best[which]))
    left_out = [
        most_of_each(rest.batch, rest.want, rest.moves, rest.share, choices.price.size),
        *([] if out is None else [out]),
    ]
    # What is expected takes up much memory: it is copied once.
    return selling.of(order[some]), left_out


@dataclass(frozen=True, slots=True)
class _Journeys:
    """Journeys, each once: those that a batch uses or nearly uses come first in ``rank``, and
    ``short`` is by how much each falls short of it. They are looked at from market day
    ``first_day`` to ``last_day``."""

    batch: Indices
    first_place: Indices
    place: Indices
    pull: Indices
    short: Floats
    rank: Indices
    first_day: Indices
    last_day: Indices

    def of(self, some: Indices) -> "_Journeys":
        """Some of them only."""
        return _Journeys(*(getattr(self, f.name)[some] for f in fields(_Journeys)))


def _journeys(choices: ItineraryInput, tried: Tried, short: Floats) -> tuple[_Journeys, Indices]:
    """The journeys of itineraries, and the number of each itinerary's."""
    # Of each journey the itinerary that pays best comes first, so that it stands for all.
    order = np.argsort(short, kind="stable")
    key = _key(choices, tried.batch, tried.first_place, tried.place, tried.pull)
    _, index, inverse = np.unique(key[order], return_index=True, return_inverse=True)
    which = np.empty(order.size, dtype=np.intp)
    which[order] = inverse
    first = np.full(index.size, choices.start_h.size)
    last = np.zeros(index.size, dtype=np.intp)
    np.minimum.at(first, which, tried.day)
    np.maximum.at(last, which, tried.day)
    own, least = tried.of(order[index]), short[order[index]]
    by_short = np.lexsort((least, own.batch))
    rank = np.empty(index.size, dtype=np.intp)
    batch = own.batch[by_short]
    rank[by_short] = np.arange(index.size) - np.searchsorted(batch, batch)
    around = AROUND_AT_ONCE if choices.at_once else DAYS_AROUND
    first, last = np.maximum(first, own.day - around), np.minimum(last, own.day + around)
    return _Journeys(
        own.batch, own.first_place, own.place, own.pull, least, rank, first, last
    ), which


def _key(
    choices: ItineraryInput, batch: Indices, first_place: Indices, place: Indices, pull: Indices
) -> Indices:
    """A number for each journey that no other has."""
    places = max(choices.place_c.size, int(choices.stays.place.max(initial=0)) + 1) + 1
    key = (batch * places + first_place + 1) * places + place + 1
    return np.asarray(key * (choices.evening_h.size + 1) + pull + 1)


def _beside(choices: ItineraryInput, journeys: _Journeys, step: int) -> _Journeys:
    """The same journeys so many evenings later, where fruit is not past by then."""
    return _possible(choices, replace(journeys, pull=journeys.pull + step))


def _possible(choices: ItineraryInput, journeys: _Journeys) -> _Journeys:
    """Those of moved journeys on whose evening there is fruit, and it is not past."""
    pull = journeys.pull
    possible = pull >= choices.first_evening[journeys.batch] + (journeys.first_place >= 0)
    possible &= pull < choices.evening_h.size
    evening_h = choices.evening_h[pull.clip(0, choices.evening_h.size - 1)]
    possible &= evening_h < choices.gone_h[journeys.batch]
    return journeys.of(np.flatnonzero(possible))


def _of_all_led(choices: ItineraryInput, journeys: _Journeys) -> _Journeys:
    """The journeys of leaders for all batches that they lead."""
    if choices.leader is None:
        return journeys
    batch, entry = led_by(journeys.batch, choices.leader)
    found = replace(journeys.of(entry), batch=batch)
    moved = found.pull >= 0
    moved_on = _possible(choices, found.of(np.flatnonzero(moved)))
    return joined([found.of(np.flatnonzero(~moved)), moved_on])


def _once(choices: ItineraryInput, journeys: _Journeys) -> _Journeys:
    """The journeys, each once, on all days on which it is to be looked at."""
    key = _key(choices, journeys.batch, journeys.first_place, journeys.place, journeys.pull)
    _, index, which = np.unique(key, return_index=True, return_inverse=True)
    first, last = journeys.first_day[index], journeys.last_day[index]
    np.minimum.at(first, which, journeys.first_day)
    np.maximum.at(last, which, journeys.last_day)
    return replace(journeys.of(index), first_day=first, last_day=last)


def _selling(
    choices: ItineraryInput, between: Callable[[int, int], Look], journeys: _Journeys
) -> Selling:
    """What journeys sell, by an exact look."""
    first = int(journeys.first_day.min(initial=choices.start_h.size - 1))
    last = int(journeys.last_day.max(initial=first)) + 1
    batch, place, pull = journeys.batch, journeys.place, journeys.pull
    # The last of these stands for no move.
    evening_h = np.append(choices.evening_h, np.nan)
    move_h = evening_h[pull]
    twice = journeys.first_place >= 0
    first_move = np.where(twice, choices.first_evening[batch], -1)
    along = Journeys(batch, move_h, place)
    if twice.any():
        along = replace(along, first_h=evening_h[first_move], first_place=journeys.first_place)
    expected = between(first, last)(along)
    share = expected.expected()
    serves = choices.want_of[batch, first:last] != NO_WANT
    serves &= ~(move_h[:, None] >= choices.start_h[first:last])
    row, later = np.nonzero(serves & (share >= LEAST_SHARE))
    day = first + later
    return Selling(
        batch[row],
        choices.want_of[batch[row], day],
        journeys.first_place[row],
        first_move[row],
        place[row],
        pull[row],
        share[row, later],
        choices.start_h[day],
        expected.at(row, later),
    )


def _in_order(choices: ItineraryInput, selling: Selling) -> Indices:
    """By batch and want, without what leaves little of a batch, and no more than the best evenings
    for each batch, want and pair of places."""
    best = np.zeros(choices.want_of.shape[0])
    np.maximum.at(best, selling.batch, selling.share)
    some = np.flatnonzero(selling.share >= LEAST_OF_BEST * best[selling.batch])
    columns = selling.place, selling.first_place, selling.want, selling.batch
    groups = [column[some] for column in columns]
    order = np.lexsort((selling.pull[some], -selling.share[some], *groups))
    new = np.ones(order.size, bool)
    new[1:] = np.logical_or.reduce([np.diff(column[order]) != 0 for column in groups])
    number = np.arange(order.size)
    rank = number - np.maximum.accumulate(np.where(new, number, 0))
    return np.asarray(some[order[rank < BEST_PULLS]])
