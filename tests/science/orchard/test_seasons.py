"""What is carried from season to season."""

import numpy as np
import pytest

from ripenroom.science.orchard.row_fit import CultivarBelief
from ripenroom.science.orchard.seasons import SEASON_SD, believed_before, taught_by

USUAL = CultivarBelief(np.array([[135.0, 1.4, 0.0]]), np.array([[12.0, 0.3, 0.3]]))


def test_no_lesson_is_the_book_and_the_seasons_own_difference() -> None:
    none = np.zeros((0, 3))
    before = believed_before(USUAL, np.zeros(0, int), none, none)
    assert before.mean == pytest.approx(USUAL.mean)
    assert before.sd == pytest.approx(np.hypot(USUAL.sd, SEASON_SD))


def test_a_season_taught_and_put_back_is_what_it_left() -> None:
    """A sure season of a cultivar that is itself unsure: Bayes for the usual way, the season's own
    difference and what the season showed, all Normal, worked out as one matrix."""
    none = np.zeros((0, 3))
    before = believed_before(USUAL, np.zeros(0, int), none, none)
    seen, seen_sd = np.array([150.0, 1.6, -0.2]), np.array([2.0, 0.1, 0.2])
    weight = before.sd**-2 + seen_sd**-2
    after = CultivarBelief(
        (before.mean * before.sd**-2 + seen * seen_sd**-2) / weight, weight**-0.5
    )
    told, told_sd = taught_by(before, after)
    assert told == pytest.approx(seen[None])
    assert told_sd == pytest.approx(seen_sd[None])
    following = believed_before(USUAL, np.array([0]), told, told_sd)
    for column in range(3):
        usual, season = USUAL.sd[0, column] ** 2, SEASON_SD[column] ** 2
        # Covariance of this season, the next one, both about the usual way.
        both = usual + season + seen_sd[column] ** 2
        gain = usual / both
        mean = USUAL.mean[0, column] + gain * (seen[column] - USUAL.mean[0, column])
        variance = usual + season - gain * usual
        assert following.mean[0, column] == pytest.approx(mean)
        assert following.sd[0, column] == pytest.approx(np.sqrt(variance))


def test_many_seasons_leave_only_the_seasons_own_difference() -> None:
    rng = np.random.default_rng(2)
    seasons = 140.0 + rng.normal(0.0, SEASON_SD[0], 40)
    taught = np.column_stack([seasons, np.full(40, 1.3), np.full(40, 0.1)])
    believed = believed_before(USUAL, np.zeros(40, int), taught, np.full((40, 3), 0.5))
    assert believed.mean[0, 0] == pytest.approx(seasons.mean(), abs=0.3)
    assert believed.sd[0, 0] == pytest.approx(SEASON_SD[0], rel=0.03)


def test_a_season_without_a_look_taught_nothing() -> None:
    told, sd = taught_by(USUAL, USUAL)
    assert np.isinf(sd).all()
    assert told == pytest.approx(USUAL.mean)
