"""A gate's need met by its clock and by treatments, against sums hour by hour."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.science.air import ScheduledAir
from ripenroom.science.allowances import UsedUp
from ripenroom.science.gate_opening import Doses, GateNeed
from ripenroom.science.temperature import Response
from tests.science.journeys import Journey, ageing_of

WARM = Response(20.0, 60.0)
AIRS = [
    ScheduledAir([0.0], [20.0], half_cooling_h=2.0),
    ScheduledAir([0.0], [1.0], half_cooling_h=2.0),
]
HOURS = np.linspace(0.0, 900.0, 90_001)

journeys = st.lists(
    st.tuples(st.floats(0.0, 150.0), st.integers(0, 1)), min_size=1, max_size=3
).map(lambda stays: sorted(stays, key=lambda stay: stay[0]))
given_hours = st.lists(
    st.tuples(st.floats(2.0, 60.0), st.floats(0.5, 40.0)), max_size=3
)  # rests before and lengths of treatments, one after the other


def need_of(
    journey: Journey, treatments: list[tuple[float, float]], whole: float, enough_h: float
) -> GateNeed:
    starts = np.cumsum([rest + length for rest, length in treatments]) - [
        length for _, length in treatments
    ]
    begun_h = journey[0][0]
    start_h = (begun_h + starts).reshape(1, -1)
    doses = Doses(start_h, start_h + np.array([length for _, length in treatments]))
    clock = ageing_of(AIRS, [journey], WARM)
    ends = np.array([[0.7, 1.0, 1.4]])
    return GateNeed(UsedUp(clock, whole * ends), doses, enough_h * ends)


@given(
    journey=journeys,
    treatments=given_hours,
    whole=st.floats(0.5, 30.0),
    enough_h=st.floats(6.0, 90.0),
    times=st.floats(0.1, 2.0),
)
def test_the_need_is_met_when_both_shares_together_are_it(
    journey: Journey,
    treatments: list[tuple[float, float]],
    whole: float,
    enough_h: float,
    times: float,
) -> None:
    need = need_of(journey, treatments, whole, enough_h)
    hours = HOURS + journey[0][0]
    clock = need.by_clock.used.at(hours[None, :])[0]
    treated = np.zeros(hours.size)
    for start_h, end_h in zip(need.doses.start_h[0], need.doses.end_h[0], strict=True):
        treated += np.clip(hours - start_h, 0.0, end_h - start_h)
    for found, part in zip(need.when(np.array([[times]])), (0.7, 1.0, 1.4), strict=True):
        met = clock / (whole * part) + treated / (enough_h * part)
        reached = np.flatnonzero(met >= times)
        if not reached.size:
            assert found[0, 0] > hours[-1] - 0.1
            continue
        # Within a treatment the clock is taken as a straight line.
        bend = sum(
            np.ptp(np.interp([start_h, end_h], hours, clock)) / (whole * part)
            for start_h, end_h in zip(need.doses.start_h[0], need.doses.end_h[0], strict=True)
            if start_h <= hours[reached[0]] <= end_h + 0.02
        )
        by_then = np.interp(found[0, 0], hours, met)
        assert by_then == pytest.approx(times, abs=0.01 + bend)


def test_half_of_either_does_together() -> None:
    """Two days of treatment do alone; after half of the cold one day does."""
    cold: Journey = [(0.0, 1)]
    none = need_of(cold, [], 4.0, 48.0)
    alone_h = float(none.when(np.ones((1, 1)))[1][0, 0])
    half_h = float(none.by_clock.used.when(np.array([[2.0]]))[0, 0])
    both = need_of(cold, [(half_h, 60.0)], 4.0, 48.0)
    opens_h = float(both.when(np.ones((1, 1)))[1][0, 0])
    assert half_h + 20.0 < opens_h <= half_h + 24.0 < alone_h
    by_then = both.shares_at(np.array([opens_h]))
    assert [share[0] for share in by_then] == pytest.approx([1.0 / 0.7, 1.0, 1.0 / 1.4], abs=0.02)


def test_what_was_not_treated_goes_by_its_clock_alone() -> None:
    """Beside a treated batch, and where treatments do nothing."""
    stays: list[Journey] = [[(0.0, 1)], [(0.0, 1)]]
    clock = UsedUp(ageing_of(AIRS, stays, WARM), np.ones((2, 3)))
    doses = Doses(np.array([[np.inf], [5.0]]), np.array([[np.inf], [500.0]]))
    ones = np.ones((2, 1))
    plain = clock.when(ones)
    treated = GateNeed(clock, doses, np.full((2, 3), 24.0)).when(ones)
    deaf = GateNeed(clock, doses, np.full((2, 3), np.inf)).when(ones)
    for expected, mixed, unmoved in zip(plain, treated, deaf, strict=True):
        assert mixed[0] == expected[0]
        assert mixed[1] < expected[1]
        np.testing.assert_allclose(unmoved, expected, atol=0.1)
