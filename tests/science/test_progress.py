"""Advance along journeys without any lag, forwards and backwards."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.science.air import ScheduledAir
from ripenroom.science.clock import RateOfTemperature
from ripenroom.science.progress import ClockAdvance
from ripenroom.science.temperature import Response
from tests.science.journeys import Journey, arrivals_of, lines

AIRS = [
    ScheduledAir([0.0], [20.0], 6.0),
    ScheduledAir([0.0], [4.0], 6.0),
    ScheduledAir([0.0, 100.0], [12.0, 25.0], 6.0, swing_k=4.0, warmest_h=15.0),
]
PLAIN = Response(20.0, 80.0)

journeys = st.lists(
    st.lists(st.tuples(st.floats(0.0, 200.0), st.integers(0, 2)), min_size=1, max_size=4).map(
        lambda stays: sorted(stays, key=lambda stay: stay[0])
    ),
    min_size=1,
    max_size=4,
)


def clocked(journeys: list[Journey], rate: RateOfTemperature = PLAIN.relative_rate) -> ClockAdvance:
    """Progress of pulp that settles at once."""
    return ClockAdvance.along(*arrivals_of(AIRS, journeys, rate))


def test_days_at_the_reference_and_days_in_the_cold() -> None:
    progress = clocked([[(10.0, 0), (34.0, 1), (82.0, 0)]])
    cold = float(PLAIN.relative_rate(4.0))
    at = progress.at(np.array([[0.0, 10.0, 22.0, 34.0, 58.0, 82.0, 106.0]]))[0]
    assert at.tolist() == pytest.approx(
        [0.0, 0.0, 0.5, 1.0, 1.0 + cold, 1 + 2 * cold, 2 + 2 * cold]
    )


@given(journeys=journeys)
def test_progress_is_continuous_and_never_turns_back(journeys: list[Journey]) -> None:
    progress = clocked(journeys)
    moves = np.unique([hour for journey in journeys for hour, _ in journey])
    hours = np.unique(np.concatenate([np.linspace(0.0, 260.0, 53), moves, moves + 1e-7]))
    steps = np.diff(progress.at(lines(len(journeys), hours)), axis=1)
    fastest = float(PLAIN.relative_rate(29.0)) / 24.0
    assert (steps >= -1e-10).all()
    assert (steps <= fastest * np.diff(hours) + 1e-9).all()


@given(journeys=journeys, advance=st.floats(0.0, 30.0))
def test_when_inverts_at(journeys: list[Journey], advance: float) -> None:
    progress = clocked(journeys)
    hours = progress.when(lines(len(journeys), [advance]))
    np.testing.assert_allclose(progress.at(hours), advance, atol=1e-8)


@given(journeys=journeys)
def test_at_common_is_at_for_the_same_hours_even_at_the_hour_of_a_move(
    journeys: list[Journey],
) -> None:
    progress = clocked(journeys)
    picked = max(journey[0][0] for journey in journeys)
    moves = [hour for journey in journeys for hour, _ in journey if hour >= picked]
    hours = np.unique([*moves, *np.linspace(picked, 300.0, 9)])
    np.testing.assert_allclose(
        progress.at_common(hours), progress.at(lines(len(journeys), hours)), atol=1e-9
    )


def test_at_common_of_no_hours_at_all() -> None:
    progress = clocked([[(0.0, 0), (5.0, 1)]])
    assert progress.at_common(np.empty(0)).shape == (1, 0)


def test_0_or_less_is_reached_at_the_pick() -> None:
    progress = clocked([[(7.5, 0)], [(30.0, 1), (30.0, 0)]])
    hours = progress.when(np.array([[0.0, -2.0], [0.0, -2.0]]))
    np.testing.assert_allclose(hours, [[7.5, 7.5], [30.0, 30.0]], atol=1e-6)


def test_a_clock_that_stands_still_gets_nowhere() -> None:
    progress = clocked([[(0.0, 0), (50.0, 1)]], np.zeros_like)
    assert progress.at(np.array([[10.0, 500.0]])).tolist() == [[0.0, 0.0]]
    assert np.isinf(progress.when(np.array([[1e-9, 5.0]]))).all()


def test_a_place_where_nothing_happens_is_waited_out() -> None:
    def above_10(celsius: np.ndarray) -> np.ndarray:
        return np.where(celsius > 10.0, 1.0, 0.0)

    progress = clocked([[(0.0, 0), (24.0, 1), (124.0, 0)]], above_10)
    hours = progress.when(np.array([[0.5, 1.5]]))
    np.testing.assert_allclose(hours, [[12.0, 136.0]], atol=1e-6)


def test_some_batches_only() -> None:
    progress = clocked([[(0.0, 0), (9.0, 1)], [(4.0, 2)]])
    hours = np.array([[8.0, 30.0], [8.0, 30.0], [8.0, 30.0]])
    which = np.array([1, 0, 1])
    expected = progress.at(hours[:2])[which]
    np.testing.assert_allclose(progress.of(which).at(hours), expected, atol=1e-12)
