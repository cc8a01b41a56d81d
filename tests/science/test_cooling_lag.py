"""The lag of pulp that arrives warmer or colder, against the rate integrated piece by piece."""

from collections.abc import Sequence

import numpy as np
import pytest

from ripenroom.science.air import Air, ScheduledAir
from ripenroom.science.allowances import Allowance
from ripenroom.science.clock import Indices
from ripenroom.science.cooling_lag import Lag, lags_of
from ripenroom.science.temperature import Process, Response
from ripenroom.science.unsettled import LEAST_DIFFERENCE_K, Unsettled
from tests.science.journeys import Journey, stays_of, unsettled_of

PAWPAW = Response(20.0, 120.0, 27.0, 200.0)
COLD = ScheduledAir([0.0], [4.0], half_cooling_h=6.0)
ROOM = ScheduledAir([0.0], [22.0], half_cooling_h=8.0)
SOFTENING = Process(PAWPAW.relative_rate)
FIRST: Indices = np.array([0])

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(10)


def integrated(
    air: Air, difference_k: float, start_h: float, end_h: float, of: Process = SOFTENING
) -> float:
    """Days beyond the place's clock, by ten nodes in every half hour."""
    edges = np.linspace(start_h, end_h, 2 + int((end_h - start_h) * 2.0))
    half = np.diff(edges) / 2.0
    hours = edges[:-1, None] + half[:, None] * (1.0 + _NODES)
    settled = air.pulp_c(hours)
    pulp = settled + difference_k * np.exp2((start_h - hours) / air.half_cooling_h)
    more = of.rate_per_day(pulp) - of.rate_per_day(settled)
    return float(((more @ _WEIGHTS) * half).sum()) / 24.0


def lag_along(
    airs: list[Air], *journeys: Journey, pulp_c: Sequence[float], of: Process = SOFTENING
) -> Lag:
    (lag,) = lags_of(unsettled_of(airs, list(journeys), pulp_c), [[of]])
    assert lag is not None
    return lag


def so_far(lag: Lag, since_h: float, stay: int = 0) -> float:
    return float(lag.so_far(FIRST, np.array([stay]), np.array([since_h]))[0])


@pytest.mark.parametrize(
    ("air", "pulp_c"), [(COLD, 26.0), (COLD, 12.0), (ROOM, 4.0), (ROOM, 30.0), (COLD, 1.0)]
)
def test_the_whole_lag_at_a_steady_place(air: ScheduledAir, pulp_c: float) -> None:
    lag = lag_along([air], [(0.0, 0)], pulp_c=[pulp_c])
    exact = integrated(air, pulp_c - float(air.pulp_c(0.0)), 0.0, 40.0 * air.half_cooling_h)
    assert float(lag.whole[0, 0]) == pytest.approx(exact, abs=2e-8)


@pytest.mark.parametrize(("air", "pulp_c"), [(COLD, 26.0), (COLD, 12.0), (ROOM, 4.0), (ROOM, 30.0)])
def test_the_lag_so_far_at_a_steady_place(air: ScheduledAir, pulp_c: float) -> None:
    lag = lag_along([air], [(0.0, 0)], pulp_c=[pulp_c])
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
            lag = lag_along([air], [(0.0, 0)], pulp_c=[pulp_c])
            difference = pulp_c - float(air.pulp_c(0.0))
            for since_h in (2.0, 9.0, 20.0, 45.0):
                exact = integrated(air, difference, 0.0, since_h)
                assert so_far(lag, since_h) == pytest.approx(exact, abs=within)
            exact = integrated(air, difference, 0.0, 40.0 * half_cooling_h)
            assert float(lag.whole[0, 0]) == pytest.approx(exact, abs=within)


def test_nothing_yet_on_arrival() -> None:
    assert so_far(lag_along([COLD], [(0.0, 0)], pulp_c=[26.0]), 0.0) == pytest.approx(
        0.0, abs=1e-12
    )


def test_warm_pulp_ages_more_than_the_place_and_cold_pulp_less() -> None:
    assert so_far(lag_along([COLD], [(0.0, 0)], pulp_c=[26.0]), 5.0) > 0.01
    assert so_far(lag_along([ROOM], [(0.0, 0)], pulp_c=[4.0]), 5.0) < -0.01


def test_settled_pulp_has_no_lag() -> None:
    unsettled = unsettled_of([COLD], [[(0.0, 0)]])
    assert unsettled.over_h[0, 0] == 0.0
    assert lags_of(unsettled, [[SOFTENING]]) == [None]


def test_a_lag_is_over_when_a_tenth_of_a_kelvin_is_left() -> None:
    lag = lag_along([COLD], [(0.0, 0)], pulp_c=[26.0])
    left = 22.0 * lag.unsettled.left(FIRST, FIRST * 0, lag.over_h[0, :1])
    assert left[0] == pytest.approx(LEAST_DIFFERENCE_K)
    # What is then to come is what the module promises: minutes at the place's own pace.
    to_come = float(lag.whole[0, 0]) - so_far(lag, float(lag.over_h[0, 0]))
    own_pace_per_h = float(PAWPAW.relative_rate(4.0)) / 24.0
    assert 0.0 < to_come / own_pace_per_h < 0.25


def test_a_stay_that_ends_early_keeps_only_its_part() -> None:
    lag = lag_along([ROOM, COLD], [(0.0, 1), (5.0, 0)], pulp_c=[26.0])
    assert float(lag.whole[0, 0]) == pytest.approx(integrated(COLD, 22.0, 0.0, 5.0), abs=1e-5)


def test_the_next_stay_begins_with_what_is_left() -> None:
    lag = lag_along([ROOM, COLD], [(0.0, 1), (5.0, 0)], pulp_c=[26.0])
    pulp_c = 4.0 + 22.0 * 2.0 ** (-5.0 / 6.0)
    assert float(lag.unsettled.difference_k[0, 1]) == pytest.approx(pulp_c - 22.0)
    exact = integrated(ROOM, pulp_c - 22.0, 5.0, 400.0)
    assert float(lag.whole[0, 1]) == pytest.approx(exact, abs=2e-8)


def test_padding_adds_nothing_but_its_endless_last() -> None:
    lag = lag_along([COLD, ROOM], [(0.0, 0)], [(0.0, 1), (3.0, 0), (9.0, 1)], pulp_c=[26.0, np.nan])
    alone = lag_along([COLD], [(0.0, 0)], pulp_c=[26.0])
    assert lag.whole[0].tolist() == pytest.approx([0.0, 0.0, float(alone.whole[0, 0])], abs=1e-12)


def test_pace_is_the_slope_of_the_lag() -> None:
    lag = lag_along([COLD], [(0.0, 0)], pulp_c=[26.0])
    for since_h in (0.1, 4.0, 20.0):
        step = 1e-3
        slope = (so_far(lag, since_h + step) - so_far(lag, since_h - step)) / (2.0 * step)
        _, pace = lag.so_far_and_pace(FIRST, FIRST * 0, np.array([since_h]))
        assert float(pace[0]) == pytest.approx(slope, rel=1e-4)


def test_some_batches_only() -> None:
    lag = lag_along([COLD, ROOM], [(0.0, 0), (9.0, 1)], [(0.0, 1), (3.0, 0)], pulp_c=[20.0, 9.0])
    some = lag.of(np.array([1, 1]))
    assert some.whole.tolist() == [lag.whole[1].tolist()] * 2
    at = np.array([2.0])
    stay = np.array([1])
    assert some.so_far(FIRST, stay, at) == lag.so_far(np.array([1]), stay, at)


# A process that begins or ends at a temperature that the pulp passes.

CHILLED = Allowance((0.0, 4.0, 6.0), (28.0, 31.0, 35.0), none_from_c=7.0)
CHILLING = Process(CHILLED.use_per_day, CHILLED.none_from_c)
A_MINUTE_OF_CHILLING = 1.0 / 28.0 / 1440.0


@pytest.mark.parametrize(
    ("air", "pulp_c"), [(COLD, 26.0), (COLD, 8.0), (COLD, 5.0), (ROOM, 2.0), (ROOM, 6.9)]
)
def test_pulp_is_chilled_only_while_it_is_cold(air: ScheduledAir, pulp_c: float) -> None:
    """Half an hour off at most; ten nodes in every half hour know the jump to two minutes."""
    lag = lag_along([air], [(0.0, 0)], pulp_c=[pulp_c], of=CHILLING)
    difference = pulp_c - float(air.pulp_c(0.0))
    for since_h in (1.0, 4.0, 9.0, 20.0, 45.0):
        exact = integrated(air, difference, 0.0, since_h, CHILLING)
        assert so_far(lag, since_h) == pytest.approx(exact, abs=30.0 * A_MINUTE_OF_CHILLING)


def test_warm_pulp_in_the_cold_is_chilled_once_it_is_below_the_threshold() -> None:
    """By hand: from 26 C to 7 C at 4 C takes log2(22 / 3) half-cooling times."""
    lag = lag_along([COLD], [(0.0, 0)], pulp_c=[26.0], of=CHILLING)
    spared_h = 6.0 * np.log2(22.0 / 3.0)
    own_pace = float(CHILLED.use_per_day(4.0)) / 24.0
    assert so_far(lag, spared_h) == pytest.approx(-spared_h * own_pace, abs=own_pace / 4.0)
    _, just_before = lag.so_far_and_pace(FIRST, FIRST * 0, np.array([spared_h - 0.2]))
    _, just_after = lag.so_far_and_pace(FIRST, FIRST * 0, np.array([spared_h + 0.2]))
    assert float(just_before[0]) == pytest.approx(-own_pace, rel=0.1)
    assert abs(float(just_after[0])) < 0.2 * own_pace


@pytest.mark.parametrize(
    "air",
    [
        ScheduledAir([0.0], [5.0], 6.0, swing_k=8.0, warmest_h=15.0),
        ScheduledAir([0.0], [7.2], 2.0, swing_k=4.0, warmest_h=3.0),
        ScheduledAir([-99.0, 24.0], [2.0, -3.0], 24.0),
        ScheduledAir([-99.0, 24.0, 60.0], [4.0, 12.0, 1.0], 24.0),
    ],
)
@pytest.mark.parametrize("pulp_c", [26.0, 1.0])
def test_pulp_is_chilled_while_it_is_cold_where_the_settled_pulp_moves_too(
    air: ScheduledAir, pulp_c: float
) -> None:
    """To an hour, however often either passes the threshold."""
    lag = lag_along([air], [(0.0, 0)], pulp_c=[pulp_c], of=CHILLING)
    difference = pulp_c - float(air.pulp_c(0.0))
    for since_h in (4.0, 9.0, 20.0, 45.0, 90.0):
        exact = integrated(air, difference, 0.0, since_h, CHILLING)
        assert so_far(lag, since_h) == pytest.approx(exact, abs=60.0 * A_MINUTE_OF_CHILLING)


def test_the_ends_of_an_allowance_lag_together_as_each_does_alone() -> None:
    """In steady and in swinging air, across the threshold and far above it."""
    slow = Allowance((0.0, 4.0, 6.0), (40.0, 50.0, 90.0), none_from_c=7.0)
    kinds = [[Process(own.use_per_day, own.none_from_c)] for own in (CHILLED, slow)]
    warm = ScheduledAir([0.0], [20.0], half_cooling_h=6.0, swing_k=4.0, warmest_h=15.0)
    swinging = ScheduledAir([0.0], [6.0], half_cooling_h=6.0, swing_k=6.0, warmest_h=15.0)
    steady = ScheduledAir([0.0], [3.0], half_cooling_h=6.0)
    journeys = [[(0.0, 0), (40.0, 1), (90.0, 2)], [(5.0, 1), (8.0, 0)], [(0.0, 2), (30.0, 1)]]
    unsettled = unsettled_of([warm, swinging, steady], journeys, [25.0, 12.0, 2.0])
    for together, kind in zip(lags_of(unsettled, kinds), kinds, strict=True):
        (alone,) = lags_of(unsettled, [kind])
        assert together is not None
        assert alone is not None
        np.testing.assert_allclose(together.whole, alone.whole, atol=1e-12)
        assert np.abs(alone.whole).max() > 1e-3


def test_ways_that_begin_alike_are_followed_once_and_those_of_two_crops_apart() -> None:
    """Moved on alike, and ended early or not: as each batch's is by itself."""
    slow = Process(Response(20.0, 60.0).relative_rate)
    journeys: list[Journey] = [
        [(0.0, 0), (30.0, 1), (35.0, 0)],
        [(0.0, 0), (30.0, 1)],
        [(0.0, 0), (50.0, 1)],
        [(0.0, 0), (30.0, 1)],
    ]
    kind = np.array([0, 0, 0, 1])
    pulp_c = np.full(len(journeys), 26.0)
    unsettled = Unsettled.along(stays_of(journeys), kind, [COLD, ROOM], pulp_c)
    # Into the cold of either crop, out of it at two hours, and of the other crop; back in once.
    assert unsettled.nodes.begin_h.size == 6
    (together,) = lags_of(unsettled, [[SOFTENING, slow]])
    assert together is not None
    for line, journey in enumerate(journeys):
        of = [SOFTENING, slow][kind[line]]
        (alone,) = lags_of(unsettled_of([COLD, ROOM], [journey], [26.0]), [[of]])
        assert alone is not None
        assert together.whole[line].sum() == pytest.approx(alone.whole.sum(), abs=1e-12)
        at = np.array([0]), np.array([7.0])
        ours = together.so_far(np.array([line]), *at)
        np.testing.assert_allclose(ours, alone.so_far(FIRST, *at), atol=1e-12)
