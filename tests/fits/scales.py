"""Scales on which figures and what is published of them are about Normal."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.special import expit, logit

from ripenroom.records.crop.statement import Statement
from ripenroom.science.softening import Floats, age_from_firmness_n, firmness_n_at_age

_LEAST_DAYS = 0.1
_NEVER_DAYS = 1000.0
"""What never happens counts as this many days: a soft fruit's for ever."""

_LEAST_PCT, _MOST_PCT = 1.0, 99.0
_PER_LOGIT = 0.25
"""A share near one half that is off by a tenth counts like a duration that is off by a tenth."""

_LEAST_WIDTH = 0.02


@dataclass(frozen=True, slots=True)
class Scale:
    """``to`` the Normal scale from a figure as it is kept, and ``back``."""

    to: Callable[[float], float]
    back: Callable[[float], float]


LOG = Scale(lambda value: float(np.log(value)), lambda at: float(np.exp(at)))
"""Durations, speeds, energies: errors are factors."""


def log_scale(factor: float) -> Scale:
    """:data:`LOG` of a quantity that is kept in a unit of ``factor`` of the usual one."""
    return Scale(lambda value: float(np.log(value * factor)), lambda at: float(np.exp(at)) / factor)


LOG_ABOVE_ONE = Scale(
    lambda value: float(np.log(max(value - 1.0, 0.02))), lambda at: 1.0 + float(np.exp(at))
)
"""A Q10, which is above 1."""

LOGIT = Scale(
    lambda value: float(logit(min(max(value, 0.005), 0.995))), lambda at: float(expit(at))
)
"""Shares."""


def age_scale(highest_n: float, lowest_n: float, factor: float) -> Scale:
    """Marks of firmness, told in a unit of ``factor`` newtons, as physiological ages."""
    return Scale(
        lambda value: float(age_from_firmness_n(value * factor, highest_n, lowest_n)),
        lambda at: float(firmness_n_at_age(at, highest_n, lowest_n)) / factor,
    )


def said_on_scale(statements: list[Statement], values: Floats) -> Floats:
    """What the program says of statements, (..., statements), on the scale of their errors."""
    shares = np.array([one.is_share for one in statements])
    never = np.where(np.isnan(values), np.where(shares, 0.0, _NEVER_DAYS), values)
    return np.where(shares, _of_share(never), np.log(np.maximum(never, _LEAST_DAYS)))


def interval_on_scale(statement: Statement) -> tuple[float, float]:
    """The published interval with its rounding; infinite where it is open."""

    def at(value: float) -> float:
        if statement.is_share:
            return float(_of_share(np.array(value)))
        return float(np.log(max(value, _LEAST_DAYS)))

    low = -np.inf if statement.low is None else at(statement.low - statement.rounding)
    high = np.inf if statement.high is None else at(statement.high + statement.rounding)
    if high - low < _LEAST_WIDTH:
        low, high = low - _LEAST_WIDTH, high + _LEAST_WIDTH
    return low, high


def _of_share(percent: Floats) -> Floats:
    return np.asarray(_PER_LOGIT * logit(np.clip(percent, _LEAST_PCT, _MOST_PCT) / 100.0))
