"""What is looked at where there are very many batches, places or market days: limits by count.

A farm of two hundred batches and a dozen places is far within them, and nothing is left out there.
Beyond, memory and time would grow with the product of all; what is left out is chosen so that
batches differ in what they keep, and :class:`LeftOutItineraries` tells what it can be worth at
most.
"""

from dataclasses import dataclass

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

MOST_SALES = 4_000_000
"""Single moves of batches, each with every market day after it, that are looked at where thinning
evenings can do it. A farm of 400 batches, five places and 40 market days has as many."""

MOST_PLACES = 16
"""Places that each batch may be moved to: of many that are alike, others for each batch."""

IN_A_ROW = 8
"""So many batches in a row have the same of these places, so that fewer clocks run at a time."""

EVERY_EVENING = 8
"""So many next evenings are looked at ..."""

FEW_EVENINGS = 5
"""... and of those after them every second to fifth where there are too many sales. By then it
will be planned for again: on a farm of 120 batches every fifth loses 0.5 % of what plans reach."""

NEXT_EVENINGS = 3
"""Where even that makes too many, so many next evenings are looked at ..."""

FEWEST_EVENINGS = 9
"""... and every so many after them: that loses 2.3 %."""

MOST_EXACT = 1_000_000
"""Of so many sales each is looked at as it is; of more the rough look comes first."""

MOST_ROUGH = 6_000_000
"""Where there are more than these for a rough look too, it passes over evenings, more of them the
further ahead. Those beside the ones that pay are looked at in any case: with 1,000 batches and 100
market days that loses 0.04 %, and saves a sixth of the time. With 300 batches and 60 market days
passing over every second lost 0.1 %, and over three of four 0.5 %."""

MOST_WAYS = 200_000
FEWEST_WAYS = 24
"""Itineraries that sell something: so many altogether, but no fewer for each batch. With so many a
plan of 3,000 batches takes 470 MB; half as many lost a sixth of its worth."""

MOST_TRIED, MOST_AT_ONCE = 250_000, 60_000
"""As many are kept of a rough look; they take most of the memory of such a plan. The second where
a plan is wanted at once."""

MOVE_SHARE = 0.06
"""What a new move takes off a share where ways are ranked: a tenth of a usual crate, as its work
and its hurdle do where plans are chosen. With 50 ways of each of 100 batches this reaches 9 % more
than ranking by shares alone."""

_MOST_MOVES = 3
"""More new moves than any itinerary has."""

_GOLDEN = (5.0**0.5 - 1.0) / 2.0
"""Multiples of it, less whole numbers, are spread evenly however many there are."""


@dataclass(frozen=True, slots=True)
class LeftOutItineraries:
    """Itineraries that were possible and left out for their number: of each ``batch`` and ``want``,
    with so many new ``moves``, the largest saleable ``share``; all of one shape."""

    batch: Indices
    want: Indices
    moves: Indices
    share: Floats


def places_for(batch: Indices, place_c: Floats) -> Indices:
    """Which of places, so warm (C), each batch may go to, (batches, places): all of them, or one
    each of ``MOST_PLACES`` groups of those that are about as warm, in turn."""
    if place_c.size <= MOST_PLACES:
        return np.broadcast_to(np.arange(place_c.size), (batch.size, place_c.size))
    order = np.argsort(place_c, kind="stable")
    edges = np.arange(MOST_PLACES + 1) * place_c.size // MOST_PLACES
    sizes = np.diff(edges)
    return np.asarray(order[edges[:-1] + (batch // IN_A_ROW)[:, None] % sizes])


def looked_at(wait: Indices, sales: int, least: int = 1) -> np.ndarray:
    """Whether evenings, so many after a batch's first, are looked at, if looking at all of them
    would make so many ``sales``; later ones at the ``least`` so many evenings apart."""
    every, near = max(least, int(np.ceil(sales / MOST_SALES))), EVERY_EVENING
    if every > FEW_EVENINGS:
        every, near = FEWEST_EVENINGS, NEXT_EVENINGS
    return np.asarray((wait <= near) | (wait % every == 0))


def looked_at_roughly(wait: Indices, sales: int) -> np.ndarray:
    """Whether evenings, so many after a batch's first, are looked at roughly, if looking at all of
    them would make so many ``sales``."""
    if sales <= MOST_ROUGH:
        return np.ones(wait.shape, bool)
    # Quarter squares: 0, 1, 2, 4, 6, 9, 12, 16, 20, 25, 30 ...
    step = np.sqrt(4.0 * wait.clip(0) + 1.0).astype(np.intp)
    return np.asarray(step * step // 4 == wait)


def looked_at_once(wait: Indices) -> np.ndarray:
    """Whether evenings, so many after a batch's first, are looked at where a plan is wanted at
    once."""
    # Triangular numbers: 0, 1, 3, 6, 10, 15, 21, 28 ...
    step = ((np.sqrt(8.0 * wait.clip(0) + 1.0) - 1.0) / 2.0).astype(np.intp)
    return np.asarray(step * (step + 1) // 2 == wait)


def kept(
    batch: Indices,
    want: Indices,
    moves: Indices,
    share: Floats,
    price: Floats,
    batches: int,
    altogether: int = MOST_WAYS,
) -> tuple[Indices, LeftOutItineraries | None]:
    """Which itineraries of a few batches are kept, where a season has so many ``batches`` and keeps
    so many ``altogether``, and what is left out (None: nothing); each has so many new ``moves``,
    and ``price`` is that of each want.

    For each batch first comes the best way to each of its wants: the most valuable of these, and
    in turn with them others that are spread over the wants and differ from batch to batch; else
    all batches would be for the same best-paid market days. Then come second ways.
    """
    most = max(FEWEST_WAYS, altogether // max(1, batches))
    if not batch.size or np.bincount(batch).max() <= most:
        return np.arange(batch.size), None
    counts = share - MOVE_SHARE * moves
    turn = _rank(-counts, batch, want)
    worth = _rank(-counts * price[want], batch, turn)
    spread = _rank(np.asarray(_GOLDEN * (want + batch) % 1.0, float), batch, turn)
    in_turn = np.minimum(2 * worth, 2 * spread + 1)
    rank = _rank(in_turn.astype(float), batch, np.zeros_like(turn), turn)
    some = rank < most
    out = np.flatnonzero(~some)
    left_out = most_of_each(batch[out], want[out], moves[out], share[out], price.size)
    return np.flatnonzero(some), left_out


def most_of_each(
    batch: Indices, want: Indices, moves: Indices, share: Floats, wants: int
) -> LeftOutItineraries:
    """Itineraries that are left out, where there are so many ``wants``: of each batch and want,
    with so many moves, the largest share."""
    key = (batch * (wants + 1) + want) * _MOST_MOVES + moves
    distinct, which = np.unique(key, return_inverse=True)
    best = np.zeros(distinct.size)
    np.maximum.at(best, which, share)
    pair, of_moves = np.divmod(distinct, _MOST_MOVES)
    of_batch, of_want = np.divmod(pair, wants + 1)
    return LeftOutItineraries(of_batch, of_want, of_moves, best)


def _rank(by: Floats, batch: Indices, group: Indices, before: Indices | None = None) -> Indices:
    """The place of each in its group of its batch, in increasing order of ``before`` and ``by``."""
    keys = (by, group, batch) if before is None else (by, before, group, batch)
    order = np.lexsort(keys)
    new = np.ones(by.size, bool)
    new[1:] = np.diff(batch[order]) != 0
    new[1:] |= np.diff(group[order]) != 0
    number = np.arange(by.size)
    first = np.maximum.accumulate(np.where(new, number, 0))
    rank = np.empty(by.size, dtype=np.intp)
    rank[order] = number - first
    return rank
