"""What a plan holds back for what nobody foresees: of two that promise as much, it prefers the one
that hangs on less.

A plan is the best of very many guesses, so what it promises is mostly too much: by what it expects
of fruit far ahead, of moves that gain a little, and of a dear market that hangs on one cultivar's
rate. What is taken off for these is no cost and is not paid by anybody; it counts only where plans
are chosen (:attr:`~ripenroom.planning.problem.Problem.as_paid` leaves it out).

All figures are estimates, chosen on simulated seasons (``tests.benchmarks season``).
"""

from dataclasses import replace

import numpy as np

from ripenroom.planning.problem import MORE_PRICE, Problem
from ripenroom.planning.prospects import Prospects
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

WAITING = 0.05
"""What fruit counts less with each day that it is kept for its market, as a part of its worth:
fruit spoils, markets are filled by other picks, and what is believed of a batch holds less and
less. Fruit that is yet to be picked is kept from then on."""

HURDLE = 0.06
"""What moving a crate once has to bring besides its handling, in parts of what a usual crate is
worth. Of many moves that seem to gain a little those are asked for that only seem so."""

RESERVE = 0.6
"""So many sds of a share, as far as the rate of its fruit is unknown, do not count at a market that
pays twice the usual price and begins now ..."""

RESERVE_DAYS = 7.0
"""... fewer of one further ahead, and none of one so far: until then checks and picks will tell
more, and other crates can still go there."""

MOST_RESERVE = 0.6
"""No larger part of a share than this is held back."""


def cautious(
    problem: Problem, prospects: Prospects | None, crop_of_want: Indices, unit: float
) -> Problem:
    """The problem with what caution takes off; ``crop_of_want`` numbers the crop of each want, and
    ``unit`` is what a usual crate is worth.

    ``prospects`` are those of the itineraries that sell, which come first.
    """
    reserve = np.zeros(problem.ways.size)
    if prospects is not None:
        # Mostly no market is dear and near: then nothing has to be looked at.
        held_sds = RESERVE * dearness(problem, crop_of_want) * soon(problem)
        want = problem.ways.want[: prospects.at_start.shape[0]]
        held = np.flatnonzero(held_sds[want] > 0.0)
        if held.size:
            share_sd = by_rate(prospects.of(held))
            part = held_sds[want[held]] * share_sd / np.maximum(problem.ways.share[held], 1e-9)
            reserve[held] = np.minimum(part, MOST_RESERVE)
    return replace(
        problem,
        ways=replace(problem.ways, reserve=reserve),
        waiting=WAITING,
        hurdle=HURDLE * unit,
    )


def by_rate(prospects: Prospects) -> Floats:
    """Sd of the saleable share of single pairs, (pairs,), as far as it hangs on the rate alone: all
    fruit of a cultivar is fast or slow together, so that more crates of it are no help."""
    fast, slow = (prospects.under(np.array(z), np.array(0.0))[0][:, 0] for z in (1.0, -1.0))
    return np.asarray(np.abs(fast - slow) / 2.0)


def soon(problem: Problem) -> Floats:
    """How near each want is, from 1 (now) to 0 (in ``RESERVE_DAYS`` or later)."""
    days = (problem.wants.start_h - problem.now_h) / 24.0
    return np.asarray(np.clip(1.0 - days / RESERVE_DAYS, 0.0, 1.0))


def dearness(problem: Problem, crop_of_want: Indices) -> Floats:
    """How much worse it is for each want to be short of a fruit than to have one too many, from 0
    to 1.

    A fruit that lacks loses what the price is above the crop's usual one (the median of its market
    days), and one too many loses what it would have brought elsewhere, less the lower price that it
    still fetches: the critical ratio of the newsvendor problem (Arrow, Harris and Marschak 1951,
    Econometrica 19:250-272, from memory).
    """
    wants = problem.wants
    dear = np.zeros(wants.fruit.size)
    for crop in np.unique(crop_of_want[~wants.second]):
        own = (crop_of_want == crop) & ~wants.second & (wants.price > 0.0)
        if own.any():
            above = 1.0 - np.median(wants.price[own]) / wants.price[own]
            dear[own] = np.clip(above / (1.0 - MORE_PRICE), 0.0, 1.0)
    return dear
