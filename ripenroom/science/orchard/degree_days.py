"""Degree days from a day's lowest and highest temperature.

A day is drawn as a wave between its two temperatures; degree days are the mean height of that wave
above the lower threshold. The waves: a sine (Baskerville & Emin 1969, Ecology 50:514-517), a
triangle (Sevacherian, Stern & Mueller 1977, J. Econ. Entomol. 70:399-402), or the plain average
(McMaster & Wilhelm 1997, Agric. For. Meteorol. 87:291-300, whose two ways to use it are here both).
Formulas by cases stand in Zalom et al. 1983, University of California leaflet 21373; the integrals
below are the same in one piece. Citations from memory; the values are checked against the
University of California's own (``tests/science/orchard/test_degree_days.py``).
"""

from typing import Literal

import numpy as np

from ripenroom.science.softening import Floats, FloatsLike

Method = Literal["average", "clipped average", "triangle", "sine"]
"""``clipped average`` first brings both temperatures within the thresholds, as for maize."""

Cutoff = Literal["horizontal", "intermediate", "vertical"]
"""Above the upper threshold growth goes on as at it, slows down as fast as it rose, or stops."""


def degree_days(
    lowest_c: FloatsLike,
    highest_c: FloatsLike,
    lower_c: FloatsLike,
    upper_c: FloatsLike = np.inf,
    method: Method = "sine",
    cutoff: Cutoff = "horizontal",
) -> Floats:
    """Degree days (C) of each day, never below 0; all arguments broadcast.

    ``lower_c`` and ``upper_c`` are the thresholds. An average knows no cutoff but the horizontal.
    Raises ``ValueError`` where a day's lowest is above its highest, or thresholds are crossed; nan
    stays nan.

    >>> float(degree_days(10.0, 20.0, 10.0))
    5.0
    """
    low, high = np.asarray(lowest_c, float), np.asarray(highest_c, float)
    lower, upper = np.asarray(lower_c, float), np.asarray(upper_c, float)
    if (low > high).any():
        raise ValueError("a day's lowest temperature is above its highest")
    if (lower >= upper).any():
        raise ValueError("the lower threshold is not below the upper one")
    if method == "average":
        return np.asarray(np.maximum((low + np.minimum(high, upper)) / 2.0 - lower, 0.0))
    if method == "clipped average":
        within = np.clip(low, lower, upper) + np.clip(high, lower, upper)
        return np.asarray(within / 2.0 - lower)
    above_lower, _ = _above(low, high, lower, method)
    above_upper, share = _above(low, high, upper, method)
    horizontal = above_lower - above_upper
    if cutoff == "horizontal":
        return horizontal
    # What the hours above the upper threshold count for by the horizontal cutoff.
    flat = np.where(share > 0.0, (np.where(share > 0.0, upper, lower) - lower) * share, 0.0)
    vertical = horizontal - flat
    if cutoff == "vertical":
        return vertical
    return vertical + np.maximum(flat - above_upper, 0.0)


def _above(
    low: Floats, high: Floats, threshold: Floats, method: Literal["triangle", "sine"]
) -> tuple[Floats, Floats]:
    """Mean height of a day's wave above a threshold (C), and the share of the day above it."""
    mean, half = (low + high) / 2.0, (high - low) / 2.0
    # Where in its range the threshold lies: -1 at the lowest temperature or below it, 1 at the
    # highest or above it.
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        within = np.where(half > 0.0, (threshold - mean) / half, np.sign(threshold - mean))
    within = np.clip(within, -1.0, 1.0)
    if method == "sine":
        angle = np.arcsin(within)
        share = 0.5 - angle / np.pi
        height = half * np.cos(angle) / np.pi
    else:
        share = (1.0 - within) / 2.0
        height = half * (1.0 - np.square(within)) / 4.0
    # Of an endless threshold nothing is above it.
    over = np.where(share > 0.0, mean - np.where(share > 0.0, threshold, 0.0), 0.0)
    return np.maximum(over * share + height, 0.0), share
