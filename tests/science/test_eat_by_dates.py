"""Eat-by windows: what each date means, what closes it, and how sure it is."""

from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtri

from ripenroom.science.ages import Bands
from ripenroom.science.air import ScheduledAir
from ripenroom.science.allowances import Allowance
from ripenroom.science.doubtful_date import DateRange
from ripenroom.science.eat_by_dates import (
    CHILLING,
    FREEZING,
    RIPE_LIFE,
    STORAGE_LIFE,
    TOO_SOFT,
    EatBy,
)
from ripenroom.science.softening import Floats
from tests.science.batches import PAWPAW, Crop, case
from tests.science.journeys import Journey

REFERENCE, COLD, SHED, FROZEN = 0, 1, 2, 3
AIRS = [
    ScheduledAir([0.0], [20.0], half_cooling_h=6.0),
    ScheduledAir([0.0], [4.0], half_cooling_h=4.0),
    ScheduledAir([0.0], [16.0], half_cooling_h=6.0, swing_k=4.0, warmest_h=15.0),
    ScheduledAir([0.0], [-40.0], half_cooling_h=1.0),
]
CHILLED = PAWPAW.but(chilling=Allowance((0.0, 4.0), (14.0, 28.0), none_from_c=6.0))
STORED = PAWPAW.but(storage=Allowance((0.0, 4.0), (18.0, 21.0), none_from_c=6.0))

journeys = st.lists(
    st.tuples(st.floats(0.0, 400.0), st.integers(0, 2)), min_size=1, max_size=3
).map(lambda stays: sorted(stays, key=lambda stay: stay[0]))
crops = st.builds(
    Crop,
    mean_age=st.floats(-4.0, 4.5),
    doubt_sd=st.floats(0.05, 1.5),
    fruit_sd=st.floats(0.1, 2.0),
    rate_sd=st.floats(0.0, 0.35),
    slope_sd=st.floats(0.0, 20.0),
    ripens=st.floats(0.0, 1.0),
    ripe_days=st.sampled_from([(np.inf,) * 3, (2.0, 2.5, 3.5)]),
    chilling=st.sampled_from([PAWPAW.chilling, CHILLED.chilling]),
    storage=st.sampled_from([PAWPAW.storage, STORED.storage]),
)


def windows(crop: Crop, *stays: Journey) -> EatBy:
    return case(crop, AIRS, list(stays)).eat_by()


def days(dates: DateRange, line: int = 0) -> tuple[float, float, float]:
    low, mid, high = (float(edge[line]) / 24.0 for edge in (dates.low, dates.mid, dates.high))
    return low, mid, high


def dates_of(window: EatBy) -> list[DateRange]:
    return [window.first_ready, window.opens, window.best, window.closes]


# What the dates mean. At the reference temperature a day is a reference day.


def test_dates_at_the_reference_temperature_by_hand() -> None:
    window = windows(PAWPAW, [(0.0, REFERENCE)])
    sd, rate, mean = 0.6, 0.8, -0.2
    assert days(window.opens)[1] == pytest.approx((1.7 - mean) / rate)
    assert days(window.best)[1] == pytest.approx(((1.7 + 3.6) / 2.0 - mean) / rate, abs=0.02)
    assert days(window.first_ready)[1] == pytest.approx((1.7 + sd * ndtri(0.1) - mean) / rate)
    assert days(window.closes)[1] == pytest.approx((3.6 + sd * ndtri(0.2) - mean) / rate)
    assert window.cause[0] == TOO_SOFT
    assert not window.uneven[0]


def test_fruit_that_is_already_soft_opens_at_the_pick() -> None:
    window = windows(PAWPAW.but(mean_age=2.5, doubt_sd=0.01), [(48.0, REFERENCE)])
    assert days(window.opens) == pytest.approx((2.0, 2.0, 2.0), abs=1e-5)
    assert days(window.closes)[1] > 2.1


def test_the_range_is_that_of_the_doubt_and_not_of_the_fruit() -> None:
    even, mixed = (
        days(windows(PAWPAW.but(fruit_sd=sd), [(0.0, REFERENCE)]).opens) for sd in (0.1, 1.2)
    )
    assert even == pytest.approx(mixed)


@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_the_range_from_doubt_about_the_age_alone_by_hand(sign: float) -> None:
    crop = PAWPAW.but(rate_sd=0.0, slope_sd=0.0, doubt_sd=0.5)
    low, mid, high = days(windows(crop, [(0.0, REFERENCE)]).opens)
    off = float(ndtri(0.9)) * 0.5 / 0.8
    assert (low, high)[sign > 0] == pytest.approx(mid + sign * off, abs=1e-3)


def test_the_range_from_doubt_about_the_rate_alone_by_hand() -> None:
    crop = PAWPAW.but(rate_sd=0.25, slope_sd=0.0, doubt_sd=0.0)
    low, mid, high = days(windows(crop, [(0.0, REFERENCE)]).opens)
    factor = np.exp(float(ndtri(0.9)) * 0.25)
    assert (low, high) == pytest.approx((mid / factor, mid * factor), rel=1e-3)


def test_doubt_about_the_slope_is_felt_in_the_cold_only() -> None:
    way = case(PAWPAW, AIRS, [[(0.0, REFERENCE)], [(0.0, COLD)]]).way()
    assert way.rate_sd[0] == pytest.approx(0.25)
    at_4_c = float(PAWPAW.response.slope_per_kj_mol(4.0))
    assert way.rate_sd[1] == pytest.approx(np.hypot(0.25, 15.0 * at_4_c))


@given(crop=crops, journey=journeys)
def test_ranges_are_ordered_and_none_comes_before_the_pick(crop: Crop, journey: Journey) -> None:
    for dates in dates_of(windows(crop, journey)):
        low, mid, high = (float(edge[0]) for edge in (dates.low, dates.mid, dates.high))
        # A root is found within three minutes, and six more as a lag is called over.
        known = [edge for edge in (low, mid, high) if not np.isnan(edge)]
        assert known == pytest.approx(sorted(known), abs=0.15)
        assert all(edge >= journey[0][0] - 1e-6 for edge in known)


@given(crop=crops, journey=journeys)
def test_dates_come_in_order(crop: Crop, journey: Journey) -> None:
    window = windows(crop, journey)
    first, opens, best, closes = (float(dates.mid[0]) for dates in dates_of(window))
    slack_h = 0.15
    assert np.isnan(opens) or np.isnan(first) or first <= opens + slack_h
    assert np.isnan(opens) == np.isnan(best)
    assert np.isnan(opens) or opens <= best <= closes


@given(
    move_h=st.floats(1.0, 300.0),
    crop=st.builds(Crop, mean_age=st.floats(-3.0, 1.0), slope_sd=st.just(0.0)),
)
def test_a_move_to_a_warmer_place_never_opens_later(move_h: float, crop: Crop) -> None:
    start: Journey = [(0.0, COLD)]
    window = windows(crop, *([*start, (move_h, place)] for place in (REFERENCE, SHED, COLD)))
    for dates in (window.first_ready, window.opens, window.best, window.closes):
        for edge in (dates.low, dates.mid, dates.high):
            assert (np.diff(edge) >= -0.15).all()


def test_a_batch_in_the_company_of_others_keeps_its_dates() -> None:
    stays: list[Journey] = [
        [(0.0, COLD)],
        [(10.0, REFERENCE), (30.0, COLD), (80.0, SHED)],
        [(5.0, SHED), (5.0, COLD)],
    ]
    together = windows(CHILLED, *stays)
    for line, journey in enumerate(stays):
        alone = windows(CHILLED, journey)
        for ours, its in zip(dates_of(together), dates_of(alone), strict=True):
            for field in fields(DateRange):
                np.testing.assert_allclose(
                    getattr(ours, field.name)[line], getattr(its, field.name)[0], atol=1e-6
                )
        assert together.cause[line] == alone.cause[0]


# What closes an eat-by window.


def test_chilling_closes_it_and_the_fruit_never_opens() -> None:
    window = windows(CHILLED, [(0.0, COLD)])
    assert window.cause[0] == CHILLING
    assert days(window.closes)[:2] == pytest.approx((0.8 * 28.0, 28.0), rel=1e-6)
    assert window.chilling_out_h[0] == pytest.approx(28.0 * 24.0)
    assert np.isnan([edge for dates in dates_of(window)[1:3] for edge in days(dates)]).all()


def test_out_of_the_cold_in_time_nothing_is_lost() -> None:
    window = windows(CHILLED, [(0.0, COLD), (240.0, REFERENCE)])
    assert window.cause[0] == TOO_SOFT
    assert np.isnan(window.chilling_out_h[0])
    assert days(window.opens)[1] > 10.0


def test_chilling_after_the_opening_cuts_the_window_short() -> None:
    soon = CHILLED.but(chilling=Allowance((4.0,), (1.0,), none_from_c=6.0))
    window = windows(soon, [(0.0, REFERENCE), (72.0, COLD)])
    assert window.cause[0] == CHILLING
    # From 20 C at 4 C the pulp needs three half-cooling times of 4 h to be below the 6 C.
    assert days(window.closes)[1] == pytest.approx(4.5, abs=0.01)
    assert days(window.opens)[1] == pytest.approx(1.9 / 0.8)
    assert days(window.best)[1] <= 4.5


def test_storage_life_closes_it() -> None:
    window = windows(STORED, [(0.0, COLD)])
    assert window.cause[0] == STORAGE_LIFE
    assert days(window.closes)[1] == pytest.approx(21.0)
    assert np.isnan(window.chilling_out_h[0])
    assert np.isnan(window.opens.mid[0])


def test_whichever_allowance_is_used_up_first_is_named() -> None:
    both = STORED.but(chilling=CHILLED.chilling)
    assert windows(both, [(0.0, COLD)]).cause[0] == STORAGE_LIFE
    longer = both.but(storage=Allowance((4.0,), (40.0,), none_from_c=6.0))
    window = windows(longer, [(0.0, COLD)])
    assert window.cause[0] == CHILLING
    assert days(window.closes)[1] == pytest.approx(28.0)


def test_ripe_life_closes_it_a_life_after_the_first_fifth_was_ready() -> None:
    brief = PAWPAW.but(ripe_days=(1.5, 1.8, 2.5), fruit_sd=0.4)
    window = windows(brief, [(0.0, REFERENCE)])
    fifth_ready = (1.7 + 0.4 * float(ndtri(0.2)) + 0.2) / 0.8
    assert window.cause[0] == RIPE_LIFE
    assert days(window.closes)[1] == pytest.approx(fifth_ready + 1.8)
    # As many get ready as are past when half a life has gone by since the middle fruit was ready.
    assert days(window.best)[1] == pytest.approx(1.9 / 0.8 + 0.9, abs=0.03)


def test_it_does_not_close_before_its_best_day() -> None:
    """Ripe for a day only, most of the fruit is ready when over a fifth is past."""
    window = windows(PAWPAW.but(ripe_days=(0.75, 1.0, 1.5)), [(0.0, REFERENCE)])
    assert days(window.best)[1] == pytest.approx(1.9 / 0.8 + 0.5, abs=0.03)
    assert days(window.closes)[1] == pytest.approx(days(window.best)[1])
    assert window.cause[0] == RIPE_LIFE


def test_ripe_life_runs_at_its_own_pace_by_the_pulp() -> None:
    def q10_3(celsius: Floats) -> Floats:
        return np.asarray(3.0 ** ((celsius - 20.0) / 10.0))

    brief = PAWPAW.but(ripe_days=(0.75, 1.0, 1.5), ripe_life_rate=q10_3, fruit_sd=0.01)
    ready_h = 24.0 * (1.7 + 0.01 * float(ndtri(0.2)) + 0.2) / 0.8
    move_h = 60.0
    window = windows(brief, [(0.0, REFERENCE), (move_h, COLD)])
    assert window.cause[0] == RIPE_LIFE
    since_h = np.arange(0.0, 300.0, 0.01)
    pulp_c = 4.0 + 16.0 * 2.0 ** (-since_h / 4.0)
    used_h = (move_h - ready_h) + np.cumsum(q10_3(pulp_c)) * 0.01
    exact_h = move_h + float(np.interp(24.0, used_h, since_h))
    assert float(window.closes.mid[0]) == pytest.approx(exact_h, abs=0.2)


def test_softening_closes_it_where_ripe_life_is_longer() -> None:
    window = windows(PAWPAW.but(ripe_days=(8.0, 9.0, 10.0)), [(0.0, REFERENCE)])
    assert window.cause[0] == TOO_SOFT
    assert days(window.closes) == pytest.approx(days(windows(PAWPAW, [(0.0, REFERENCE)]).closes))


def test_a_very_uneven_batch_closes_on_its_best_day() -> None:
    """A fifth is past before half is ready."""
    window = windows(PAWPAW.but(fruit_sd=2.6, mean_age=-2.0), [(0.0, REFERENCE)])
    assert window.uneven[0]
    opens, best, closes = (days(d)[1] for d in (window.opens, window.best, window.closes))
    assert opens == pytest.approx((1.7 + 2.0) / 0.8)
    assert best == pytest.approx(((1.7 + 3.6) / 2.0 + 2.0) / 0.8, abs=0.1)
    assert closes == best


def test_fruit_of_two_bands_opens_with_the_second() -> None:
    """Four in ten young, six in ten old: half is ready when most of the old are."""
    bands = Bands.of_parts(np.array([[0.4, 0.6]]), np.array([[-1.2, 0.8]]), np.array([[0.3, 0.3]]))
    crop = PAWPAW.but(bands=bands, fruit_sd=1.0, mean_age=-1.0)
    window = windows(crop, [(0.0, REFERENCE)])
    # Of the old five in six are then ready: Phi(0.967), at ages Normal(-0.2, 0.3).
    assert days(window.opens)[1] == pytest.approx((1.7 + 0.2 + 0.3 * 0.9674) / 0.8, abs=1e-3)
    # A fifth is a third of the old.
    assert days(window.closes)[1] == pytest.approx((3.6 + 0.2 - 0.3 * 0.4307) / 0.8, abs=1e-3)


@pytest.mark.parametrize("order", [1.0, -1.0])
def test_of_two_ends_on_one_day_the_first_in_the_list_is_named(order: float) -> None:
    """Whichever is earlier by a rounding."""
    crop = PAWPAW.but(
        chilling=Allowance((4.0,), (20.0,), none_from_c=6.0),
        storage=Allowance((4.0,), (20.0 + order * 1e-7,), none_from_c=6.0),
    )
    assert windows(crop, [(0.0, COLD)]).cause[0] == CHILLING


def test_freezing_ends_it() -> None:
    crop = PAWPAW.but(freezing=Allowance((-1.2,), (0.25,), none_from_c=-1.2))
    airs = [ScheduledAir([0.0], [-3.0], half_cooling_h=4.0)]
    window = case(crop, airs, [[(0.0, 0)]], 20.0).eat_by()
    assert window.cause[0] == FREEZING
    falls_h = 4.0 * float(np.log2(23.0 / 1.8))
    assert float(window.closes.mid[0]) == pytest.approx(falls_h + 6.0, abs=0.1)
    assert float(window.frozen_h[0]) == float(window.closes.mid[0])
    assert np.isnan(window.opens.mid[0])


def test_where_nothing_ripens_no_date_ever_comes() -> None:
    window = windows(PAWPAW, [(0.0, FROZEN)])
    assert np.isnan([edge for dates in dates_of(window) for edge in days(dates)]).all()
