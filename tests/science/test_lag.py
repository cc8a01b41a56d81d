"""The lag of pulp that arrives warmer or colder, against the rate integrated piece by piece."""

import numpy as np
import pytest

from ripenroom.science.air import Air, ScheduledAir
from ripenroom.science.clock import Indices
from ripenroom.science.lag import LEAST_DIFFERENCE_K, Lag
from ripenroom.science.softening import Floats
from ripenroom.science.temperature import Response
from tests.science.journeys import Journey, stays_of

PAWPAW = Response(20.0, 120.0, 27.0, 200.0)
COLD = ScheduledAir([0.0], [4.0], half_cooling_h=6.0)
ROOM = ScheduledAir([0.0], [22.0], half_cooling_h=8.0)
FIRST: Indices = np.array([0])

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(10)


def integrated(air: Air, difference_k: float, start_h: float, end_h: float) -> float:
    """Reference days beyond the place's clock, by ten nodes in every half hour."""
    edges = np.linspace(start_h, end_h, 2 + int((end_h - start_h) * 2.0))
    half = np.diff(edges) / 2.0
    hours = edges[:-1, None] + half[:, None] * (1.0 + _NODES)
    settled = air.pulp_c(hours)
    pulp = settled + difference_k * np.exp2((start_h - hours) / air.half_cooling_h)
    more = PAWPAW.relative_rate(pulp) - PAWPAW.relative_rate(settled)
    return float(((more @ _WEIGHTS) * half).sum()) / 24.0


def lag_of(airs: list[Air], journey: Journey, pulp_c: float = np.nan) -> Lag:
    stays = stays_of([journey])
    return Lag.of_stays(stays, airs, np.array([pulp_c]), [PAWPAW], np.zeros(1, np.intp))


def so_far(lag: Lag, since_h: float, stay: int = 0) -> float:
    return float(lag.so_far(FIRST, np.array([stay]), np.array([since_h]))[0])


@pytest.mark.parametrize(
    ("air", "pulp_c"), [(COLD, 26.0), (COLD, 12.0), (ROOM, 4.0), (ROOM, 30.0), (COLD, 1.0)]
)
def test_the_whole_lag_at_a_steady_place(air: ScheduledAir, pulp_c: float) -> None:
    lag = lag_of([air], [(0.0, 0)], pulp_c)
    exact = integrated(air, pulp_c - float(air.pulp_c(0.0)), 0.0, 40.0 * air.half_cooling_h)
    assert float(lag.whole[0, 0]) == pytest.approx(exact, abs=2e-8)


@pytest.mark.parametrize(("air", "pulp_c"), [(COLD, 26.0), (COLD, 12.0), (ROOM, 4.0), (ROOM, 30.0)])
def test_the_lag_so_far_at_a_steady_place(air: ScheduledAir, pulp_c: float) -> None:
    lag = lag_of([air], [(0.0, 0)], pulp_c)
    for since_h in (0.5, 3.0, 11.0, 30.0, 60.0):
        exact = integrated(air, pulp_c - float(air.pulp_c(0.0)), 0.0, since_h)
        assert so_far(lag, since_h) == pytest.approx(exact, abs=1e-5)


@pytest.mark.parametrize(
    ("swing_k", "half_cooling_h", "within"),
    [(2.0, 6.0, 0.0015), (4.0, 6.0, 0.003), (8.0, 12.0, 0.02)],
)
def test_the_lag_where_the_settled_pulp_swings(
    swing_k: float, half_cooling_h: float, within: float
) -> None:
    """In reference days, at any hour of arrival, for pulp up to 22 K off."""
    for mean_c, pulp_c in ((4.0, 26.0), (4.0, 15.0), (22.0, 4.0), (18.0, 28.0), (18.0, 8.0)):
        for warmest_h in (0.0, 6.0, 12.0, 18.0):
            air = ScheduledAir([0.0], [mean_c], half_cooling_h, swing_k, warmest_h)
            lag = lag_of([air], [(0.0, 0)], pulp_c)
            difference = pulp_c - float(air.pulp_c(0.0))
            for since_h in (2.0, 9.0, 20.0, 45.0):
                exact = integrated(air, difference, 0.0, since_h)
                assert so_far(lag, since_h) == pytest.approx(exact, abs=within)
            exact = integrated(air, difference, 0.0, 40.0 * half_cooling_h)
            assert float(lag.whole[0, 0]) == pytest.approx(exact, abs=within)


def test_nothing_yet_on_arrival() -> None:
    assert so_far(lag_of([COLD], [(0.0, 0)], 26.0), 0.0) == pytest.approx(0.0, abs=1e-12)


def test_warm_pulp_ages_more_than_the_place_and_cold_pulp_less() -> None:
    assert so_far(lag_of([COLD], [(0.0, 0)], 26.0), 5.0) > 0.01
    assert so_far(lag_of([ROOM], [(0.0, 0)], 4.0), 5.0) < -0.01


def test_settled_pulp_has_no_lag() -> None:
    lag = lag_of([COLD], [(0.0, 0)])
    assert lag.over_h[0, 0] == lag.whole[0, 0] == so_far(lag, 4.0) == 0.0


def test_a_lag_is_over_when_a_tenth_of_a_kelvin_is_left() -> None:
    lag = lag_of([COLD], [(0.0, 0)], 26.0)
    left = 22.0 * lag.left(FIRST, FIRST * 0, lag.over_h[0, :1])
    assert left[0] == pytest.approx(LEAST_DIFFERENCE_K)
    # What is then to come is what the module promises: minutes at the place's own pace.
    to_come = float(lag.whole[0, 0]) - so_far(lag, float(lag.over_h[0, 0]))
    own_pace_per_h = float(PAWPAW.relative_rate(4.0)) / 24.0
    assert 0.0 < to_come / own_pace_per_h < 0.25


def test_a_stay_that_ends_early_keeps_only_its_part() -> None:
    lag = lag_of([ROOM, COLD], [(0.0, 1), (5.0, 0)], 26.0)
    assert float(lag.whole[0, 0]) == pytest.approx(integrated(COLD, 22.0, 0.0, 5.0), abs=1e-5)


def test_the_next_stay_begins_with_what_is_left() -> None:
    lag = lag_of([ROOM, COLD], [(0.0, 1), (5.0, 0)], 26.0)
    pulp_c = 4.0 + 22.0 * 2.0 ** (-5.0 / 6.0)
    assert float(lag.difference_k[0, 1]) == pytest.approx(pulp_c - 22.0)
    exact = integrated(ROOM, pulp_c - 22.0, 5.0, 400.0)
    assert float(lag.whole[0, 1]) == pytest.approx(exact, abs=2e-8)


def test_padding_adds_nothing_but_its_endless_last() -> None:
    stays = stays_of([[(0.0, 0)], [(0.0, 1), (3.0, 0), (9.0, 1)]])
    pulp: Floats = np.array([26.0, np.nan])
    lag = Lag.of_stays(stays, [COLD, ROOM], pulp, [PAWPAW], np.zeros(2, np.intp))
    alone = lag_of([COLD], [(0.0, 0)], 26.0)
    assert lag.whole[0].tolist() == pytest.approx([0.0, 0.0, float(alone.whole[0, 0])], abs=1e-12)


def test_pace_is_the_slope_of_the_lag() -> None:
    lag = lag_of([COLD], [(0.0, 0)], 26.0)
    for since_h in (0.1, 4.0, 20.0):
        step = 1e-3
        slope = (so_far(lag, since_h + step) - so_far(lag, since_h - step)) / (2.0 * step)
        pace = lag.pace(FIRST, FIRST * 0, np.array([since_h]))
        assert float(pace[0]) == pytest.approx(slope, rel=1e-4)


def test_some_batches_only() -> None:
    stays = stays_of([[(0.0, 0), (9.0, 1)], [(0.0, 1), (3.0, 0)]])
    lag = Lag.of_stays(stays, [COLD, ROOM], np.array([20.0, 9.0]), [PAWPAW], FIRST.repeat(2))
    some = lag.of(np.array([1, 1]))
    assert some.whole.tolist() == [lag.whole[1].tolist()] * 2
    at = np.array([2.0])
    stay = np.array([1])
    assert some.so_far(FIRST, stay, at) == lag.so_far(np.array([1]), stay, at)
