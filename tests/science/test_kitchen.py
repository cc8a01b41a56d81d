"""Ripening in a kitchen, against the equation of cooling and ageing, solved step by step."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from ripenroom.science.eaten import HALF_COOLING_H, KITCHEN_C, days_gained
from ripenroom.science.softening import Floats
from ripenroom.science.temperature import AnyResponse, Response, TabulatedResponse
from tests.draws import one_in

ARRHENIUS = Response(20.0, 72.0)
PAWPAW = Response(20.0, 120.0, 27.0, 200.0)
WARM_REFERENCE = Response(25.0, 90.0)
TABLE = TabulatedResponse((0.0, 10.0, 25.0), (0.1, 0.4, 1.3))


def solved(response: AnyResponse, pulp_c: float, days: float) -> float:
    """Pulp and age followed together, hour by hour of a kitchen of 20 C."""
    decay_per_h = np.log(2.0) / 2.0

    def slopes(_: float, state: Floats) -> list[float]:
        pulp, _ = state
        return [decay_per_h * (20.0 - pulp), float(response.relative_rate(pulp)) / 24.0]

    found = solve_ivp(
        slopes, (0.0, 24.0 * days), [pulp_c, 0.0], rtol=1e-10, atol=1e-12, max_step=0.5
    )
    return float(found.y[1, -1])


@pytest.mark.parametrize("response", [ARRHENIUS, PAWPAW, WARM_REFERENCE])
@pytest.mark.parametrize("pulp_c", one_in(3, [-1.0, 4.0, 14.0, 20.0, 26.0, 30.0]))
@pytest.mark.parametrize("days", [0.05, 0.3, 1.0, 3.0, 30.0])
def test_it_solves_the_equation(response: AnyResponse, pulp_c: float, days: float) -> None:
    found = float(days_gained(response.relative_rate, pulp_c, days))
    assert found == pytest.approx(solved(response, pulp_c, days), abs=1e-6)


def test_rates_from_a_table_bend_and_are_still_close() -> None:
    assert float(days_gained(TABLE.relative_rate, 2.0, 3.0)) == pytest.approx(
        solved(TABLE, 2.0, 3.0), abs=1e-3
    )


def test_settled_pulp_gains_a_day_a_day_and_none_in_no_time() -> None:
    assert KITCHEN_C == 20.0
    assert HALF_COOLING_H == 2.0
    days = np.array([0.0, 1.0, 2.5])
    assert days_gained(PAWPAW.relative_rate, 20.0, days) == pytest.approx(days, abs=1e-12)
    assert float(days_gained(PAWPAW.relative_rate, 4.0, 0.0)) == 0.0


def test_arrays_broadcast() -> None:
    pulp_c, days = np.array([[4.0], [25.0]]), np.array([0.5, 1.0, 4.0])
    together = days_gained(PAWPAW.relative_rate, pulp_c, days)
    assert together.shape == (2, 3)
    assert together[1, 2] == pytest.approx(float(days_gained(PAWPAW.relative_rate, 25.0, 4.0)))
    assert (np.diff(together, axis=1) > 0.0).all()
    assert (together[1] > together[0]).all()
