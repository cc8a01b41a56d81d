"""How much of every batch's fruit is ready, how much is past, and when most of it is ready.

Fruit that can never ripen is neither ready nor past. Three questions are kept apart: what to expect
with all that is not known (:func:`expected_shares`), how the fruit of a batch differ if all
estimates hold (:func:`shares_as_estimated`), and how far off that may be (:func:`ready_range`). The
best day (:func:`best_h`) is the top of the batch's own curve of ready fruit.
"""

from collections.abc import Callable

import numpy as np

from ripenroom.science.age_gain import AgeGain, Gaining
from ripenroom.science.batches import BatchAges
from ripenroom.science.clock import Indices
from ripenroom.science.compiled import ndtr
from ripenroom.science.past_share import past_at_rate, past_share
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80, even_z, shares_beyond, with_chance

_SMALLEST_SD = 1e-9

_LEVELS = 81
_DOUBT_Z = even_z(_LEVELS)
"""Equally likely levels of all that is not known of a batch's age: quantiles of a share that rises
and falls with it are then good to 0.006."""

_OfBand = Callable[[Indices | slice, Floats, Floats], tuple[Floats, Floats]]


def _over_bands(
    batches: BatchAges, shape: tuple[int, ...], of_band: _OfBand
) -> tuple[Floats, Floats]:
    """Shares (ready, past) of all fruit: ``of_band`` of each band's lines, mean age and fruit sd
    gives those of its own fruit."""
    ready, past = np.zeros(shape), np.zeros(shape)
    for lines, part, off_sds, sds in batches.ages.each():
        fruit_sd = batches.fruit_sd[lines, None]
        mean = batches.mean_age[lines, None] + off_sds * fruit_sd
        own_ready, own_past = of_band(lines, mean, sds * fruit_sd)
        counts = part * batches.ripens[lines, None]
        ready[lines] += counts * own_ready
        past[lines] += counts * own_past
    return ready, past


def expected_shares(batches: BatchAges, gained: AgeGain) -> tuple[Floats, Floats]:
    """Expected shares (ready, past) of all fruit, (batches, hours), all uncertainty included.

    ``batches`` are on their ways.
    """

    def of_band(lines: Indices | slice, mean: Floats, fruit_sd: Floats) -> tuple[Floats, Floats]:
        ready_age, soft_age = batches.ready_age[lines, None], batches.too_soft_age[lines, None]
        sd = np.hypot(fruit_sd, batches.doubt_sd[lines, None])
        own = gained.of(lines)
        if not own.ripe_ago:
            ready, past = shares_beyond((ready_age, soft_age), mean, own.advance, sd, own.rate_sd)
        else:
            (ready,) = shares_beyond((ready_age,), mean, own.advance, sd, own.rate_sd)
            past = past_share(mean, own.advance, own.ripe_ago, sd, own.rate_sd, ready_age, soft_age)
            np.minimum(past, ready, out=past)
        # In place: for many batches and days, fresh arrays cost as much as the arithmetic.
        ready -= past
        return ready, past

    return _over_bands(batches, gained.advance.shape, of_band)


def shares_as_estimated(batches: BatchAges, gained: AgeGain) -> tuple[Floats, Floats]:
    """Shares (ready, past) of all fruit if all estimates hold: only the fruit differ."""
    return _shares_at(batches, gained.usual, 1.0, 0.0, None)


def shares_at_rate(batches: BatchAges, gained: AgeGain, z: float) -> tuple[Floats, Floats]:
    """Shares (beyond ready, past) if the rate is ``z`` sds of its log from the middle.

    The doubts about each batch's own age and about ripe life are still spread over.
    """
    factor = np.exp(z * gained.rate_sd)
    ready, past = _shares_at(batches, gained, factor, 0.0, batches.doubt_sd[:, None])
    return ready + past, past


def ready_range(batches: BatchAges, gained: AgeGain) -> tuple[Floats, Floats, Floats]:
    """80 % range and median of the ready share of all fruit; range from what is not known alone.

    Levels of doubt are spread over mean age and rate as they most likely come together.
    """
    shares = _at_levels(batches, gained, _DOUBT_Z)[0]
    # Each level stands for the middle of its part of all that may be (Hazen's rule).
    low, mid, high = np.quantile(shares, (0.1, 0.5, 0.9), axis=2, method="hazen")
    return low, mid, high


def still_good(batches: BatchAges, gained: AgeGain, fruit: float) -> tuple[float, float, float]:
    """80 % range and middle, between its ends, of the share of so many ``fruit`` of one batch that
    is not past at one hour: with all doubt, spread as in :func:`ready_range`, and with chance."""
    past = _at_levels(batches, gained, np.array([TAIL_80, 0.0, -TAIL_80]))[1]
    low, mid, high = (1.0 - past[0, 0]).tolist()
    return with_chance(low, mid, high, fruit)


def _at_levels(batches: BatchAges, gained: AgeGain, doubt_z: Floats) -> tuple[Floats, Floats]:
    """Shares (ready, past) at levels of doubt, as mean age and rate most likely come together;
    (batches, hours, levels)."""
    usual, levels = gained.usual, doubt_z.size
    doubt, by_rate = batches.doubt_sd[:, None], usual.advance * usual.rate_sd
    total = np.hypot(doubt, by_rate) + _SMALLEST_SD
    log_factor, older = usual.rate_sd * by_rate / total, doubt * doubt / total
    shape = (*usual.advance.shape, levels)

    def spread(of_hour: Floats) -> Floats:
        """By hour and level, as so many columns."""
        return np.asarray((of_hour[:, :, None] * doubt_z).reshape(shape[0], shape[1] * levels))

    of_levels = usual.at_hours(np.repeat(np.arange(shape[1]), levels))
    ready, past = _shares_at(batches, of_levels, np.exp(spread(log_factor)), spread(older), None)
    return ready.reshape(shape), past.reshape(shape)


def _shares_at(
    batches: BatchAges,
    gained: AgeGain,
    factor: Floats | float,
    older: Floats | float,
    doubt_sd: Floats | None,
) -> tuple[Floats, Floats]:
    """Shares (ready, past) where rates are ``factor`` times, and fruit ``older`` than, estimated.

    With ``doubt_sd`` that of the mean age is spread over.
    """
    shape = gained.advance.shape
    factor, older = np.broadcast_to(factor, shape), np.broadcast_to(older, shape)

    def of_band(lines: Indices | slice, mean: Floats, fruit_sd: Floats) -> tuple[Floats, Floats]:
        ready_age, soft_age = batches.ready_age[lines, None], batches.too_soft_age[lines, None]
        sd = fruit_sd if doubt_sd is None else np.hypot(fruit_sd, doubt_sd[lines])
        mean = mean + older[lines]
        advance, *ripe_ago = (
            column[lines] * factor[lines] for column in (gained.advance, *gained.ripe_ago)
        )
        beyond_ready = ndtr((mean + advance - ready_age) / (sd + _SMALLEST_SD))
        past = past_at_rate(mean, advance, tuple(ripe_ago), sd, ready_age, soft_age)
        np.minimum(past, beyond_ready, out=past)
        return beyond_ready - past, past

    return _over_bands(batches, shape, of_band)


_COARSE_OF_BELL, _COARSE_OF_BANDS, _FINE = 17, 41, 7
"""Hours at which the curve is looked at: over its whole width, which has one top or, of several
bands, several; then around its top."""

_AS_GOOD = 0.005
"""Part of the top within which an hour is as good as the best: the middle of these is told."""


def best_h(batches: BatchAges, gaining: Gaining, begin_h: Floats, end_h: Floats) -> Floats:
    """Hour with the largest ready share as estimated, between two hours of each batch, (batches,).

    Where the curve is level the middle of the level stretch. ``begin_h`` where the end is not
    after it.
    """
    end_h = np.maximum(begin_h, end_h)
    several = batches.ages.several()
    best = np.empty(begin_h.size)
    for which, coarse in ((~several, _COARSE_OF_BELL), (several, _COARSE_OF_BANDS)):
        own: Indices | slice = np.flatnonzero(which)
        if which.all():
            own = slice(None)  # nothing is copied
        if which.any():
            part, there = batches.of(own), gaining.of(own)
            best[own] = _found(part, there, begin_h[own], end_h[own], coarse)
    return best


def _found(
    batches: BatchAges, gaining: Gaining, begin_h: Floats, end_h: Floats, coarse: int
) -> Floats:
    step = (end_h - begin_h) / (coarse - 1)
    top = _top(batches, gaining, begin_h, step, coarse, 0.0)
    begin_h = np.maximum(top - step, begin_h)
    step = (np.minimum(top + step, end_h) - begin_h) / (_FINE - 1)
    return _top(batches, gaining, begin_h, step, _FINE, _AS_GOOD)


def _top(
    batches: BatchAges,
    gaining: Gaining,
    begin_h: Floats,
    step_h: Floats,
    points: int,
    as_good: float,
) -> Floats:
    """The middle of the first stretch of hours whose share is as good as the largest."""
    hours = begin_h[:, None] + step_h[:, None] * np.arange(points)
    ready = shares_as_estimated(batches, gaining.usual_at(hours))[0]
    good = ready >= (1.0 - as_good) * ready.max(axis=1, keepdims=True) - 1e-12
    first = good.argmax(axis=1)
    number = np.arange(points) - first[:, None]
    # Good hours without a gap since the first of them are as many as have gone by.
    length = (good & (np.cumsum(good, axis=1) == number + 1)).sum(axis=1)
    return np.asarray(begin_h + step_h * (first + (length - 1) / 2.0))
