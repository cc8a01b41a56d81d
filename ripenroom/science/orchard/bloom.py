"""When a crop is likely to have bloomed, from the warmth of spring alone."""

import numpy as np

from ripenroom.science.softening import Floats, FloatsLike

_SMOOTHED_DAYS = 15
_KNOWN_PART = 0.8


def warm_from(mean_c: FloatsLike, threshold_c: float) -> float:
    """The first day (number in ``mean_c``) of the warm part of a year: its days, smoothed over two
    weeks, are at ``threshold_c`` or above from then until the warmest of them.

    ``mean_c`` (days,) are mean temperatures (C), nan where not known. nan where no day before the
    warmest is colder, or most days about the one that was found are not known.
    """
    mean = np.asarray(mean_c, float)
    known = np.isfinite(mean)
    if not known.any():
        return float("nan")
    filled = np.interp(np.arange(mean.size), np.flatnonzero(known), mean[known])
    window = np.ones(_SMOOTHED_DAYS)
    smooth = np.convolve(filled, window, "same") / np.convolve(np.ones(mean.size), window, "same")
    cold = np.flatnonzero(smooth[: int(smooth.argmax())] < threshold_c)
    if not cold.size:
        return float("nan")
    found = int(cold[-1]) + 1
    about: Floats = known[max(found - _SMOOTHED_DAYS // 2, 0) : found + _SMOOTHED_DAYS // 2 + 1]
    return float(found) if about.mean() >= _KNOWN_PART else float("nan")
