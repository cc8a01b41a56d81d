"""When most fruit of a batch is ready: the top of its own curve of ready fruit."""

import numpy as np

from ripenroom.science.batches import BatchAges
from ripenroom.science.clock import Indices
from ripenroom.science.gained import Gaining
from ripenroom.science.ready import shares_as_estimated
from ripenroom.science.softening import Floats

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
