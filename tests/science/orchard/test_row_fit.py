"""What sightings leave believed, against a grid of everything, and what rows teach each other."""

from dataclasses import replace

import numpy as np
import pytest

from ripenroom.science.orchard.cohort import LOG_FRUIT, LOG_PACE, LOG_SPREAD, NEEDS, follow
from ripenroom.science.orchard.pick_forecast import forecast
from ripenroom.science.orchard.row_fit import (
    ROW_SD,
    CultivarBelief,
    learn,
    learn_cultivar,
)
from ripenroom.science.orchard.sightings import Sightings
from ripenroom.science.softening import Floats
from tests.science.orchard.rows_made import (
    any_sightings,
    cultivars,
    marks,
    no_sightings,
    rows_of,
    walks,
)

SEEN = walks(
    [0, 0, 0],
    [128.0, 132.0, 136.0],
    [[29.0, 1, 0, 0, 0], [24.0, 5, 1, 0, 0], [15.0, 9, 4, 2, 0]],
)


def test_nothing_seen_leaves_what_was_believed() -> None:
    rows, before = rows_of([0, 0, 1]), cultivars(2)
    belief = learn(rows, marks(3), before, no_sightings())
    assert belief.cultivars.mean == pytest.approx(before.mean, abs=1e-6)
    assert belief.cultivars.sd == pytest.approx(before.sd)
    assert belief.mean[:, NEEDS] == pytest.approx([135.0] * 3)
    sd = np.sqrt(belief.covariance[:, NEEDS, NEEDS])
    assert sd == pytest.approx(np.full(3, np.hypot(10.0, ROW_SD[0])))
    assert belief.weight == pytest.approx(np.full(belief.weight.shape, 1.0 / 16.0))


@pytest.mark.parametrize("late", [-60.0, -35.0, 35.0, 60.0])
def test_walked_trees_are_not_bare_however_far_off_the_book_is(late: float) -> None:
    """A slip in the day of bloom, or another climate: six sds and more off what was believed."""
    sure = cultivars(1, needs_sd=8.0)
    seen = replace(SEEN, tree_days=SEEN.tree_days + late, hanging=np.array([150.0, np.nan, np.nan]))
    belief = learn(rows_of([0]), marks(1), sure, seen)
    usual = learn(rows_of([0]), marks(1), cultivars(1, needs_sd=30.0), SEEN)
    assert belief.mean[0, NEEDS] - late == pytest.approx(usual.mean[0, NEEDS], abs=2.0)
    now = np.array([[136.0 + late]])
    hanging = forecast(belief, now).hanging
    assert hanging.low[0, 0] > 75.0
    assert hanging.high[0, 0] < 220.0


def test_one_row_agrees_with_a_grid() -> None:
    """All four unknowns on a grid, with the row's own prior (the cultivar's and the row's doubt
    together): means within a sixth of an sd, sds within a fifth."""
    rows, before = rows_of([0]), cultivars(1)
    belief = learn(rows, marks(1), before, SEEN)
    sd = np.hypot(before.sd[0], ROW_SD)
    axes = [
        np.linspace(126.0, 146.0, 41),
        np.linspace(np.log(4.0) - 0.9, np.log(4.0) + 0.9, 19),
        np.log([150.0]),
        np.linspace(-0.9, 0.9, 19),
    ]
    at = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 1, 4)
    off = (at[:, 0, [NEEDS, LOG_SPREAD, LOG_PACE]] - before.mean[0]) / sd
    log = follow(at, np.zeros(1), marks(1), SEEN.table(1)).log_likelihood[:, 0]
    log -= 0.5 * np.square(off).sum(axis=1)
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    for column in (NEEDS, LOG_SPREAD, LOG_PACE):
        mean = float(weight @ at[:, 0, column])
        wide = float(np.sqrt(weight @ np.square(at[:, 0, column] - mean)))
        found = belief.points[:, 0, column]
        middle = float(belief.weight[:, 0] @ found)
        spread = float(np.sqrt(belief.covariance[0, column, column]))
        assert abs(middle - mean) < wide / 6.0 + 0.02
        assert spread == pytest.approx(wide, rel=0.2)


def test_a_walk_of_one_row_teaches_of_its_cultivar_and_of_no_other() -> None:
    rows, before = rows_of([0, 0, 1]), cultivars(2)
    early = walks([0, 0], [125.0, 129.0], [[20.0, 8, 2, 0, 0], [8.0, 14, 6, 2, 0]])
    belief = learn(rows, marks(3), before, early)
    assert belief.cultivars.mean[0, 0] < 130.0
    assert belief.mean[1, NEEDS] < 130.0
    assert belief.mean[0, NEEDS] < belief.mean[1, NEEDS]
    assert belief.mean[2, NEEDS] == pytest.approx(135.0, abs=1e-6)
    own, other = (np.sqrt(belief.covariance[row, NEEDS, NEEDS]) for row in (0, 1))
    assert own < other < 4.0
    assert belief.of_cultivar[1] < belief.of_cultivar[2] < 1.0


def test_walks_that_find_all_hard_move_the_season_on() -> None:
    rows, before = rows_of([0]), cultivars(1)
    hard = walks([0, 0], [135.0, 142.0], [[30.0, 0, 0, 0, 0]] * 2)
    belief = learn(rows, marks(1), before, hard)
    points = belief.points[:, 0, NEEDS]
    middle = float(belief.weight[:, 0] @ points)
    assert middle > 144.0
    assert float(belief.weight[points < 139.0, 0].sum()) < 0.1


def test_what_was_counted_and_picked_tells_how_many_there_are() -> None:
    rows, before = rows_of([0], 150.0, 0.6), cultivars(1)
    counted = replace(
        Sightings.nothing(np.array([0]), np.array([100.0])),
        hanging=np.array([300.0]),
        hanging_log_sd=np.array([0.1]),
    )
    belief = learn(rows, marks(1), before, counted)
    assert np.exp(belief.mean[0, LOG_FRUIT]) == pytest.approx(295.0, rel=0.05)
    assert np.sqrt(belief.covariance[0, LOG_FRUIT, LOG_FRUIT]) < 0.13
    picked = replace(
        Sightings.nothing(np.array([0, 0]), np.array([140.0, 150.0])),
        picked=np.array([[0.0, 200.0, 40.0, 0, 0], [0.0, 60.0, 20.0, 0, 0]]),
    )
    belief = learn(rows, marks(1), before, picked)
    assert np.exp(belief.mean[0, LOG_FRUIT]) > 310.0


def test_one_cultivar_learned_by_itself_is_as_in_all_of_it() -> None:
    rows, before = rows_of([0, 1, 0, 1, 1]), cultivars(2)
    seen = _season(5)
    only_first = seen.of(np.flatnonzero(np.isin(seen.row, [0, 2])))
    part = learn(rows, marks(5), before, only_first)
    whole = learn_cultivar(part, 1, before, seen)
    anew = learn(rows, marks(5), before, seen)
    for of in ("mean", "covariance", "of_cultivar", "points", "weight", "kept"):
        assert (getattr(whole, of) == getattr(anew, of)).all()
    assert (whole.cultivars.mean == anew.cultivars.mean).all()
    assert (whole.mean[[0, 2]] == part.mean[[0, 2]]).all()
    assert learn_cultivar(part, 7, before, seen) is part


def _season(rows: int) -> Sightings:
    """Walks of every row as a row half of whose fruit gives at 133 would show."""
    at = np.tile([126.0, 131.0, 136.0], rows)
    felt = np.tile([[29.0, 1, 0, 0, 0], [19.0, 8, 3, 0, 0], [7.0, 8, 7, 8, 0]], (rows, 1))
    return walks(np.repeat(np.arange(rows), 3).tolist(), at.tolist(), felt.tolist())


@pytest.mark.parametrize("seed", range(3))
def test_sightings_that_contradict_each_other_still_leave_an_answer(seed: int) -> None:
    rows, before = rows_of([0, 0, 1]), cultivars(2)
    belief = learn(rows, marks(3), before, any_sightings(3, 20, seed))
    every: list[Floats] = [belief.mean, belief.points, belief.weight, belief.kept]
    assert all(np.isfinite(part).all() for part in every)
    assert (np.linalg.eigvalsh(belief.covariance) > 0.0).all()


def test_no_rows_are_no_trouble() -> None:
    belief = learn(
        rows_of([]), marks(0), CultivarBelief(np.zeros((0, 3)), np.ones((0, 3))), no_sightings()
    )
    assert belief.mean.shape == (0, 4)
