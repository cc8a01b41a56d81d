"""How likely gauge readings are, fitted in firmness with the gauge's error at the prediction.

An age near an asymptote is worthless as a datum, so mean and variance of firmness over the batch
are integrated and the readings taken as Normal around them. Half as much error again is shared by
all readings of a check: a gauge off zero, a heavy hand. Both can be integrated exactly.

Fruit that can never ripen stays as firm as it was. Among fruit that has softened it stands out, and
is set aside and counted; as long as the batch is firm it is part of the mean and the variance.
"""

from dataclasses import dataclass, fields

import numpy as np

from ripenroom.science.able_to_ripen import with_odds_times
from ripenroom.science.at_pick import SHARED_ERROR
from ripenroom.science.clock import Indices
from ripenroom.science.learning.expansion import Expansion, ThirdDerivatives
from ripenroom.science.learning.feel import ODD_SHARE
from ripenroom.science.softening import Flags, Floats, age_from_firmness_n, firmness_n_at_age

_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(15)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()

_STEP = 1e-3
_Way = tuple[int, int, int]
_X, _S, _A = (1, 0, 0), (0, 1, 0), (0, 0, 1)
_XS, _XA, _SA = (1, 1, 0), (1, 0, 1), (0, 1, 1)
_WAYS = (_X, _S, _A, _XS, _XA, _SA)
"""Ways to look from a check: in age, log spread and log odds, and in two of them at once."""

_THIRD_STEP = 0.02

_WITHIN, _APART = 3.5, 4.0


@dataclass(frozen=True, slots=True)
class ReadChecks:
    """Readings (N) of each check: how many, their mean and sum of squares about it (N^2).

    The error of one reading at firmness F is ``hypot(error_n, error_part * F)``. ``highest_n`` and
    ``lowest_n`` are the asymptotes. Of the fruit the share ``ripens`` can ripen and has these ages;
    the other stays at ``stays_n``. Where that could be told (``apart``), so many fruit that did not
    ripen were set ``aside``.
    """

    number: Floats
    mean_n: Floats
    squares_n2: Floats
    error_n: Floats
    error_part: float
    highest_n: Floats
    lowest_n: Floats
    ripens: Floats
    apart: Flags
    aside: Floats
    stays_n: Floats

    def some(self, lines: Indices | slice) -> "ReadChecks":
        """Some of them only."""
        columns = {f.name: getattr(self, f.name) for f in fields(ReadChecks)}
        return ReadChecks(**{n: c if n == "error_part" else c[lines] for n, c in columns.items()})

    def content(self) -> Floats:
        """What they are likely by; see :class:`Likelihood`."""
        columns = (getattr(self, f.name) for f in fields(ReadChecks))
        return np.column_stack([np.broadcast_to(c, self.number.shape) for c in columns])

    def expand(
        self, checks: Indices, mean_age: Floats, fruit_sd: Floats, able: Floats
    ) -> Expansion:
        """Expansion of these checks; see :class:`Likelihood`. Differences are central."""

        def at(x: int, s: int, a: int) -> Floats:
            return self._log(
                checks, mean_age + x * _STEP, fruit_sd * np.exp(s * _STEP), able + a * _STEP
            )

        here = at(0, 0, 0)
        ahead = {way: at(*way) for way in _WAYS}
        behind = {way: at(*(-step for step in way)) for way in _WAYS}

        def slope(way: _Way) -> Floats:
            return (ahead[way] - behind[way]) / (2.0 * _STEP)

        def bend(way: _Way) -> Floats:
            return (ahead[way] + behind[way] - 2.0 * here) / _STEP**2

        xx, ss, aa = bend(_X), bend(_S), bend(_A)
        return Expansion(
            value=here,
            x=slope(_X),
            s=slope(_S),
            a=slope(_A),
            xx=xx,
            xs=(bend(_XS) - xx - ss) / 2.0,
            ss=ss,
            xa=(bend(_XA) - xx - aa) / 2.0,
            sa=(bend(_SA) - ss - aa) / 2.0,
            aa=aa,
        )

    def expand_further(
        self, checks: Indices, mean_age: Floats, fruit_sd: Floats, able: Floats
    ) -> tuple[Expansion, ThirdDerivatives]:
        """The same with third derivatives, central differences of the curvatures."""
        step, wide = _THIRD_STEP, np.exp(_THIRD_STEP)
        older = self.expand(checks, mean_age + step, fruit_sd, able)
        younger = self.expand(checks, mean_age - step, fruit_sd, able)
        wider = self.expand(checks, mean_age, fruit_sd * wide, able)
        closer = self.expand(checks, mean_age, fruit_sd / wide, able)
        more = self.expand(checks, mean_age, fruit_sd, able + step)
        fewer = self.expand(checks, mean_age, fruit_sd, able - step)
        third = ThirdDerivatives(
            xxx=(older.xx - younger.xx) / (2.0 * step),
            xxs=(older.xs - younger.xs) / (2.0 * step),
            xss=(older.ss - younger.ss) / (2.0 * step),
            sss=(wider.ss - closer.ss) / (2.0 * step),
            xxa=(older.xa - younger.xa) / (2.0 * step),
            xaa=(older.aa - younger.aa) / (2.0 * step),
            aaa=(more.aa - fewer.aa) / (2.0 * step),
        )
        return self.expand(checks, mean_age, fruit_sd, able), third

    def off_by(
        self, checks: Indices, mean_age: Floats, age_sd: Floats, fruit_sd: Floats, able: Floats
    ) -> Floats:
        """How many sds each check is off; see :class:`Likelihood`."""
        mean, variance, error2 = self.moments(checks, mean_age, fruit_sd, able)
        firm = self.moments(checks, mean_age - age_sd, fruit_sd, able)[0]
        soft = self.moments(checks, mean_age + age_sd, fruit_sd, able)[0]
        of_mean = (variance + error2) / self.number[checks] + SHARED_ERROR**2 * error2
        sd = np.sqrt(of_mean + np.square((firm - soft) / 2.0))
        return np.asarray((mean - self.mean_n[checks]) / sd)

    def seeming_age(self, checks: Indices, mean_age: Floats) -> Floats:
        """Age at which fruit has the mean firmness of each check; see :class:`Likelihood`."""
        return age_from_firmness_n(
            self.mean_n[checks], self.highest_n[checks], self.lowest_n[checks]
        )

    def moments(
        self, checks: Indices, mean_age: Floats, fruit_sd: Floats, able: Floats
    ) -> tuple[Floats, Floats, Floats]:
        """Mean firmness (N) that fruit at an age has, its variance, and that of a reading's error
        (N^2); ``able`` as in :class:`Likelihood`."""
        high, low = self.highest_n[checks, None], self.lowest_n[checks, None]
        ripens = with_odds_times(self.ripens[checks], np.exp(able))
        among = np.where(self.apart[checks], 0.0, 1.0 - ripens)
        stays = self.stays_n[checks]
        firmness = firmness_n_at_age(mean_age[:, None] + fruit_sd[:, None] * _NODES, high, low)
        mean = firmness @ _WEIGHTS
        variance = np.square(firmness) @ _WEIGHTS - mean * mean
        variance = (1.0 - among) * (variance + among * np.square(mean - stays))
        mean = (1.0 - among) * mean + among * stays
        error2 = self.error_n[checks] ** 2 + np.square(self.error_part * mean)
        return mean, variance, error2

    def _log(self, checks: Indices, mean_age: Floats, fruit_sd: Floats, able: Floats) -> Floats:
        mean, variance, error2 = self.moments(checks, mean_age, fruit_sd, able)
        number = self.number[checks]
        one = variance + error2
        of_mean = one / number + SHARED_ERROR**2 * error2
        off2 = np.square(self.mean_n[checks] - mean)
        ripens = with_odds_times(self.ripens[checks], np.exp(able))
        odd = ODD_SHARE / 2.0
        ripened = number * np.log(odd + (1.0 - ODD_SHARE) * ripens)
        never = self.aside[checks] * np.log(odd + (1.0 - ODD_SHARE) * (1.0 - ripens))
        return np.asarray(
            np.where(self.apart[checks], ripened + never, 0.0)
            + -0.5
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
