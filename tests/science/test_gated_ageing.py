"""Ageing behind a gate, against plain sums, and back from days to hours."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.science.air import ScheduledAir
from ripenroom.science.gated_ageing import (
    PARTS,
    GatedAgeing,
    days_at_full_speed,
    days_that_count,
    in_days_that_count,
    part_needs,
)
from ripenroom.science.temperature import Process, Response
from tests.science.journeys import Journey, ageing_of, lines, progress_of

PEAR = Response(20.0, 100.0)
AIRS = [
    ScheduledAir([0.0], [20.0], half_cooling_h=6.0),
    ScheduledAir([0.0], [2.0], half_cooling_h=4.0),
    ScheduledAir([0.0, 100.0], [10.0, 18.0], half_cooling_h=6.0, swing_k=3.0, warmest_h=15.0),
]
ROOT_DAYS = 0.05 / 24.0 * 2.0
LEFT_AT_THE_END_DAYS = 0.005
"""As for ageing without a gate: how near a date is found, and what a lag still adds at its end."""

journeys = st.lists(
    st.tuples(st.floats(0.0, 150.0), st.integers(0, 2)), min_size=1, max_size=4
).map(lambda stays: sorted(stays, key=lambda stay: stay[0]))
meanwhiles = st.sampled_from([0.0, 0.05, 0.3, 1.0])
openings = st.one_of(st.floats(0.0, 400.0), st.just(np.inf))


def gated(journey: Journey, opens_h: float, meanwhile: float) -> GatedAgeing:
    ageing = ageing_of(AIRS, [journey], PEAR)
    at_h = np.array([[opens_h]])
    return GatedAgeing(ageing, at_h, np.array([meanwhile]), at_h, at_h)


@given(journey=journeys, opens_h=openings, meanwhile=meanwhiles)
def test_days_count_by_their_share_until_the_gate_opens(
    journey: Journey, opens_h: float, meanwhile: float
) -> None:
    behind = gated(journey, opens_h, meanwhile)
    hours = np.linspace(0.0, 600.0, 601)[None, :]
    plain = behind.ageing.at(hours)
    before = np.diff(plain) * (hours[:, 1:] <= opens_h)
    after = np.diff(plain) * (hours[:, :-1] >= opens_h)
    counted = np.cumsum(meanwhile * before + after)
    # The hour in which it opens is part one, part the other.
    assert np.abs(behind.at(hours)[0, 1:] - counted).max() <= np.diff(plain).max() + 1e-9
    np.testing.assert_allclose(behind.at_common(hours[0]), behind.at(hours), atol=1e-9)


@given(
    journey=journeys, opens_h=st.floats(0.0, 400.0), meanwhile=meanwhiles, days=st.floats(0.0, 8.0)
)
def test_when_inverts_at(journey: Journey, opens_h: float, meanwhile: float, days: float) -> None:
    behind = gated(journey, opens_h, meanwhile)
    hours = behind.when(np.array([[days]]))
    assert hours[0, 0] >= journey[0][0]
    assert float(behind.at(hours)[0, 0]) == pytest.approx(
        days, abs=ROOT_DAYS + LEFT_AT_THE_END_DAYS
    )


def test_a_gate_that_is_open_at_the_pick_is_none() -> None:
    journey = [(24.0, 0), (80.0, 1), (160.0, 2)]
    behind = gated(journey, 24.0, 0.0)
    hours, days = lines(1, np.linspace(0.0, 500.0, 60)), lines(1, np.linspace(0.0, 9.0, 40))
    np.testing.assert_allclose(behind.at(hours), behind.ageing.at(hours), atol=1e-9)
    np.testing.assert_allclose(behind.when(days), behind.ageing.when(days), atol=1e-6)


def test_a_gate_that_holds_nothing_back_is_none() -> None:
    behind = gated([(0.0, 1), (60.0, 0)], np.inf, 1.0)
    hours, days = lines(1, np.linspace(0.0, 500.0, 60)), lines(1, np.linspace(0.1, 9.0, 40))
    np.testing.assert_allclose(behind.at(hours), behind.ageing.at(hours), atol=1e-9)
    np.testing.assert_allclose(behind.when(days), behind.ageing.when(days), atol=1e-6)


def test_behind_a_shut_gate_that_lets_nothing_through_nothing_ever_comes() -> None:
    behind = gated([(0.0, 0)], np.inf, 0.0)
    assert np.abs(behind.at(lines(1, [0.0, 100.0, 5000.0]))).max() == 0.0
    assert np.isinf(behind.when(lines(1, [0.001, 1.0, 50.0]))).all()
    assert behind.when(lines(1, [-2.0, 0.0])).tolist() == [[0.0, 0.0]]


def test_behind_a_shut_gate_fruit_ages_at_its_share() -> None:
    """Twenty times as long at a twentieth, until it is looked at no further."""
    behind = gated([(0.0, 0)], np.inf, 0.05)
    two, in_vain = behind.when(np.array([[2.0, 300.0]]))[0]
    assert two == pytest.approx(2.0 * 20.0 * 24.0, rel=1e-3)
    assert np.isinf(in_vain)


def test_a_later_opening_is_never_sooner() -> None:
    days = lines(1, [0.2, 1.0, 4.0])
    found = np.vstack([gated([(0.0, 0)], opens, 0.1).when(days) for opens in (0.0, 30.0, 90.0)])
    assert (np.diff(found, axis=0) > 0.0).all()
    assert found[2, 2] == pytest.approx(96.0 + 0.9 * 90.0, abs=0.1)


def test_another_clock_counts_by_the_same_share() -> None:
    journey = [(10.0, 0), (90.0, 2)]
    behind = gated(journey, 70.0, 0.25)
    clock = progress_of(AIRS, [journey], Process(lambda celsius: 0.5 + 0.0 * celsius))
    hours = np.array([[10.0, 40.0, 70.0, 118.0]])
    # Half a day a day: 30 h and 60 h at a quarter, then 48 h in full.
    expected = 0.5 / 24.0 * np.array([0.0, 0.25 * 30.0, 0.25 * 60.0, 0.25 * 60.0 + 48.0])
    np.testing.assert_allclose(in_days_that_count(behind, clock, hours)[0], expected, atol=1e-9)
    ungated = in_days_that_count(behind.ageing, clock, hours)
    np.testing.assert_allclose(ungated, clock.at(hours), atol=1e-12)


def test_some_batches_only() -> None:
    ageing = ageing_of(AIRS, [[(0.0, 0), (9.0, 1)], [(4.0, 1), (7.0, 0)]], PEAR, [25.0, 9.0])
    at_h = np.array([[5.0], [40.0]])
    both = GatedAgeing(ageing, at_h, np.array([0.0, 0.5]), at_h, at_h)
    which = np.array([1, 0, 1])
    hours, days = np.array([[8.0, 31.0]] * 3), np.array([[0.1, 2.0]] * 3)
    some = both.of(which)
    np.testing.assert_allclose(some.at(hours), both.at(hours[:2])[which], atol=1e-12)
    np.testing.assert_allclose(some.when(days), both.when(days[:2])[which], atol=1e-9)


gradual_openings = st.lists(openings, min_size=1, max_size=5).map(sorted)


def opening_by_and_by(journey: Journey, opens_h: list[float], meanwhile: float) -> GatedAgeing:
    ageing = ageing_of(AIRS, [journey], PEAR)
    at_h = np.array([opens_h])
    return GatedAgeing(ageing, at_h, np.array([meanwhile]), at_h, at_h)


@given(journey=journeys, opens_h=gradual_openings, meanwhile=meanwhiles)
def test_each_part_frees_its_share_of_full_speed(
    journey: Journey, opens_h: list[float], meanwhile: float
) -> None:
    behind = opening_by_and_by(journey, opens_h, meanwhile)
    hours = np.linspace(0.0, 600.0, 601)[None, :]
    # Between half hours no part opens half-way: each is counted as a gate of its own.
    alone = [gated(journey, opening, meanwhile).at(hours) for opening in opens_h]
    np.testing.assert_allclose(behind.at(hours), np.mean(alone, axis=0), atol=1e-9)
    np.testing.assert_allclose(behind.at_common(hours[0]), behind.at(hours), atol=1e-9)
    assert (np.diff(behind.at(hours)) >= -1e-9).all()


def test_single_batches_and_hours_count_as_whole_tables_do() -> None:
    """Of a gate that opens by and by, one that never does, and none."""
    journeys = [[(0.0, 0), (60.0, 1)], [(5.0, 2)], [(3.0, 1), (40.0, 0)]]
    ageing = ageing_of(AIRS, journeys, PEAR, [25.0, 9.0, 18.0])
    opens_h = np.array([[20.0, 50.0, 90.0], [30.0, np.inf, np.inf], [3.0, 3.0, 3.0]])
    behind = GatedAgeing(ageing, opens_h, np.array([0.1, 0.4, 1.0]), opens_h, opens_h)
    hours = np.array([[10.0, 35.0, 70.0, 200.0]] * 3)
    line, column = np.indices(hours.shape).reshape(2, -1)
    np.testing.assert_allclose(
        behind.at_single(line, hours[line, column]), behind.at(hours).ravel(), atol=1e-9
    )


@given(journey=journeys, opens_h=gradual_openings, meanwhile=meanwhiles, days=st.floats(0.0, 8.0))
def test_when_inverts_at_of_a_gate_that_opens_by_and_by(
    journey: Journey, opens_h: list[float], meanwhile: float, days: float
) -> None:
    behind = opening_by_and_by(journey, opens_h, meanwhile)
    hours = behind.when(np.array([[days]]))
    if np.isinf(hours[0, 0]):
        within_a_year = np.array([[journey[0][0] + 24.0 * 365.0]])
        assert behind.at(within_a_year)[0, 0] < days + 1e-6
        return
    assert float(behind.at(hours)[0, 0]) == pytest.approx(
        days, abs=ROOT_DAYS + LEFT_AT_THE_END_DAYS
    )


@given(
    opens=st.lists(st.one_of(st.floats(0.0, 60.0), st.just(np.inf)), min_size=1, max_size=9),
    meanwhile=meanwhiles,
    days=st.floats(0.0, 90.0),
)
def test_days_at_full_speed_and_days_that_count_are_inverses(
    opens: list[float], meanwhile: float, days: float
) -> None:
    openings = [np.array([at]) for at in sorted(opens)]
    share = np.array(meanwhile)
    count = days_that_count(np.array([days]), openings, share)
    back = days_at_full_speed(count, openings, share)
    again = days_that_count(back, openings, share)
    np.testing.assert_allclose(again, count, atol=1e-9)
    # Where fruit stands still, the first moment at which it got so far is meant.
    assert back[0] <= days + 1e-9


def test_parts_open_around_the_need_the_wider_the_farther_apart() -> None:
    none = part_needs(np.zeros(2))
    assert none.tolist() == [[1.0], [1.0]]
    both = part_needs(np.array([0.0, 0.4]))
    assert both[0].tolist() == [1.0] * PARTS
    assert both[1, PARTS // 2] == 1.0
    assert (np.diff(both[1]) > 0.0).all()
    # Two thirds of the speed is freed between exp(-0.4) and exp(0.4) times the need.
    inside = (both[1] > np.exp(-0.4)) & (both[1] < np.exp(0.4))
    assert inside.mean() == pytest.approx(0.683, abs=1.0 / PARTS)
