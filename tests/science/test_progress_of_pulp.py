"""Ageing along journeys, lag included, forwards and backwards."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from ripenroom.science.air import ScheduledAir
from ripenroom.science.softening import Floats
from ripenroom.science.temperature import Process, Response
from tests.science.journeys import Journey, ageing_of, lines, progress_of

PAWPAW = Response(20.0, 120.0, 27.0, 200.0)
AIRS = [
    ScheduledAir([0.0], [22.0], half_cooling_h=6.0),
    ScheduledAir([0.0], [4.0], half_cooling_h=4.0),
    ScheduledAir([0.0, 100.0], [10.0, 18.0], half_cooling_h=6.0, swing_k=3.0, warmest_h=15.0),
]
ROOT_DAYS = 0.05 / 24.0 * 2.0
"""Dates are found to 0.05 h, at a pace of at most twice the reference's."""

LEFT_AT_THE_END_DAYS = 0.005
"""What a lag still adds when it is called over: a tenth of a kelvin, fading."""

picked_warm_or_cold = st.one_of(st.just(np.nan), st.floats(2.0, 30.0))
journeys = st.lists(
    st.tuples(st.floats(0.0, 150.0), st.integers(0, 2)), min_size=1, max_size=4
).map(lambda stays: sorted(stays, key=lambda stay: stay[0]))


def integrated(journey: Journey, pulp_at_pick_c: float, until_h: float) -> float:
    """Reference days by following the pulp in steps of a fiftieth of an hour."""
    step = 0.02
    pulp = pulp_at_pick_c
    days, at = 0.0, journey[0][0]
    while at < until_h:
        place = [number for hour, number in journey if hour <= at + 1e-9][-1]
        air = AIRS[place]
        fading = 0.5 ** (step / 2.0 / air.half_cooling_h)
        ahead = float(air.air_c(at + step / 2.0))
        middle = ahead + (pulp - ahead) * fading
        days += float(PAWPAW.relative_rate(middle)) * step / 24.0
        pulp = ahead + (pulp - ahead) * fading * fading
        at += step
    return days


@pytest.mark.parametrize(
    "journey",
    [
        [(0.0, 0), (20.0, 1)],
        [(0.0, 1), (20.0, 0)],
        [(0.0, 0), (10.0, 1), (14.0, 0), (16.0, 1), (40.0, 0)],
        [(0.0, 1), (8.0, 2), (30.0, 0)],
    ],
)
@pytest.mark.parametrize("pulp_c", [28.0, 6.0])
def test_against_pulp_followed_step_by_step(journey: Journey, pulp_c: float) -> None:
    ageing = ageing_of(AIRS, [journey], PAWPAW, pulp_c)
    hours = np.array([[5.0, 15.0, 21.0, 33.0, 48.0, 60.0]])
    exact = [integrated(journey, pulp_c, float(hour)) for hour in hours[0]]
    np.testing.assert_allclose(ageing.at(hours)[0], exact, atol=LEFT_AT_THE_END_DAYS)


@given(journey=journeys, pulp_c=picked_warm_or_cold)
def test_at_common_is_at_for_the_same_hours_even_at_the_hour_of_a_move(
    journey: Journey, pulp_c: float
) -> None:
    other = [(20.0, 1), (60.0, 0)]
    ageing = ageing_of(AIRS, [journey, other], PAWPAW, [pulp_c, 25.0])
    moves = [hour for stay in (journey, other) for hour, _ in stay]
    hours = np.unique([0.0, *moves, *np.linspace(0.0, 200.0, 11)])
    common = ageing.at_common(hours)
    np.testing.assert_allclose(common, ageing.at(lines(2, hours)), atol=1e-9)


def test_at_the_hour_of_a_move_nothing_is_forgotten() -> None:
    """Once, a batch had age 0 at the very hour of its move."""
    ageing = ageing_of(AIRS, [[(0.0, 0), (48.0, 1), (48.0, 1)]], PAWPAW, 25.0)
    before, at, after = ageing.at_common(np.array([47.99, 48.0, 48.01]))[0]
    assert 1.0 < before < at < after < before + 0.01


def test_0_up_to_the_pick() -> None:
    ageing = ageing_of(AIRS, [[(30.0, 0), (50.0, 1)]], PAWPAW, 26.0)
    hours = np.array([0.0, 29.0, 30.0])
    assert np.abs(ageing.at(hours[None, :])).max() < 1e-9
    assert np.abs(ageing.at_common(hours)).max() < 1e-9


@given(journey=journeys, pulp_c=picked_warm_or_cold, days=st.floats(0.0, 12.0))
@example(journey=[(1.2e-232, 0), (2.5e-12, 0)], pulp_c=3.0, days=0.0)  # Once before the pick.
def test_when_inverts_at(journey: Journey, pulp_c: float, days: float) -> None:
    """During a lag too, from warm to cold and back, and for stays of no length."""
    ageing = ageing_of(AIRS, [journey], PAWPAW, pulp_c)
    hours = ageing.when(np.array([[days]]))
    assert hours[0, 0] >= journey[0][0]
    reached = float(ageing.at(hours)[0, 0])
    assert reached == pytest.approx(days, abs=ROOT_DAYS + LEFT_AT_THE_END_DAYS)


@pytest.mark.parametrize(
    ("journey", "pulp_c"),
    [
        ([(0.0, 1)], 28.0),
        ([(0.0, 0)], 3.0),
        ([(0.0, 0), (12.0, 1)], np.nan),
        ([(0.0, 1), (12.0, 0)], np.nan),
        ([(5.0, 0), (5.0, 1)], np.nan),
        ([(5.0, 1), (5.0, 0)], np.nan),
        ([(0.0, 0), (1.0, 1), (2.0, 0), (3.0, 1), (4.0, 0)], 30.0),
        ([(0.0, 2), (0.0, 1), (0.0, 0)], 2.0),
    ],
)
def test_when_finds_every_hour_of_a_lag(journey: Journey, pulp_c: float) -> None:
    """Dense and tight: three minutes, and six more where a lag is about to be called over."""
    ageing = ageing_of(AIRS, [journey], PAWPAW, pulp_c)
    start = journey[0][0]
    hours = start + np.concatenate([[0.01], np.arange(0.25, 25.0, 0.25)])[None, :]
    found = ageing.when(ageing.at(hours))
    np.testing.assert_allclose(found, hours, atol=0.15)
    assert np.median(np.abs(found - hours)) < 0.005


@given(journey=journeys, pulp_c=picked_warm_or_cold)
def test_fruit_never_grows_younger(journey: Journey, pulp_c: float) -> None:
    ageing = ageing_of(AIRS, [journey], PAWPAW, pulp_c)
    moves = [hour for hour, _ in journey]
    days = ageing.at(np.unique([*moves, *np.linspace(0.0, 250.0, 251)])[None, :])[0]
    assert (np.diff(days) >= -LEFT_AT_THE_END_DAYS).all()
    # From the stays' own side: no jump at a move.
    jump = ageing.at(np.array([moves]) + 1e-6) - ageing.at(np.array([moves]) - 1e-6)
    assert np.abs(jump).max() <= LEFT_AT_THE_END_DAYS


@given(move_h=st.floats(0.0, 60.0), days=st.floats(0.05, 5.0), pulp_c=picked_warm_or_cold)
def test_a_warmer_place_is_never_later(move_h: float, days: float, pulp_c: float) -> None:
    to_cold, to_shed, to_room = (
        float(
            ageing_of(AIRS, [[(0.0, 1), (move_h, place)]], PAWPAW, pulp_c).when(np.array([[days]]))[
                0, 0
            ]
        )
        for place in (1, 2, 0)
    )
    slack_h = 0.1
    assert to_room <= to_shed + slack_h
    assert to_shed <= to_cold + slack_h


def test_never_where_nothing_ripens() -> None:
    frozen = ScheduledAir([0.0], [-40.0], half_cooling_h=2.0)
    ageing = ageing_of([frozen], [[(0.0, 0)]], PAWPAW, 10.0)
    assert np.isinf(ageing.when(np.array([[5.0]]))).all()


def test_some_batches_only() -> None:
    ageing = ageing_of(AIRS, [[(0.0, 0), (9.0, 1)], [(4.0, 1), (7.0, 0)]], PAWPAW, [25.0, 9.0])
    hours = np.array([[8.0, 11.0]] * 3)
    which = np.array([1, 0, 1])
    some = ageing.of(which)
    np.testing.assert_allclose(some.at(hours), ageing.at(hours[:2])[which], atol=1e-12)
    days = np.array([[0.1, 2.0]] * 3)
    np.testing.assert_allclose(some.when(days), ageing.when(days[:2])[which], atol=1e-9)


def test_what_only_the_lag_brings_is_found_where_the_clock_stands_still() -> None:
    """Chilled pulp in a warm place is chilled for some hours more, and then never again."""

    def in_the_cold(celsius: Floats) -> Floats:
        return np.where(celsius < 10.0, 1.0, 0.0)

    process = Process(in_the_cold, none_from_c=10.0)
    progress = progress_of(AIRS, [[(0.0, 1), (48.0, 0), (60.0, 1), (90.0, 0)]], process)
    hours = np.array([[49.0, 51.0, 91.0, 92.5]])
    np.testing.assert_allclose(progress.when(progress.at(hours)), hours, atol=0.1)
    # From 4 C the pulp is at 10 C in the room of 22 C after log2(18 / 12) half-cooling times.
    last_h = 90.0 + 6.0 * np.log2(18.0 / 12.0)
    most = progress.at(np.array([[200.0]]))
    assert float(progress.when(most - 1e-3)[0, 0]) == pytest.approx(last_h, abs=0.1)
    assert np.isinf(progress.when(most + 0.1)).all()


@given(st.lists(st.tuples(journeys, picked_warm_or_cold), min_size=1, max_size=4))
def test_single_batches_are_read_as_all_of_them(found: list[tuple[Journey, float]]) -> None:
    ways, pulp = [way for way, _ in found], [celsius for _, celsius in found]
    progress = progress_of(AIRS, ways, Process(PAWPAW.relative_rate), pulp)
    hours = np.linspace(0.0, 400.0, 23)
    line, column = np.nonzero(np.ones((len(ways), hours.size), bool))
    whole = progress.at(lines(len(ways), hours))
    assert progress.at_single(line, hours[column]).tolist() == whole.ravel().tolist()
    advance = np.linspace(-0.5, 9.0, 23)
    when = progress.when(lines(len(ways), advance))
    assert progress.when_single(line, advance[column]).tolist() == when.ravel().tolist()
