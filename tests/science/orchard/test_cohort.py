"""Rows followed from look to look: slopes, what picks take, and what looks tell."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ndtr

from ripenroom.science.orchard.cohort import LOG_FRUIT, NEEDS, WEIGHT, Z, follow
from ripenroom.science.orchard.sightings import Sightings
from tests.science.orchard.rows_made import any_sightings, marks, no_sightings, walks

ROWS = 3
AT = np.tile([135.0, 1.4, 5.3, 0.1], (ROWS, 1)) + np.random.default_rng(0).normal(0, 0.1, (ROWS, 4))
NOTHING = np.zeros(ROWS)


@pytest.mark.parametrize("seed", range(4))
def test_slopes_are_those_of_the_log_likelihood(seed: int) -> None:
    table = any_sightings(ROWS, 12, seed).table(ROWS)
    book = marks(ROWS)
    slope = follow(AT, NOTHING, book, table, slopes=True).slope
    for column in range(4):
        up, down = AT.copy(), AT.copy()
        up[:, column] += 1e-5
        down[:, column] -= 1e-5
        rise = (
            follow(up, NOTHING, book, table).log_likelihood
            - follow(down, NOTHING, book, table).log_likelihood
        )
        assert slope[:, column] == pytest.approx(rise / 2e-5, rel=1e-4, abs=1e-3)


def test_curvature_is_that_of_what_is_expected() -> None:
    """Of walks alone, squeezed as they would be on average, it is minus the second derivative."""
    middle = AT[:1]
    looks = np.array([130.0, 134.0, 138.0])
    flat = walks([0, 0, 0], looks.tolist(), [[6.0] * 5] * 3)
    shares = []
    for place in range(3):
        one = flat.of(np.array([place])).table(1)
        shares.append(_shares(middle, one.sightings.tree_days[0]))
    likely = replace(flat, squeezed=30.0 * np.array(shares)).table(1)
    book = marks(1)
    found = follow(middle, NOTHING[:1], book, likely, slopes=True).curvature[0]
    for column in range(4):
        up, down = middle.copy(), middle.copy()
        up[:, column] += 1e-4
        down[:, column] -= 1e-4
        bend = (
            follow(down, NOTHING[:1], book, likely, slopes=True).slope
            - follow(up, NOTHING[:1], book, likely, slopes=True).slope
        )[0] / 2e-4
        assert found[column] == pytest.approx(bend, rel=0.02, abs=0.02)


def _shares(at: np.ndarray, day: float) -> np.ndarray:
    """Shares by feel of what hangs, odd fruit and all, by the likelihood of one fruit of each."""
    found = []
    for feel in range(5):
        one = np.zeros((1, 5))
        one[0, feel] = 1.0
        look = walks([0], [day], one.tolist()).table(1)
        found.append(float(np.exp(follow(at, NOTHING[:1], marks(1), look).log_likelihood[0])))
    assert sum(found) == pytest.approx(1.0, abs=1e-9)
    return np.array(found)


def test_a_row_without_looks_is_not_followed() -> None:
    found = follow(AT, NOTHING, marks(ROWS), no_sightings().table(ROWS), slopes=True)
    assert (found.log_likelihood == 0.0).all()
    assert (found.slope == 0.0).all()
    assert (found.kept == 1.0).all()


def _picked(counts: list[float], unfelt: float = 0.0, day: float = 136.0) -> Sightings:
    nothing = Sightings.nothing(np.array([0]), np.array([day]))
    return replace(
        nothing, picked=np.array([counts], float), picked_unfelt=np.array([unfelt], float)
    )


@pytest.mark.parametrize(
    "pick",
    [_picked([0.0, 20.0, 8.0, 2.0, 0.0]), _picked([0.0] * 5, 30.0), _picked([12.0] + [0.0] * 4)],
)
def test_as_many_are_gone_as_were_picked(pick: Sightings) -> None:
    at = np.array([[135.0, np.log(4.0), np.log(150.0), 0.0]])
    kept = follow(at, NOTHING[:1], marks(1), pick.table(1)).kept[0]
    number = float(pick.picked.sum() + pick.picked_unfelt.sum())
    hung = ndtr((135.0 + 4.0 * Z + 7.0 - 136.0) / 1.8)
    gone = 150.0 * (WEIGHT * hung * (1.0 - kept)).sum()
    assert gone == pytest.approx(number, rel=0.03)
    gives = 135.0 + 4.0 * Z < 135.5
    if pick.picked[0, 0] > 0.0:
        assert kept[~gives].mean() < kept[gives].mean()
    else:
        assert kept[~gives].mean() > kept[gives].mean()


def test_no_more_can_be_taken_than_feel_so() -> None:
    at = np.array([[135.0, np.log(4.0), np.log(150.0), 0.0]])
    pick = _picked([0.0, 300.0, 300.0, 300.0, 300.0])
    kept = follow(at, NOTHING[:1], marks(1), pick.table(1)).kept[0]
    assert (kept >= 0.0).all()
    assert kept[Z > 2.0].min() > 0.95
    assert kept[Z < -1.0].max() < 0.1


def test_points_at_once_are_the_same_as_one_by_one() -> None:
    table, book = any_sightings(ROWS, 12, 5).table(ROWS), marks(ROWS)
    points = np.stack([AT, AT + 0.05, AT - 0.1])
    every = follow(points, NOTHING, book, table)
    for number, point in enumerate(points):
        one = follow(point, NOTHING, book, table, slopes=True)
        assert every.log_likelihood[number] == pytest.approx(one.log_likelihood)
        assert every.kept[number] == pytest.approx(one.kept)


def test_looks_tell_what_they_should() -> None:
    """Later where all is hard, earlier where it gives; more fruit where more was picked than there
    would be to pick."""
    at = np.array([[135.0, np.log(4.0), np.log(150.0), 0.0]])

    def slope(seen: Sightings) -> np.ndarray:
        found = follow(at, NOTHING[:1], marks(1), seen.table(1), slopes=True)
        return np.asarray(found.slope[0])

    assert slope(walks([0], [134.0], [[30.0, 0, 0, 0, 0]]))[NEEDS] > 1.0
    assert slope(walks([0], [134.0], [[5.0, 20, 5, 0, 0]]))[NEEDS] < -1.0
    assert slope(_picked([0.0, 100.0, 20.0, 5.0, 0.0]))[LOG_FRUIT] > 5.0
    assert slope(_picked([0.0, 3.0, 0.0, 0.0, 0.0]))[LOG_FRUIT] < -1.0


def test_sightings_are_laid_in_order_of_time() -> None:
    seen = walks([1, 0, 1, 1], [140.0, 131.0, 130.0, 135.0], [[1.0, 0, 0, 0, 0]] * 4)
    table = seen.table(3)
    assert table.looks == 3
    assert table.line.tolist() == [[1, -1, -1], [2, 3, 0], [-1, -1, -1]]
    rows, first = table.step(0)
    assert rows.tolist() == [0, 1]
    assert first.tree_days.tolist() == [131.0, 130.0]
    assert seen.of_rows(np.array([1])).row.tolist() == [0, 0, 0]
