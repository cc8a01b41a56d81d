"""Share of fruit that is past: too soft, or at the end of its ripe life, whichever comes first.

With the notation of :mod:`ripenroom.science.spread`, a fruit has the age ``m + e + g exp(s u)``
now and had ``m + e + h exp(s u)`` one ripe life ago. It is past if the first is beyond *too soft*
or the second beyond *ready*: slow fruit gets ready late, but then uses up its ripe life as fast as
any other. Given ``u`` that is a Normal in ``e``,

    P(past | u) = Phi((m + max(g exp(s u) - soft, h exp(s u) - ready)) / sd)

It is summed over ``u`` by the trapezoid rule, whose error for so smooth a sum falls faster than any
power of its step (as ``exp(-2 (pi sd / (g s step))^2)``), and over ripe lives from a fast to a slow
life, five of them that are equally likely. Where ``g s`` is at most four times ``sd`` shares are
within 0.003 of fine quadrature. Only where the answer is neither 0 nor 1 is anything summed.
"""

import numpy as np

from ripenroom.science.compiled import ndtr
from ripenroom.science.softening import Floats
from ripenroom.science.spread import shares_beyond

_REACH = 3.5
_WIDE_STEP, _NARROW_STEP = 1.0, 0.5
_SMOOTH = 0.6
"""Where ``sd`` is at least so much of ``g s``, steps of one sd of the rate lose nothing."""

_NEVER_SDS = 3.7
"""Beyond this every fruit is taken as past, or none."""

_SMALLEST_SD = 1e-9

_BLOCK = 15_000
"""Values taken at a time, so that they stay in a processor's second-level cache."""


def past_share(
    mean_age: Floats,
    advance: Floats,
    ripe_ago: tuple[Floats, ...],
    sd_age: Floats,
    rate_sd: Floats,
    ready_age: Floats,
    too_soft_age: Floats,
) -> Floats:
    """Expected share that is past, (batches, times).

    ``advance`` and each of ``ripe_ago`` have that shape
    (:class:`ripenroom.science.age_gain.AgeGain`; no ``ripe_ago``: ripe fruit lasts until it is too
    soft); the others that or (batches, 1).
    ``sd_age`` holds fruit differences and the doubt about the mean age.
    """
    if not ripe_ago:
        return shares_beyond((too_soft_age,), mean_age, advance, sd_age, rate_sd)[0]
    past = np.empty(advance.shape)
    columns = mean_age, sd_age, rate_sd, ready_age, too_soft_age
    block = max(1, _BLOCK // max(1, advance.shape[1]))
    for first in range(0, advance.shape[0], block):
        lines = slice(first, first + block)
        past[lines] = _of_block(
            advance[lines],
            tuple(ago[lines] for ago in ripe_ago),
            *(column[lines] for column in columns),
        )
    return past


def past_at_rate(
    mean_age: Floats,
    advance: Floats,
    ripe_ago: tuple[Floats, ...],
    sd_age: Floats,
    ready_age: Floats,
    too_soft_age: Floats,
    of_life: Floats | None = None,
) -> Floats:
    """Share that is past at a known rate; all arguments broadcast.

    ``ripe_ago`` are one, the usual, or several, each as likely as ``of_life`` says on its first
    axis (None: all alike).
    """
    sd_age = sd_age + _SMALLEST_SD
    soft = advance - too_soft_age
    if not ripe_ago:
        return np.asarray(ndtr((mean_age + soft) / sd_age))
    shares = [ndtr((mean_age + np.maximum(soft, ago - ready_age)) / sd_age) for ago in ripe_ago]
    if of_life is None:
        return np.asarray(sum(shares) / len(shares))
    return np.asarray(sum(own * share for own, share in zip(of_life, shares, strict=True)))


def _of_block(
    advance: Floats,
    ripe_ago: tuple[Floats, ...],
    mean_age: Floats,
    sd_age: Floats,
    rate_sd: Floats,
    ready_age: Floats,
    too_soft_age: Floats,
) -> Floats:
    fast, slow = ripe_ago[0], ripe_ago[-1]
    factor = np.exp(_REACH * rate_sd)

    def bound(gained: Floats, up: bool) -> Floats:
        """Gained at the fastest or slowest rate; before the reference point that is reversed."""
        return np.asarray(np.where((gained > 0.0) == up, gained * factor, gained / factor))

    most = np.maximum(bound(advance, True) - too_soft_age, bound(fast, True) - ready_age)
    least = np.maximum(bound(advance, False) - too_soft_age, bound(slow, False) - ready_age)
    reach = _NEVER_SDS * sd_age + _SMALLEST_SD
    past = np.where(mean_age + least > reach, 1.0, 0.0)
    open_ = np.nonzero((past == 0.0) & (mean_age + most > -reach))
    if open_[0].size:
        columns = (advance, mean_age, sd_age, rate_sd, ready_age, too_soft_age)
        cells = [np.broadcast_to(column, advance.shape)[open_] for column in columns]
        lives = [ago[open_] for ago in ripe_ago]
        smooth = cells[2] >= _SMOOTH * np.abs(cells[0]) * cells[3]
        found = np.empty(smooth.size)
        for which, step in ((smooth, _WIDE_STEP), (~smooth, _NARROW_STEP)):
            if which.any():
                own = [ago[which] for ago in lives]
                found[which] = _summed(step, own, *(cell[which] for cell in cells))
        past[open_] = found
    return past


def _summed(
    step: float,
    ripe_ago: list[Floats],
    advance: Floats,
    mean_age: Floats,
    sd_age: Floats,
    rate_sd: Floats,
    ready_age: Floats,
    too_soft_age: Floats,
) -> Floats:
    """The sum over rates, in steps of so many sds, and over ripe lives; all of shape (n,)."""
    per_sd = 1.0 / (sd_age + _SMALLEST_SD)
    beyond_soft, beyond_ready = (mean_age - too_soft_age) * per_sd, (mean_age - ready_age) * per_sd
    gained, lives = advance * per_sd, [ago * per_sd for ago in ripe_ago]
    z = np.arange(-_REACH, _REACH + step / 2.0, step)
    of_z = np.exp(-0.5 * z * z) / np.exp(-0.5 * z * z).sum() / len(lives)
    rate, faster = np.exp(-_REACH * rate_sd), np.exp(step * rate_sd)
    total = np.zeros(advance.shape)
    for counts in of_z.tolist():
        soft = gained * rate + beyond_soft
        for ago in lives:
            total += counts * ndtr(np.maximum(soft, ago * rate + beyond_ready))
        rate *= faster
    return total
