"""Degree days from a day's lowest and highest temperature.

A day is drawn as a sine between its two temperatures; degree days are the mean height of that wave
above the lower threshold, cut off level at the upper one (Baskerville & Emin 1969, Ecology
50:514-517; formulas by cases in Zalom et al. 1983, University of California leaflet 21373; the
integrals below are the same in one piece). Citations from memory; the values are checked against
the University of California's own (``tests/science/orchard/test_degree_days.py``).
"""

import numpy as np

from ripenroom.science.softening import Floats, FloatsLike


def degree_days(
    lowest_c: FloatsLike, highest_c: FloatsLike, lower_c: FloatsLike, upper_c: FloatsLike = np.inf
) -> Floats:
    """Degree days (C) of each day, never below 0; all arguments broadcast.

    ``lower_c`` and ``upper_c`` are the thresholds. Raises ``ValueError`` where a day's lowest is
    above its highest, or thresholds are crossed; nan stays nan.

    >>> float(degree_days(10.0, 20.0, 10.0))
    5.0
    """
    low, high = np.asarray(lowest_c, float), np.asarray(highest_c, float)
    lower, upper = np.asarray(lower_c, float), np.asarray(upper_c, float)
    if (low > high).any():
        raise ValueError("a day's lowest temperature is above its highest")
    if (lower >= upper).any():
        raise ValueError("the lower threshold is not below the upper one")
    return _above(low, high, lower) - _above(low, high, upper)


def _above(low: Floats, high: Floats, threshold: Floats) -> Floats:
    """Mean height of a day's wave above a threshold (C)."""
    mean, half = (low + high) / 2.0, (high - low) / 2.0
    # Where in its range the threshold lies: -1 at the lowest temperature or below it, 1 at the
    # highest or above it.
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        within = np.where(half > 0.0, (threshold - mean) / half, np.sign(threshold - mean))
    angle = np.arcsin(np.clip(within, -1.0, 1.0))
    share = 0.5 - angle / np.pi
    # Of an endless threshold nothing is above it.
    over = np.where(share > 0.0, mean - np.where(share > 0.0, threshold, 0.0), 0.0)
    return np.asarray(np.maximum(over * share + half * np.cos(angle) / np.pi, 0.0))
