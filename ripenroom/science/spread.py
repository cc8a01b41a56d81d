"""How ages are spread: fruit differ from one another, and the rate is not exactly known.

Age at a time is ``X = m + e + g exp(s u)``: ``m`` the mean age at the pick, or at whatever moment
it is known best, ``e`` Normal with standard deviation ``sd_age`` (fruit differences, doubt about
``m``, or both), ``g`` the *advance* since then (rate times reference days, negative before it) at
the median rate, and ``u`` standard Normal with ``s = rate_sd`` the standard deviation of the log
rate.

A Normal plus a lognormal has no closed distribution. Neither a first-order Normal (off by 0.024 in
a share at ``s = 0.2``) nor a few quadrature nodes over ``u`` (worse for narrow eat-by windows)
will do. Used here is a *shifted lognormal* whose mean, spread and third moment agree with X's to
second order in ``s``, with an Edgeworth term for the fourth. With ``r = g s / hypot(sd_age, g s)``:

    q = s r^3                                              skew
    S = hypot(sd_age, g s) (1 + 3/4 s^2 r^2 (1 - r^4))     scale
    c = m + g + g s^2 / 2 - S q / 2                        centre
    y = log(1 + q (x - c) / S) / q
    P(X <= x) = Phi(y - 2/3 s^2 r^4 (1 - r^2) (y^3 - 3 y))

It is exact where either part vanishes and costs one logarithm a value. Against fine quadrature a
share is within 0.0003 for ``s = 0.2``, 0.001 for 0.3 and 0.0025 for 0.4; a crop that waits cold
reaches 0.5 (0.005) or 0.6 (0.009). tests/science/test_spread.py maps the error. All arguments
broadcast.
"""

import math

import numpy as np

from ripenroom.science.compiled import ndtr, ndtri
from ripenroom.science.softening import Floats, FloatsLike

TAIL_80 = 1.2815515655446004
"""Standard Normal quantile of 90 %: an 80 % range runs this many sds either way."""

IN_RANGE = 0.8
"""Share of cases that an 80 % range holds."""

TAIL_40 = 0.5244005127080407
"""Standard Normal quantile of 70 %: a 40 % range runs this many sds either way."""

_SMALLEST = 1e-9
"""Keeps 0/0 out of the formulas where a spread is nil; far below anything that shows."""


_MOST_FOURTH = 1.0 / 24.0
"""Up to this Edgeworth term shares fall with age all the way to three sds; reached where
``rate_sd`` is 0.65, beyond which nothing here is accurate any more, but shares stay in order."""

_ALL_OLDER = -1.0 + 1e-15

_BLOCK = 15_000
"""Values taken at a time: a dozen arrays of this length fit a processor's second-level cache."""


def even_z(levels: int) -> Floats:
    """So many equally likely levels of a bell curve, rising, in sds from its mean: (levels,)."""
    return np.asarray(ndtri((np.arange(levels) + 0.5) / levels))


def sd_of_range(low: float, high: float) -> float:
    """The sd of a bell curve by the ends of its 80 % range."""
    return (high - low) / (2.0 * TAIL_80)


def log_sd_of_range(low: float, high: float) -> float:
    """The sd of the log of a positive number by the ends of its 80 % range."""
    return math.log(high / low) / (2.0 * TAIL_80)


def ratio_range(
    one: tuple[float, float, float], other: tuple[float, float, float]
) -> tuple[float, float, float]:
    """The 80 % range of how many times ``one`` is the ``other``, each a positive low end, middle
    and high end that the same doubt moves: what is left is how unevenly it does."""
    ratio = one[1] / other[1]
    with np.errstate(divide="ignore", invalid="ignore"):
        off = np.log(np.array(one) / one[1]) - np.log(np.array(other) / other[1])
    widest = float(np.abs(off[np.isfinite(off)]).max())
    return ratio * float(np.exp(-widest)), ratio, ratio * float(np.exp(widest))


def chance_sd(share: float, number: int) -> float:
    """Sd of the share found among so many, where each is one by this chance (binomial)."""
    return math.sqrt(share * (1.0 - share) / number)


def with_chance(low: float, mid: float, high: float, fruit: float) -> tuple[float, float, float]:
    """The 80 % range of a share of so many ``fruit``, drawn out by the chance in so few of them.

    The two are independent, so that their halves add as squares; the chance is that of a binomial,
    of which at least a quarter of a fruit is in doubt. Shares stay within 0 and 1.
    """
    by_chance = TAIL_80 * float(np.sqrt(max(mid * (1.0 - mid), 0.25 / fruit) / fruit))
    return (
        max(mid - float(np.hypot(mid - low, by_chance)), 0.0),
        mid,
        min(mid + float(np.hypot(high - mid, by_chance)), 1.0),
    )


def sds_off(off: float, low: float, high: float) -> float:
    """How many sds ``off`` is, of a bell curve whose 80 % range is ``low`` to ``high``."""
    return off * 2.0 * TAIL_80 / (high - low)


def shares_beyond(
    ages: tuple[Floats, ...], mean_age: Floats, advance: Floats, sd_age: Floats, rate_sd: Floats
) -> tuple[Floats, ...]:
    """Shares of fruit that have passed some ages: P(X > age), 0 to 1, for batches and times.

    ``advance`` has shape (batches, times), the others that or (batches, 1). Work that does not
    depend on the age is shared, and batches are taken a block at a time so that all of it stays in
    the processor's cache: twice as fast as one pass over the whole arrays.
    """
    shares = tuple(np.empty(advance.shape) for _ in ages)
    block = max(1, _BLOCK // max(1, advance.shape[1]))
    for first in range(0, advance.shape[0], block):
        lines = slice(first, first + block)
        spread = _Spread(mean_age[lines], advance[lines], sd_age[lines], rate_sd[lines])
        for age, share in zip(ages, shares, strict=True):
            spread.beyond(age[lines], out=share[lines])
    return shares


def age_at_quantile(
    z: FloatsLike,
    mean_age: FloatsLike,
    advance: FloatsLike,
    sd_age: FloatsLike,
    rate_sd: FloatsLike,
) -> Floats:
    """Age below which a share ``Phi(z)`` of the distribution lies."""
    return _Spread(mean_age, advance, sd_age, rate_sd).quantile(np.asarray(z, float))


def advance_at_quantile(
    z: FloatsLike,
    age: FloatsLike,
    mean_age: FloatsLike,
    sd_age: FloatsLike,
    rate_sd: FloatsLike,
    least: FloatsLike = 0.0,
) -> Floats:
    """Advance at which the quantile ``z`` of the ages reaches ``age``; ``least`` if it is below.

    Inverse of :func:`age_at_quantile` in ``advance`` by Newton steps with a slope that is exact in
    both limits. Within the tails of 80 % three leave an error below 3e-4 in age, half a minute or
    so, up to a ``rate_sd`` of 0.4, and below 3e-3 at 0.6.
    """
    z, age = np.asarray(z, float), np.asarray(age, float)
    mean_age, sd_age = np.asarray(mean_age, float), np.asarray(sd_age, float)
    rate_sd = np.asarray(rate_sd, float)
    stretch = np.expm1(rate_sd * z)
    begin = age - mean_age - z * sd_age
    # Before the reference point a faster rate means a younger age.
    advance = np.maximum(np.where(begin > 0.0, begin / (1.0 + stretch), begin), least)
    for _ in range(3):
        spread = _Spread(mean_age, advance, sd_age, rate_sd)
        slope = 1.0 + stretch * spread.rate_part
        advance = np.maximum(advance - (spread.quantile(z) - age) / slope, least)
    return np.asarray(advance)


class _Spread:
    """The corrected shifted lognormal for one set of arguments."""

    def __init__(
        self, mean_age: FloatsLike, advance: FloatsLike, sd_age: FloatsLike, rate_sd: FloatsLike
    ) -> None:
        advance = np.asarray(advance, float)
        rate_sd = np.asarray(rate_sd, float)
        by_rate = advance * rate_sd
        plain = np.sqrt(np.square(sd_age) + by_rate * by_rate) + _SMALLEST
        self.rate_part = by_rate / plain
        r2 = self.rate_part * self.rate_part
        s2 = rate_sd * rate_sd
        self._skew = rate_sd * self.rate_part * r2 + _SMALLEST
        self._scale = plain * (1.0 + (0.75 * s2) * r2 * (1.0 - r2 * r2))
        self._centre = mean_age + advance + 0.5 * (rate_sd * by_rate - self._scale * self._skew)
        self._fourth = np.minimum(((2.0 / 3.0) * s2) * r2 * r2 * (1.0 - r2), _MOST_FOURTH)

    def beyond(self, age: Floats, out: Floats | None = None) -> Floats:
        # Where 1 + q (x - c) / S <= 0 every fruit is older than x.
        stretched = np.maximum((age - self._centre) * (self._skew / self._scale), _ALL_OLDER)
        z = np.log1p(stretched) / -self._skew
        # The Edgeworth term is for the body; held at three sds it cannot turn the far tail round.
        z *= 1.0 - self._fourth * (np.minimum(z * z, 9.0) - 3.0)
        return np.asarray(ndtr(z, out=out))

    def quantile(self, z: Floats) -> Floats:
        body = z * (1.0 + self._fourth * (np.minimum(z * z, 9.0) - 3.0))
        return np.asarray(self._centre + self._scale * np.expm1(self._skew * body) / self._skew)
