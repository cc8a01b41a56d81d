"""How likely gauge readings are, fitted in firmness with the gauge's error at the prediction.

An age near an asymptote is worthless as a datum, so mean and variance of firmness over the batch
are integrated and the readings taken as Normal around them. Half as much error again is shared by
all readings of a check: a gauge off zero, a heavy hand. Both can be integrated exactly.

Fruit that can never ripen stays as firm as it was. Among fruit that has softened it stands out, and
is set aside; as long as the batch is firm it is part of the mean and the variance.
"""

from dataclasses import dataclass, fields

import numpy as np

from ripenroom.science.at_pick import SHARED_ERROR
from ripenroom.science.clock import Indices
from ripenroom.science.learning.expansion import Expansion
from ripenroom.science.softening import Floats, age_from_firmness_n, firmness_n_at_age

_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(15)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()

_STEP = 1e-3
_WITHIN, _APART = 3.5, 4.0


@dataclass(frozen=True, slots=True)
class ReadChecks:
    """Readings (N) of each check: how many, their mean and sum of squares about it (N^2).

    The error of one reading at firmness F is ``hypot(error_n, error_part * F)``. ``highest_n`` and
    ``lowest_n`` are the asymptotes. The share ``among`` of the fruit that was read never ripens and
    stays at ``stays_n``; ages are those of all other fruit.
    """

    number: Floats
    mean_n: Floats
    squares_n2: Floats
    error_n: Floats
    error_part: float
    highest_n: Floats
    lowest_n: Floats
    among: Floats
    stays_n: Floats

    def first(self, number: int) -> "ReadChecks":
        """The first so many of them."""
        some = slice(number)
        columns = {f.name: getattr(self, f.name) for f in fields(ReadChecks)}
        return ReadChecks(**{n: c if n == "error_part" else c[some] for n, c in columns.items()})

    def expand(self, checks: Indices, mean_age: Floats, fruit_sd: Floats) -> Expansion:
        """Expansion of these checks, each at its own mean age and spread; differences central."""

        def at(x: float, s: float) -> Floats:
            return self._log(checks, mean_age + x * _STEP, fruit_sd * np.exp(s * _STEP))

        here = at(0, 0)
        older, younger, wider, closer = at(1, 0), at(-1, 0), at(0, 1), at(0, -1)
        corners = at(1, 1) + at(-1, -1)
        edges = older + younger + wider + closer
        return Expansion(
            value=here,
            x=(older - younger) / (2.0 * _STEP),
            s=(wider - closer) / (2.0 * _STEP),
            xx=(older + younger - 2.0 * here) / _STEP**2,
            xs=(corners - edges + 2.0 * here) / (2.0 * _STEP**2),
            ss=(wider + closer - 2.0 * here) / _STEP**2,
        )

    def off_by(self, checks: Indices, mean_age: Floats, age_sd: Floats, fruit_sd: Floats) -> Floats:
        """How many sds each check is off; see :class:`Likelihood`."""
        mean, variance, error2 = self.moments(checks, mean_age, fruit_sd)
        firm = self.moments(checks, mean_age - age_sd, fruit_sd)[0]
        soft = self.moments(checks, mean_age + age_sd, fruit_sd)[0]
        of_mean = (variance + error2) / self.number[checks] + SHARED_ERROR**2 * error2
        sd = np.sqrt(of_mean + np.square((firm - soft) / 2.0))
        return np.asarray((mean - self.mean_n[checks]) / sd)

    def seeming_age(self, checks: Indices, mean_age: Floats) -> Floats:
        """Age at which fruit has the mean firmness of each check; see :class:`Likelihood`."""
        return age_from_firmness_n(
            self.mean_n[checks], self.highest_n[checks], self.lowest_n[checks]
        )

    def moments(
        self, checks: Indices, mean_age: Floats, fruit_sd: Floats
    ) -> tuple[Floats, Floats, Floats]:
        """Mean firmness (N) that fruit at an age has, its variance, and that of a reading's error
        (N^2)."""
        high, low = self.highest_n[checks, None], self.lowest_n[checks, None]
        among, stays = self.among[checks], self.stays_n[checks]
        firmness = firmness_n_at_age(mean_age[:, None] + fruit_sd[:, None] * _NODES, high, low)
        mean = firmness @ _WEIGHTS
        variance = np.square(firmness) @ _WEIGHTS - mean * mean
        variance = (1.0 - among) * (variance + among * np.square(mean - stays))
        mean = (1.0 - among) * mean + among * stays
        error2 = self.error_n[checks] ** 2 + np.square(self.error_part * mean)
        return mean, variance, error2

    def _log(self, checks: Indices, mean_age: Floats, fruit_sd: Floats) -> Floats:
        mean, variance, error2 = self.moments(checks, mean_age, fruit_sd)
        number = self.number[checks]
        one = variance + error2
        of_mean = one / number + SHARED_ERROR**2 * error2
        off2 = np.square(self.mean_n[checks] - mean)
        return np.asarray(
            -0.5
            * (
                (number - 1.0) * np.log(one)
                + self.squares_n2[checks] / one
                + np.log(of_mean)
                + off2 / of_mean
            )
        )


def set_aside(readings_n: Floats, stays_n: float, error_n: float) -> tuple[Floats, bool]:
    """Readings without those of fruit that never ripens, and whether that could be told.

    Whatever reads within three and a half errors of ``stays_n`` may not have ripened; it has not if
    all other fruit is four errors or more below it.
    """
    firm = readings_n >= stays_n - _WITHIN * error_n
    if firm.all() or not firm.any():
        return readings_n, not firm.any()
    apart = float(readings_n[firm].min() - readings_n[~firm].max()) > _APART * error_n
    return (readings_n[~firm] if apart else readings_n), apart
