"""An Arrhenius line through speeds at several temperatures, by least squares on their logarithm.

Errors of published durations are relative (a day in ten, a week in seventy days), so the logarithm
has the same error everywhere. A crop's heat limit is kept as its profile has it: too few points lie
in the heat to fit it.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares
from scipy.stats import t as student

from ripenroom.science.softening import Floats
from ripenroom.science.temperature import Response

ResponseOf = Callable[[float], Response]
"""The response to temperature that belongs to an activation energy (kJ/mol)."""

_START_KJ_MOL = 80.0

_LEAST_SPAN_K = 3.0
"""Within less, the slope would be that of the points' errors."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """An estimate with the sd that the scatter of its points gives it; nan where they leave none.

    Nobody says how wrong a published point is, so the scatter is all there is to go by. ``spare``
    is how many points there are more than unknowns.
    """

    value: float
    sd: float
    spare: int

    @property
    def low(self) -> float:
        """Lower end of the 80 % range."""
        return self.value - self._half_range()

    @property
    def high(self) -> float:
        """Upper end of the 80 % range."""
        return self.value + self._half_range()

    def _half_range(self) -> float:
        # Of few points the scatter itself is hardly known: Student, not Normal.
        return float(student.ppf(0.9, self.spare)) * self.sd if self.spare else math.nan


@dataclass(frozen=True, slots=True)
class Line:
    """``log_speed`` is ln of the speed (per day) at the reference temperature of the response.

    ``slope`` is the activation energy (kJ/mol); None where all points are of about one temperature.
    """

    log_speed: Fitted
    slope: Fitted | None
    response: Response

    def per_day(self, celsius: float) -> float:
        """The speed on the line at a temperature in degrees Celsius."""
        return math.exp(self.log_speed.value) * float(self.response.relative_rate(celsius))


def fit_line(
    celsius: Floats, per_day: Floats, response_of: ResponseOf, slope_if_unknown: float
) -> Line:
    """The line closest to the logarithms of the speeds ``per_day`` at temperatures ``celsius``.

    Speeds of about one temperature say nothing of the slope, which then is ``slope_if_unknown``.
    """
    log_speeds = np.log(per_day)
    known_slope = bool(np.ptp(celsius) >= _LEAST_SPAN_K)

    def off(unknown: Floats) -> Floats:
        slope = float(unknown[1]) if known_slope else slope_if_unknown
        return np.asarray(
            unknown[0] + np.log(response_of(slope).relative_rate(celsius)) - log_speeds
        )

    start = [float(log_speeds.mean()), _START_KJ_MOL][: 2 if known_slope else 1]
    # Both unknowns are of the size of 1 only after scaling.
    found = least_squares(off, start, x_scale=[1.0, _START_KJ_MOL][: len(start)], xtol=1e-14)
    spare = log_speeds.size - len(start)
    unknowns = [
        Fitted(float(value), sd, spare)
        for value, sd in zip(found.x, _sds(np.asarray(found.jac), found.fun, spare), strict=True)
    ]
    slope = unknowns[1] if known_slope else None
    return Line(unknowns[0], slope, response_of(slope.value if slope else slope_if_unknown))


def _sds(jacobian: Floats, off: Floats, spare: int) -> list[float]:
    """Standard deviations of the unknowns from the scatter of the points around the line."""
    if not spare:
        return [math.nan] * jacobian.shape[1]
    variance = float(off @ off) / spare
    sds = np.sqrt(variance * np.diag(np.linalg.inv(jacobian.T @ jacobian)))
    return [float(sd) for sd in sds]
