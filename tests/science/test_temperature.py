"""The temperature response: Arrhenius below, shut down by heat, 1 at the reference."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.science.temperature import DoubtfulQ10, Response, TabulatedResponse
from ripenroom.units import GAS_CONSTANT_J_MOL_K, activation_kj_mol_from_q10

PAWPAW = Response(20.0, 120.0, 27.0, 200.0)
PLAIN = Response(20.0, 60.0)

responses = st.builds(
    Response,
    reference_c=st.floats(0.0, 30.0),
    activation_kj_mol=st.floats(20.0, 150.0),
    heat_midpoint_c=st.floats(22.0, 45.0),
    heat_kj_mol=st.one_of(st.just(0.0), st.floats(100.0, 500.0)),
)


@given(response=responses)
def test_1_at_the_reference(response: Response) -> None:
    assert response.relative_rate(response.reference_c) == pytest.approx(1.0, rel=1e-12)


@given(q10=st.floats(1.1, 5.0), low_c=st.floats(-2.0, 30.0), span_k=st.floats(1.0, 20.0))
def test_a_q10_and_its_activation_energy_agree(q10: float, low_c: float, span_k: float) -> None:
    high_c = low_c + span_k
    response = Response(low_c, activation_kj_mol_from_q10(q10, low_c, high_c))
    assert response.relative_rate(high_c) == pytest.approx(q10 ** (span_k / 10.0), rel=1e-9)


def test_arrhenius_by_hand() -> None:
    # exp(E / R (1/293.15 - 1/277.15)) with E = 60 kJ/mol
    expected = np.exp(60e3 / GAS_CONSTANT_J_MOL_K * (1 / 293.15 - 1 / 277.15))
    assert PLAIN.relative_rate(4.0) == pytest.approx(expected, rel=1e-12)


def test_without_heat_warmer_is_always_faster() -> None:
    assert (np.diff(PLAIN.relative_rate(np.linspace(-5.0, 60.0, 200))) > 0.0).all()


def test_heat_halves_the_arrhenius_line_at_its_midpoint() -> None:
    # Against a temperature so cold that the shut-down plays no part.
    line = Response(20.0, 120.0)
    fall_cold = PAWPAW.relative_rate(-40.0) / line.relative_rate(-40.0)
    fall_at_midpoint = PAWPAW.relative_rate(27.0) / line.relative_rate(27.0)
    assert fall_at_midpoint / fall_cold == pytest.approx(0.5, rel=1e-5)


def test_beyond_its_peak_heat_slows_ripening_and_goes_on_slowing_it() -> None:
    rate = PAWPAW.relative_rate(np.linspace(20.0, 60.0, 401))
    peak = int(rate.argmax())
    assert 0 < peak < 100  # between 20 and 30 C
    assert (np.diff(rate[:peak]) > 0.0).all()
    assert (np.diff(rate[peak:]) < 0.0).all()
    assert rate[-1] < 0.2


def test_no_overflow_anywhere_a_thermometer_can_stand() -> None:
    steep = Response(20.0, 150.0, 25.0, 5000.0)
    with np.errstate(over="raise", invalid="raise"):
        rate = steep.relative_rate(np.linspace(-40.0, 90.0, 300))
    assert np.isfinite(rate).all()
    assert rate[-1] < 1e-60


@pytest.mark.parametrize("response", [PLAIN, PAWPAW])
@pytest.mark.parametrize("celsius", [0.0, 4.0, 15.0, 20.0, 30.0])
def test_slope_is_the_derivative_by_activation_energy(response: Response, celsius: float) -> None:
    step = 1e-4
    more, less = (
        Response(
            response.reference_c,
            np.add(response.activation_kj_mol, sign * step),
            response.heat_midpoint_c,
            response.heat_kj_mol,
        )
        for sign in (1.0, -1.0)
    )
    derivative = np.log(more.relative_rate(celsius) / less.relative_rate(celsius)) / (2.0 * step)
    assert response.slope_per_kj_mol(celsius) == pytest.approx(derivative, abs=1e-9)


def test_a_table_is_met_at_its_points_and_runs_straight_in_the_logarithm() -> None:
    hump = TabulatedResponse((0.0, 10.0, 20.0), (0.25, 1.0, 0.5))
    assert hump.relative_rate([0.0, 10.0, 20.0]) == pytest.approx([0.25, 1.0, 0.5])
    assert hump.relative_rate(5.0) == pytest.approx(0.5)  # the geometric mean
    assert hump.relative_rate([-5.0, 35.0]) == pytest.approx([0.25, 0.5])
    assert hump.slope_per_kj_mol(np.array([3.0, 4.0])) == pytest.approx([0.0, 0.0])


def test_a_doubtful_q10_is_surest_at_its_reference() -> None:
    """Two independent doubts: their logs add as squares, the q10's for every 10 C away."""
    pace = DoubtfulQ10(2.5, 0.1, 15.0, log_sd=0.2)
    at_c = np.array([5.0, 15.0, 35.0])
    middle, fast = pace.relative_rate_at(0.0)(at_c), pace.relative_rate_at(1.0)(at_c)
    assert middle == pytest.approx([1 / 2.5, 1.0, 2.5**2])
    assert np.log(fast / middle) == pytest.approx([np.sqrt(0.04 + 0.01), 0.2, np.sqrt(0.04 + 0.04)])
