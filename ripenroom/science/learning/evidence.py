"""Normal beliefs about one number, such as the log of a rate, put together and taken apart.

Each counts by its precision, one over its variance (the product of Normal densities; Gelman et al.,
Bayesian Data Analysis, chapter 2; cited from memory).
"""

from collections.abc import Iterable


def put_together(prior_variance: float, told: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """Mean and sd of what was believed to be 0, with that variance, after it was ``told`` to be so
    much, each with its sd."""
    weight, pull = 1.0 / prior_variance, 0.0
    for mean, sd in told:
        own = sd**-2
        weight += own
        pull += own * mean
    return pull / weight, weight**-0.5


def taken_apart(
    mean: float, sd: float, before: float, before_sd: float, most_sd: float
) -> tuple[float, float] | None:
    """Mean and sd of what, put to what was believed ``before``, gives what is believed now; None
    where that is less sure than ``most_sd``."""
    weight = sd**-2 - before_sd**-2
    if weight < most_sd**-2:
        return None
    return (mean * sd**-2 - before * before_sd**-2) / weight, float(weight**-0.5)
