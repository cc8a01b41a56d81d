"""What plans turn out to be worth when rates and ages are not what was expected.

A plan's own value is that of expected shares. As markets pay less for what is too much, it is too
hopeful: all batches of a crop are early or late together. Here truths are drawn, one rate for each
crop and one age for each batch, and the same plan is valued in each.
"""

from dataclasses import dataclass

import numpy as np

from ripenroom.planning.problem import NO_WANT, Problem
from ripenroom.planning.prospects import Prospects
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

TRUTHS = 200
"""Truths drawn: the 10 and 90 % points are then good to some 3 % of the range."""

_SEED = 1


@dataclass(frozen=True, slots=True)
class Drawn:
    """Mean over the truths, and the range that holds 80 % of them."""

    low: float
    mean: float
    high: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """What becomes of a plan: its worth, fruit sold to market days in its eat-by window, and fruit
    brought to a market when it was past."""

    value: Drawn
    sold: Drawn
    past: Drawn


@dataclass(frozen=True, slots=True)
class Sampled:
    """A plan under truths: ``saleable`` fruit brought for each want, (wants, truths), and fruit
    brought to market days that was ``past``, (truths,)."""

    saleable: Floats
    past: Floats


def sampled(
    problem: Problem,
    crates: Indices,
    prospects: Prospects | None,
    crop: Indices,
    truths: int = TRUTHS,
) -> Sampled:
    """A plan under truths; ``crop`` numbers each batch's crop.

    ``prospects`` are those of the itineraries that sell, as :func:`itineraries.find` gives them.
    """
    saleable = np.zeros((problem.wants.fruit.size, truths))
    used = np.flatnonzero((crates > 0) & (problem.ways.want != NO_WANT))
    if prospects is None or not used.size:
        return Sampled(saleable, np.zeros(truths))
    draws = np.random.default_rng(_SEED)
    rate_z = draws.standard_normal((int(crop.max()) + 1, truths))
    age_z = draws.standard_normal((crop.size, truths))
    batch = problem.ways.batch[used]
    own = prospects.at(used, np.zeros(used.size, dtype=np.intp))
    share, past = own.under(rate_z[crop[batch]], age_z[batch])
    fruit = (crates[used] * problem.fruit_per_crate[batch])[:, None]
    np.add.at(saleable, problem.ways.want[used], fruit * share)
    to_market = ~problem.wants.second[problem.ways.want[used]]
    return Sampled(saleable, (fruit * past)[to_market].sum(axis=0))


def outcome(
    problem: Problem,
    crates: Indices,
    prospects: Prospects | None,
    crop: Indices,
    truths: int = TRUTHS,
) -> Outcome:
    """The outcome of a plan; see :func:`sampled`."""
    found = sampled(problem, crates, prospects, crop, truths)
    return Outcome(
        drawn(problem.wants.value(found.saleable.T).sum(axis=1)),
        drawn(problem.wants.sold(found.saleable.T)[:, ~problem.wants.second].sum(axis=1)),
        drawn(found.past),
    )


def drawn(values: Floats) -> Drawn:
    """Mean and 80 % range of what came of each truth."""
    low, high = np.quantile(values, (0.1, 0.9))
    return Drawn(float(low), float(values.mean()), float(high))
