"""What plans turn out to be worth when rates and ages are not what was expected.

A plan's own value is that of expected shares. As markets pay less for what is too much, it is too
hopeful: all batches of a crop are early or late together. Here truths are drawn, for each crop a
rate, a share that can ripen, a ripe life, a firmness from which fruit is ready and when gates open,
and for each batch an age, and the same plan is valued in each.
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

_NOTHING = 1e-12


@dataclass(frozen=True, slots=True)
class SampledRange:
    """Mean over the truths, and the range that holds 80 % of them."""

    low: float
    mean: float
    high: float


@dataclass(frozen=True, slots=True)
class PlanOutcome:
    """What becomes of a plan: what is paid for it (``value``, in the prices' unit), fruit sold to
    market days in its eat-by window, and fruit brought to a market when it was past.

    ``handling`` is what the work of its moves costs, which is not taken off the value, and
    ``carried`` how many crates that work moves, each as often as it is moved. What is written down
    already is moved in any case, and counts in neither. Not in the value either is what fruit
    counts that is ``kept`` for a market day later: ``later`` altogether.
    """

    value: SampledRange
    sold: SampledRange
    past: SampledRange
    handling: float = 0.0
    carried: int = 0
    kept: float = 0.0
    later: float = 0.0

    @property
    def net(self) -> float:
        """The mean value, and what is kept, less handling: by this plans are compared."""
        return self.value.mean + self.later - self.handling


@dataclass(frozen=True, slots=True)
class Sampled:
    """A plan under truths: ``saleable`` fruit brought for each want, (wants, truths), and fruit
    brought to market days that was ``past``, (truths,).

    Of the itineraries ``used`` that sell, ``brought`` is the saleable fruit, (used, truths).
    """

    saleable: Floats
    past: Floats
    used: Indices
    brought: Floats


def sampled(
    problem: Problem,
    crates: Indices | Floats,
    prospects: Prospects | None,
    crop: Indices,
    truths: int = TRUTHS,
) -> Sampled:
    """A plan, which may cut crates, under truths; ``crop`` numbers each batch's crop.

    ``prospects`` are those of the itineraries that sell, as :func:`itineraries.find` gives them.
    """
    saleable = np.zeros((problem.wants.fruit.size, truths))
    used = np.flatnonzero((crates > 0) & (problem.ways.want != NO_WANT))
    if prospects is None or not used.size:
        return Sampled(saleable, np.zeros(truths), used[:0], np.zeros((0, truths)))
    draws = np.random.default_rng(_SEED)
    rate_z = draws.standard_normal((int(crop.max()) + 1, truths))
    age_z = draws.standard_normal((crop.size, truths))
    ripens_z, life_z, ready_z = draws.standard_normal((3, int(crop.max()) + 1, truths))
    opening = draws.random((int(crop.max()) + 1, truths))
    batch = problem.ways.batch[used]
    own = prospects.at(used, np.zeros(used.size, dtype=np.intp))
    of = crop[batch]
    share, past = own.under(
        rate_z[of], age_z[batch], ripens_z[of], life_z[of], opening[of], ready_z[of]
    )
    fruit = (crates[used] * problem.per_crate(batch, problem.ways.want[used]))[:, None]
    np.add.at(saleable, problem.ways.want[used], fruit * share)
    to_market = ~problem.wants.second[problem.ways.want[used]]
    return Sampled(saleable, (fruit * past)[to_market].sum(axis=0), used, fruit * share)


def outcome(
    problem: Problem,
    crates: Indices | Floats,
    prospects: Prospects | None,
    crop: Indices,
    truths: int = TRUTHS,
) -> PlanOutcome:
    """The outcome of a plan; see :func:`sampled`."""
    return outcome_of(problem, crates, sampled(problem, crates, prospects, crop, truths))


def outcome_of(problem: Problem, crates: Indices | Floats, found: Sampled) -> PlanOutcome:
    """The outcome of a plan that was looked at under truths."""
    return PlanOutcome(
        drawn(problem.wants.value(found.saleable.T).sum(axis=1)),
        drawn(problem.wants.sold(found.saleable.T)[:, ~problem.wants.second].sum(axis=1)),
        drawn(found.past),
        float(problem.ways.handling @ crates),
        round(float(np.maximum(problem.ways.moves, problem.ways.handling > 0.0) @ crates)),
        float((problem.fruit * crates)[problem.ways.want == NO_WANT].sum()),
        float(problem.later @ crates),
    )


def paid_for(problem: Problem, found: Sampled) -> Floats:
    """What is paid for the crates on each itinerary, in the prices' unit, as a mean over truths.

    What a market day pays is shared by saleable fruit; all together are the plan's value.
    """
    each = problem.wants.value(found.saleable.T).T / np.maximum(found.saleable, _NOTHING)
    paid = np.zeros(problem.ways.size)
    paid[found.used] = (found.brought * each[problem.ways.want[found.used]]).mean(axis=1)
    return paid


def of_objective(
    problem: Problem, crates: Indices | Floats, prospects: Prospects | None, crop: Indices
) -> float:
    """What a plan comes to over truths, as a part of the expected worth that it was found by.

    The latter is mostly too hopeful, and so are differences of it: multiplied by this they can be
    told beside what plans come to.
    """
    hoped = problem.as_paid.value(crates)
    if hoped <= 0.0:
        return 1.0
    return max(0.0, outcome(problem, crates, prospects, crop).net / hoped)


def drawn(values: Floats) -> SampledRange:
    """Mean and 80 % range of what came of each truth, drawn out to hold the mean.

    A few very bad truths can pull that out of it.
    """
    low, high = np.quantile(values, (0.1, 0.9))
    mean = float(values.mean())
    return SampledRange(min(float(low), mean), mean, max(float(high), mean))
