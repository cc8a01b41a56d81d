"""From where on age and rate are independent, against draws from their joint belief."""

from dataclasses import replace

import numpy as np
import pytest

from ripenroom.science.air import ScheduledAir
from ripenroom.science.batches import Checked
from ripenroom.science.ready import expected_shares
from ripenroom.science.reference_point import RateDoubt, on_way, reference_point_of
from tests.science.batches import PAWPAW, Case, Crop, case, gained_at

DAY_H = 24.0
CHECKED_DAYS = 3.0
RATE_SD, AGE_SD, RATE_AGE = 0.15, 0.4, -0.85
DRAWS = 400_000

PLAIN = PAWPAW.but(slope_sd=0.0, rate_sd=RATE_SD, doubt_sd=AGE_SD, mean_age=-1.4, ripens=1.0)


def checked(crop: Crop, at_days: float = CHECKED_DAYS) -> Case:
    """A batch at 20 C whose age at pick and rate are correlated, as after a check."""
    one = case(crop, [ScheduledAir((0.0,), (20.0,), 0.01, 0.0, 0.0)], [((0.0, 0),)])
    told = Checked(
        known_h=np.array([DAY_H * at_days]),
        age_rate=np.array([RATE_AGE * AGE_SD * RATE_SD]),
        age_slope=np.zeros(1),
        rate_slope=np.zeros(1),
        spread_sd=np.zeros(1),
    )
    return replace(one, batches=replace(one.batches, checked=told))


def drawn() -> tuple[np.ndarray, np.ndarray]:
    """Ages at pick and rates per day."""
    together = RATE_AGE * AGE_SD * RATE_SD
    covariance = [[AGE_SD**2, together], [together, RATE_SD**2]]
    rng = np.random.default_rng(2)
    age, log = rng.multivariate_normal([PLAIN.mean_age, 0.0], covariance, DRAWS).T
    return age, PLAIN.rate_per_day * np.exp(log)


@pytest.mark.parametrize("days", [0.5, 2.0, 3.0, 4.0, 6.0])
def test_shares_are_those_of_fruit_drawn_jointly(days: float) -> None:
    one = checked(PLAIN)
    age, rate = drawn()
    fruit = age + rate * days + np.random.default_rng(3).normal(0.0, PLAIN.fruit_sd, DRAWS)
    way = one.eat_by().way
    there = on_way(one.batches, way)
    advance = PLAIN.rate_per_day * (np.array([[days]]) - way.from_days[:, None])
    ready, past = expected_shares(there, gained_at(advance, way.rate_sd[:, None]))
    assert ready[0, 0] + past[0, 0] == pytest.approx((fruit > PLAIN.ready_age).mean(), abs=0.006)
    assert past[0, 0] == pytest.approx((fruit > PLAIN.too_soft_age).mean(), abs=0.006)


def test_dates_are_those_of_batches_drawn_jointly() -> None:
    opens = checked(PLAIN).eat_by().opens
    age, rate = drawn()
    days = np.quantile((PLAIN.ready_age - age) / rate, [0.1, 0.5, 0.9])
    found = np.array([opens.low[0], opens.mid[0], opens.high[0]]) / DAY_H
    assert found == pytest.approx(days, abs=0.06)


def test_a_check_narrows_what_lies_ahead_most() -> None:
    by_the_book = case(PLAIN, [ScheduledAir((0.0,), (20.0,), 0.01, 0.0, 0.0)], [((0.0, 0),)])
    before, after = by_the_book.eat_by().opens, checked(PLAIN).eat_by().opens
    assert after.high - after.low < 0.7 * (before.high - before.low)


def test_age_and_rate_are_independent_at_the_reference_point() -> None:
    way = checked(PLAIN).eat_by().way
    age, rate = drawn()
    then = age + rate * way.from_days[0]
    assert np.corrcoef(then, np.log(rate))[0, 1] == pytest.approx(0.0, abs=0.02)
    assert way.age[0] == pytest.approx(then.mean(), abs=0.01)
    assert way.doubt_sd[0] == pytest.approx(then.std(), rel=0.03)
    assert way.rate_sd[0] == pytest.approx(RATE_SD, rel=1e-3)


def test_without_correlation_it_is_the_pick() -> None:
    one = checked(PLAIN)
    assert one.batches.checked is not None
    alone = replace(one.batches.checked, age_rate=np.zeros(1), known_h=np.zeros(1))
    one = replace(one, batches=replace(one.batches, checked=alone))
    plain = case(PLAIN, [ScheduledAir((0.0,), (20.0,), 0.01, 0.0, 0.0)], [((0.0, 0),)])
    ours, theirs = one.eat_by(), plain.eat_by()
    assert ours.way.from_days[0] == pytest.approx(0.0, abs=1e-9)
    assert ours.opens.low == pytest.approx(theirs.opens.low, rel=1e-6)
    assert ours.opens.high == pytest.approx(theirs.opens.high, rel=1e-6)


def test_slope_doubt_counts_only_for_warmth_to_come() -> None:
    """Checked in the cold and moved to the reference temperature: there the slope no longer
    matters, and what the check said of it says nothing new."""
    airs = [ScheduledAir((0.0,), (c,), 0.01, 0.0, 0.0) for c in (8.0, 20.0)]
    crop = PLAIN.but(slope_sd=15.0)
    one = case(crop, airs, [((0.0, 0), (DAY_H * 10.0, 1))])
    told = Checked(np.array([DAY_H * 10.0]), np.zeros(1), np.zeros(1), np.zeros(1), np.zeros(1))
    batches = replace(one.batches, checked=told)
    way = reference_point_of(batches, np.array([DAY_H * 14.0]), one.ageing, one.slope)
    assert way.rate_sd[0] == pytest.approx(RATE_SD, abs=0.01)


def test_a_batch_that_was_not_checked_keeps_its_own() -> None:
    one = case(PLAIN, [ScheduledAir((0.0,), (20.0,), 0.01, 0.0, 0.0)], [((0.0, 0),)])
    way = reference_point_of(one.batches, np.array([100.0]), one.ageing, one.slope)
    assert (way.from_days[0], way.age[0], way.doubt_sd[0]) == (0.0, PLAIN.mean_age, AGE_SD)
    assert way.of(slice(0, 0)).age.size == 0


@pytest.mark.parametrize("slope_days", [-0.03, 0.03])
def test_days_that_hardly_differ_put_no_pulp_beyond_every_temperature(slope_days: float) -> None:
    """At -5 °C a kJ/mol takes 0.05 off the log of a rate at 30 °C, by Arrhenius."""
    none = np.zeros(1)
    rates = RateDoubt(np.full(1, RATE_SD), np.full(1, 11.6), none, np.full(1, 3.76), none)
    relative = rates.relative(np.full(1, 3.762), np.full(1, slope_days))
    assert 0.05 < abs(float(relative[0])) < 0.2
    assert np.sign(relative[0]) == np.sign(slope_days)
    assert np.exp(2.0 * rates.variance(relative)).item() < 100.0
