"""How long ripe fruit lasts, as packings tell it: of what was not firm some was good, some past.

Fruit is past if it seems too soft, or if its ripe life is over: if one ripe life ago, when it was
younger by the age ``D`` that it has gained since, it was ready already. So of fruit of mean age
``x`` that was not firm, the share ``R`` of what can ripen,

    P(past | x, D) = P(age > ready + D, or seems too soft) / R

and little of it past, where much must have been ready for long, says that ripe life is long. ``D``
grows as the rate does, and as ripe life.

Ages and rates are taken as all checks leave them, by what was firm: their doubt is integrated, that
of a cultivar's rate together for all its packings, and so is that about the age from which fruit is
ready, together for all of a crop: fruit that is past late may have got ready late. They learn
nothing back from what was past. Together with them ripe life would be far from any Normal
distribution: the top of all then lay half an sd off how much can ripen (one packing, against farms
drawn fruit by fruit). By itself it is one number for each crop, whose posterior is summed over a
grid.
"""

from dataclasses import dataclass, fields

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from ripenroom.science.ages import Bands
from ripenroom.science.clock import Indices
from ripenroom.science.compiled import ndtr, ndtri
from ripenroom.science.learning.feel import ODD_SHARE
from ripenroom.science.softening import Flags, Floats

NOSE_SD = 0.2
"""What a nose is off by from fruit to fruit, and ripe lives of fruit differ by, as a part of a ripe
life (an estimate)."""

OWN_LIFE_SD = 0.15
"""Sd of the log by which the ripe life of one batch differs from its crop's (an estimate)."""

_LOG_STEP = 0.4
LIVES_KNOWN = np.exp(_LOG_STEP * np.array([-1.0, 0.0, 1.0]))
"""How many times as long as the book's are the ripe lives in which is known what was gained."""

_LIVES = np.linspace(-4.0, 4.0, 33)
"""Ripe lives that are looked at, as logs, in sds of what was believed before."""

_RATES, _RATE_WEIGHTS = np.polynomial.hermite_e.hermegauss(7)
_RATE_LOGS = np.log(_RATE_WEIGHTS / _RATE_WEIGHTS.sum())

_MARKS = np.linspace(-2.5, 2.5, 11)
_MARK_LOGS = -0.5 * _MARKS**2 - np.log(np.exp(-0.5 * _MARKS**2).sum())
"""Levels of the age from which fruit is ready, in sds of it; so near to one another that many
packings fall between none of them."""

_CUTS = np.linspace(-6.0, 6.0, 81)
"""Ages beside the mean beyond which it is worked out how much fruit is."""

_SHIFTS = (_CUTS[1] - _CUTS[0]) * np.arange(1.0 - _CUTS.size, _CUTS.size)
"""By how much two of these may differ."""

_LEAST = 1e-9
_NEARLY_ALL = 0.95
"""Share of fruit that lies within 1.6 sds above the mean, or younger."""

_AT_A_TIME = 100
"""Packings that are looked at in one go: what that takes stays small."""


@dataclass(frozen=True, slots=True)
class RipeFruit:
    """Of each packing the fruit that were not firm, so many ``good`` and so many ``past``; all
    (packings,), or as said.

    Fruit was taken from the age ``fit_from`` on. It has the mean age ``age`` at the believed rate,
    known to ``age_sd`` by itself; a rate that is higher by a log of one makes it ``per_rate``
    older, and the log of the rate of its ``cultivar`` is known to ``rate_sd``. ``gained``
    (packings, 3) is the age gained in the ripe lives :data:`LIVES_KNOWN` before, at the believed
    rate; ``own_sd`` is the sd of its log that is this batch's own. Of what can
    ripen the share ``not_firm`` was not firm, to a hand that was off by ``judgement_sd`` for all of
    a packing. Fruit differ by ``fruit_sd``, in ``bands``.
    """

    good: Floats
    past: Floats
    fit_from: Floats
    ready_age: Floats
    too_soft_age: Floats
    age: Floats
    age_sd: Floats
    per_rate: Floats
    rate_sd: Floats
    cultivar: Indices
    gained: Floats
    own_sd: Floats
    judgement_sd: Floats
    not_firm: Floats
    fruit_sd: Floats
    bands: Bands

    def of(self, lines: Indices) -> "RipeFruit":
        """Some packings only."""
        columns = {f.name: getattr(self, f.name) for f in fields(RipeFruit)}
        bands = columns.pop("bands").of(lines)
        return RipeFruit(bands=bands, **{name: column[lines] for name, column in columns.items()})


def ripe_life(
    ripe: RipeFruit, log_days: float, log_days_sd: float, ready_sd: float = 0.0
) -> tuple[float, float]:
    """Mean and sd of the log of how many times as long as by the book ripe fruit of one crop lasts,
    where ``log_days`` was believed before, to ``log_days_sd``; the age from which fruit is ready is
    known to ``ready_sd``."""
    told = np.flatnonzero(ripe.good + ripe.past > 0.0)
    if not told.size or not log_days_sd:
        return log_days, log_days_sd
    ripe = ripe.of(told)
    lives = log_days + log_days_sd * _LIVES
    marks = ready_sd * _MARKS
    by_mark = np.zeros((lives.size, marks.size))
    for cultivar in np.unique(ripe.cultivar).tolist():
        own = np.flatnonzero(ripe.cultivar == cultivar)
        by_rate = sum(
            _log_likelihood(ripe.of(own[first : first + _AT_A_TIME]), lives, marks)
            for first in range(0, own.size, _AT_A_TIME)
        )
        by_mark += np.logaddexp.reduce(by_rate + _RATE_LOGS[:, None], axis=1)
    log = np.logaddexp.reduce(by_mark + _MARK_LOGS, axis=1)
    log -= 0.5 * np.square(_LIVES)
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    mean = float(weight @ lives)
    return mean, float(np.sqrt(weight @ np.square(lives - mean)))


def _log_likelihood(ripe: RipeFruit, lives: Floats, marks: Floats) -> Floats:
    """Of all packings of one cultivar, by ripe life, by how far the rate is off and by how far the
    age is from which fruit is ready, (lives, rates, marks)."""
    by_cut = _by_cut(ripe)
    rate = ripe.rate_sd[:, None] * _RATES
    gained = _gained(ripe, lives)[:, :, None] * np.exp(rate)[:, None, :]
    older = (ripe.age - ripe.ready_age)[:, None] + ripe.per_rate[:, None] * rate
    cut = (gained - older[:, None, :])[:, :, :, None] + marks
    # Where next to nothing was firm, fruit that is older seemed older as well.
    too_soft = (ripe.too_soft_age - ripe.ready_age)[:, None] - older
    too_soft[~_seemed_any_older(ripe)] = np.inf
    np.minimum(cut, too_soft[:, None, :, None], out=cut)
    return np.asarray(_interpolated(by_cut, cut).sum(axis=0))


def _by_cut(ripe: RipeFruit) -> Floats:
    """The log likelihood of each packing if all fruit is past that is further from the mean than
    each of the ages beside it, (packings, ages)."""
    usual = ripe.gained[:, LIVES_KNOWN.size // 2]
    off, sds = (x * ripe.fruit_sd[:, None] for x in (ripe.bands.off_sds, ripe.bands.sds))
    each_sd = np.hypot(sds, NOSE_SD * usual[:, None])
    too_soft = np.where(_seemed_any_older(ripe), np.inf, ripe.too_soft_age - _seems(ripe))
    cut = np.minimum(_CUTS, too_soft[:, None])
    z = (off[:, None, :] - cut[:, :, None]) / each_sd[:, None, :]
    past = (ripe.bands.part[:, None, :] * ndtr(z)).sum(axis=2) / ripe.not_firm[:, None]
    past = (1.0 - ODD_SHARE) * np.minimum(past, 1.0) + ODD_SHARE / 2.0
    log = ripe.past[:, None] * np.log(past) + ripe.good[:, None] * np.log1p(-past)
    # A batch's own ripe life shifts what is past as its own age does.
    own_sd = np.hypot(ripe.age_sd, ripe.own_sd * usual)
    by_shift = np.exp(-0.5 * np.square(_SHIFTS / np.maximum(own_sd, _LEAST)[:, None]))
    # Of each cut the weights of all: the cuts are even, so that these are stretches of one row.
    weight = sliding_window_view(by_shift, _CUTS.size, axis=1)[:, ::-1]
    top = log.max(axis=1, keepdims=True)
    mean = np.einsum("pij,pj->pi", weight, np.exp(log - top)) / weight.sum(axis=2)
    return np.asarray(top + np.log(np.maximum(mean, np.finfo(float).tiny)))


def _interpolated(by_cut: Floats, cut: Floats) -> Floats:
    """What a table has at each ``cut`` (packings, ...), which is used up."""
    cut -= _CUTS[0]
    cut /= _CUTS[1] - _CUTS[0]
    at = np.clip(cut, 0.0, _CUTS.size - 1.001, out=cut)
    before = at.astype(np.intp)
    at -= before
    # Taking from one long row is twice as fast as by row and column.
    before += np.arange(0, by_cut.size, _CUTS.size).reshape(-1, *[1] * (cut.ndim - 1))
    low = by_cut.take(before)
    before += 1
    at *= by_cut.take(before) - low
    return np.asarray(low + at)


def _seems(ripe: RipeFruit) -> Floats:
    """The mean age that each packing's fruit seemed to have to the hand that found so much of it
    not firm: by its age and by that, as either tells it."""
    fruit = (ripe.good + ripe.past) / ripe.not_firm
    share = np.clip(ripe.not_firm, 0.5 / fruit, 1.0 - 0.5 / fruit)
    z = ndtri(share)
    by_share = ripe.fit_from + ripe.fruit_sd * z
    chance2 = share * (1.0 - share) / fruit * np.square(ripe.fruit_sd / _density(z))
    weight = np.square(ripe.judgement_sd) / (np.square(ripe.judgement_sd) + chance2)
    return np.asarray(ripe.age + weight * (by_share - ripe.age))


def _seemed_any_older(ripe: RipeFruit) -> Flags:
    """Where next to nothing was firm, and fruit is older than that tells."""
    return (ripe.not_firm > _NEARLY_ALL) & (ripe.age > ripe.fit_from + 1.6 * ripe.fruit_sd)


def _density(z: Floats) -> Floats:
    return np.asarray(np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi))


def _gained(ripe: RipeFruit, lives: Floats) -> Floats:
    """The age gained in each ripe life, (packings, lives): the parabola, in logs, through those
    that are known."""
    short, usual, long = np.log(np.maximum(ripe.gained, _LEAST)).T[:, :, None]
    steps = lives / _LOG_STEP
    bend = np.minimum((short + long) / 2.0 - usual, 0.0)
    straight = (long - short) / 2.0
    near = np.clip(steps, -1.0, 1.0)
    # Beyond what is known a ripe life gains in the proportion of its days.
    return np.asarray(np.exp(usual + near * (straight + near * bend) + _LOG_STEP * (steps - near)))
