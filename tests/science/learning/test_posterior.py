"""Means and spreads against a sampler, and what the search does on the way."""

import threading

import numpy as np
import pytest

from ripenroom.science.learning.posterior import Cancelled, learn
from tests.science.learning.farms import Layout, dense, farm, sampled

LAYOUTS = [
    Layout(harvests, days, by_hand, 20 if by_hand else 8)
    for by_hand in (True, False)
    for harvests, days in ((1, (3.0,)), (2, (2.0, 4.0)), (3, (2.0, 5.0)))
]
DRAWS = 30_000


@pytest.mark.long
def test_it_agrees_with_a_sampler() -> None:
    """The rate and all ages: the mean to within a fiftieth of an sd as a rule (the sampler itself
    is good to a hundredth), and the sd to within a tenth."""
    off, wider = [], []
    for layout in LAYOUTS:
        for seed in range(3):
            of, _ = farm(layout, seed)
            found = learn(of)
            drawn = sampled(found, DRAWS)
            assert drawn.effective > 0.2 * DRAWS
            use = [of.cultivar_rate.start, *range(of.shared, of.shared + layout.harvests)]
            mean = np.concatenate([found.mean.shared, found.mean.age])
            off += ((mean - drawn.mean) / drawn.sd)[use].tolist()
            wider += (np.sqrt(np.diag(dense(found))) / drawn.sd - 1.0)[use].tolist()
    assert np.median(np.abs(off)) < 0.02
    assert np.quantile(np.abs(off), 0.9) < 0.05
    assert np.abs(off).max() < 0.2
    assert np.abs(wider).max() < 0.1


def test_the_mode_is_not_the_mean_and_the_mean_is_nearer() -> None:
    of, _ = farm(Layout(2, (2.0, 4.0), by_hand=False, fruit=8), 1)
    found = learn(of)
    drawn = sampled(found, DRAWS)
    mode, mean = (np.concatenate([at.shared, at.age]) for at in (found.mode, found.mean))
    by_mode = np.abs((mode - drawn.mean) / drawn.sd).max()
    by_mean = np.abs((mean - drawn.mean) / drawn.sd).max()
    assert by_mode > 0.1
    assert by_mean < 0.25 * by_mode


def test_doubt_about_the_slope_is_told_from_doubt_about_the_rate() -> None:
    """On a way where one sd of slope takes away 0.4 of the log of the days, checks tell of the sum
    of the two: both move, the slope the other way."""
    layout = Layout(3, (3.0, 6.0), by_hand=False, fruit=8, slope=-0.4)
    of, _ = farm(layout, 4)
    found = learn(of)
    covariance = found.arrow.tip_covariance
    cultivar_rate, slope_offset = of.cultivar_rate.start, of.slope_offset.start
    total = (
        covariance[cultivar_rate, cultivar_rate]
        - 0.8 * covariance[cultivar_rate, slope_offset]
        + 0.16 * covariance[slope_offset, slope_offset]
    )
    assert covariance[cultivar_rate, slope_offset] > 0.0
    assert total < 0.25 * covariance[cultivar_rate, cultivar_rate]
    assert found.mode.shared[slope_offset] * found.mode.shared[cultivar_rate] < 0.0


def test_many_checks_leave_the_true_rate() -> None:
    of, truth = farm(Layout(60, (2.0, 3.0, 4.0), by_hand=True), 8)
    found = learn(of)
    sd = float(np.sqrt(found.arrow.tip_covariance[of.cultivar_rate.start, of.cultivar_rate.start]))
    assert sd < 0.05
    assert abs(found.mean.shared[of.cultivar_rate.start] - truth) < 3.0 * sd


def test_without_a_check_nothing_is_learned() -> None:
    of, _ = farm(Layout(0, (), by_hand=True), 1)
    found = learn(of)
    mean, precision = of.prior()
    assert found.mean.shared == pytest.approx(mean)
    assert found.arrow.tip_covariance == pytest.approx(np.linalg.inv(precision))


def test_it_can_be_called_off() -> None:
    of, _ = farm(Layout(1, (3.0,), by_hand=True), 1)
    called_off = threading.Event()
    called_off.set()
    with pytest.raises(Cancelled):
        learn(of, called_off)
