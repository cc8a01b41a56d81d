"""From where on age and rate are independent, against draws from their joint belief."""

from dataclasses import replace

import numpy as np
import pytest

from ripenroom.science.age_gain import Gaining
from ripenroom.science.air import ScheduledAir
from ripenroom.science.batches import LearnedDoubts
from ripenroom.science.gated_ageing import GatedAgeing
from ripenroom.science.ready import expected_shares
from ripenroom.science.reference_point import on_way, reference_point_of
from tests.science.batches import PAWPAW, Case, Crop, case, gained_at

DAY_H = 24.0
CHECKED_DAYS = 3.0
RATE_SD, AGE_SD, RATE_AGE = 0.15, 0.4, -0.85
DRAWS = 400_000

PLAIN = PAWPAW.but(slope_sd=0.0, rate_sd=RATE_SD, doubt_sd=AGE_SD, mean_age=-1.4, ripens=1.0)


def checked(crop: Crop, at_days: float = CHECKED_DAYS) -> Case:
    """A batch at 20 C whose age at pick and rate are correlated, as after a check."""
    one = case(crop, [ScheduledAir((0.0,), (20.0,), 0.01, 0.0, 0.0)], [((0.0, 0),)])
    told = LearnedDoubts(
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
    way = one.way()
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
    way = checked(PLAIN).way()
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
    assert one.way().from_days[0] == pytest.approx(0.0, abs=1e-9)
    assert ours.opens.low == pytest.approx(theirs.opens.low, rel=1e-6)
    assert ours.opens.high == pytest.approx(theirs.opens.high, rel=1e-6)


def test_slope_doubt_counts_only_for_warmth_to_come() -> None:
    """Checked in the cold and moved to the reference temperature: there the slope no longer
    matters, and what the check said of it says nothing new."""
    airs = [ScheduledAir((0.0,), (c,), 0.01, 0.0, 0.0) for c in (8.0, 20.0)]
    crop = PLAIN.but(slope_sd=15.0)
    one = case(crop, airs, [((0.0, 0), (DAY_H * 10.0, 1))])
    told = LearnedDoubts(
        np.array([DAY_H * 10.0]), np.zeros(1), np.zeros(1), np.zeros(1), np.zeros(1)
    )
    batches = replace(one.batches, checked=told)
    way = reference_point_of(batches, np.array([DAY_H * 14.0]), one.ageing, one.slope)
    assert way.rate_sd[0] == pytest.approx(RATE_SD, abs=0.01)


def test_a_batch_that_was_not_checked_keeps_its_own() -> None:
    one = case(PLAIN, [ScheduledAir((0.0,), (20.0,), 0.01, 0.0, 0.0)], [((0.0, 0),)])
    way = reference_point_of(one.batches, np.array([100.0]), one.ageing, one.slope)
    assert (way.from_days[0], way.age[0], way.doubt_sd[0]) == (0.0, PLAIN.mean_age, AGE_SD)
    assert way.of(slice(0, 0)).age.size == 0


@pytest.mark.parametrize("opens_day", [2.0, 5.0, 12.0])
def test_whenever_a_gate_opened_a_pace_is_doubted_by_what_came_after_the_check(
    opens_day: float,
) -> None:
    """All of it at 11 °C: d ln A / d energy is that of 11 °C, by Arrhenius, however many days in
    the cold had counted by the check."""
    cold_c, warm_c = 3.0, 11.0
    airs = [ScheduledAir((0.0,), (c,), 0.01, 0.0, 0.0) for c in (cold_c, warm_c)]
    one = case(PLAIN.but(slope_sd=15.0), airs, [((0.0, 0), (DAY_H * 9.0, 1))])
    told = LearnedDoubts(np.array([DAY_H * 10.0]), *(np.zeros(1) for _ in range(4)))
    batches = replace(one.batches, checked=told)
    mid_h = np.array([[DAY_H * 5.0]])
    ageing = GatedAgeing(one.ageing, mid_h, np.array([0.1]), mid_h, mid_h)
    way = reference_point_of(batches, np.array([DAY_H * 14.0]), ageing, one.slope)
    known = on_way(batches, way)
    gaining = Gaining.along(known, way, ageing, one.slope, one.limits.ripe_life)
    opened = gaining.with_ageing(ageing.opening_at(np.array([[DAY_H * opens_day]])))
    hours = DAY_H * np.array([[10.1, 10.5, 11.0, 12.5, 16.0]])
    relative = PLAIN.response.slope_per_kj_mol(np.array([warm_c])).item()
    assert opened.at(hours).per_kj_mol == pytest.approx(relative, rel=1e-3)
    assert opened.at_common(hours[0]).per_kj_mol == pytest.approx(relative, rel=1e-3)
