"""Rows, marks and beliefs for tests."""

from dataclasses import replace

import numpy as np

from ripenroom.science.orchard.row_fit import CultivarBelief, RowColumns
from ripenroom.science.orchard.sightings import Sightings
from ripenroom.science.orchard.tree_clock import TreeMarks
from ripenroom.science.softening import Floats

STARTS = (0.0, 2.1, 3.7, 7.8)


def marks(rows: int) -> TreeMarks:
    """The same for every row."""
    return TreeMarks(
        np.tile(STARTS, (rows, 1)), np.full(rows, 7.0), np.full(rows, 1.8), np.full(rows, 0.5)
    )


def rows_of(cultivar: list[int], fruit: float = 150.0, fruit_log_sd: float = 0.4) -> RowColumns:
    """Rows of these cultivars, that bloomed at 0."""
    number = len(cultivar)
    return RowColumns(
        np.array(cultivar, int),
        np.zeros(number),
        np.zeros(number),
        np.full(number, fruit),
        np.full(number, fruit_log_sd),
    )


def cultivars(number: int, needs: float = 135.0, needs_sd: float = 10.0) -> CultivarBelief:
    """What is believed before a season."""
    mean = np.tile([needs, np.log(4.0), 0.0], (number, 1))
    return CultivarBelief(mean, np.tile([needs_sd, 0.25, 0.25], (number, 1)))


def no_sightings() -> Sightings:
    """Nothing seen."""
    return Sightings.nothing(np.zeros(0, int), np.zeros(0))


def walks(row: list[int], tree_days: list[float], squeezed: list[list[float]]) -> Sightings:
    """Squeeze walks."""
    nothing = Sightings.nothing(np.array(row), np.array(tree_days, float))
    return replace(nothing, squeezed=np.array(squeezed, float))


def any_sightings(rows: int, looks: int, seed: int) -> Sightings:
    """Walks, picks, fruit on the ground and counts at random, none of them likely."""
    rng = np.random.default_rng(seed)
    row, at = rng.integers(0, rows, looks), rng.uniform(125.0, 150.0, looks)
    squeezed: Floats = rng.integers(0, 8, (looks, 5)).astype(float)
    picked: Floats = rng.integers(0, 9, (looks, 5)).astype(float)
    squeezed[::3], picked[1::2] = 0.0, 0.0
    return replace(
        Sightings.nothing(row, at),
        squeezed=squeezed,
        picked=picked,
        picked_unfelt=np.where(rng.random(looks) < 0.2, 8.0, 0.0),
        dropped=np.where(rng.random(looks) < 0.4, rng.integers(0, 9, looks), np.nan),
        hanging=np.where(rng.random(looks) < 0.3, 140.0, np.nan),
    )
