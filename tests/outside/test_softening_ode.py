"""The differential equations of softening and cooling, solved by scipy, against the closed form.

The reference integrates two equations together, the pulp's first-order cooling towards the air and
the autocatalytic loss of firmness at the rate of that pulp, with an eighth-order method to 1e-12.
It is stopped and started afresh at every kink of the air, since no such method may step over one.

The program never solves either. It is compared at the knots of a place's clock, where the clock is
an integral; in between a clock runs straight, which is a matter of storage and is bounded below.
"""

import math
from collections.abc import Sequence

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.science.air import Air, LoggedAir, ScheduledAir
from ripenroom.science.clock import Clock, SettledPulp
from ripenroom.science.softening import Floats, firmness_n_at_age
from ripenroom.season.crop_constants import CropConstants, crop_constants
from tests.draws import first_every_day, one_in
from tests.outside.equation import softening_rate_n_per_day
from tests.science.journeys import ageing_of

CROPS = {
    key: crop_constants(profile)
    for key, profile in shipped_profiles().items()
    if profile.judged_by != "nothing"  # such a crop has no softening clock
}
START_AGE = -3.0
END_H = 240.0


def solved(
    crop: CropConstants, air: Air, pulp_c: float, stops_h: Floats, kinks_h: Sequence[float]
) -> Floats:
    """Firmness (N) at ``stops_h``, the first of which is the start."""
    decay = math.log(2.0) / air.half_cooling_h

    def slopes(hour: float, state: Floats, until_h: float) -> list[float]:
        pulp, firmness = state
        # At the end of a piece the air is still that of the piece.
        air_c = float(air.air_c(min(hour, np.nextafter(until_h, -np.inf))))
        rate = crop.rate_per_day * crop.response.relative_rate(pulp)
        per_day = softening_rate_n_per_day(firmness, rate, crop.highest_n, crop.lowest_n)
        return [decay * (air_c - pulp), float(per_day) / 24.0]

    start_n = float(firmness_n_at_age(START_AGE, crop.highest_n, crop.lowest_n))
    state, at = np.array([pulp_c, start_n]), float(stops_h[0])
    found = {at: start_n}
    for until in np.unique(np.concatenate([stops_h, kinks_h])):
        if until <= at:
            continue
        result = solve_ivp(
            slopes, (at, until), state, "DOP853", args=(until,), rtol=1e-12, atol=1e-12
        )
        state, at = result.y[:, -1], float(until)
        found[at] = float(state[1])
    return np.array([found[float(stop)] for stop in stops_h])


def closed_form(crop: CropConstants, clock: Clock, hours: Floats) -> Floats:
    """Firmness (N) by the program."""
    age = START_AGE + crop.rate_per_day * np.interp(hours, clock.hours, clock.theta)
    return firmness_n_at_age(age, crop.highest_n, crop.lowest_n)


def worst_share(
    crop: CropConstants, air: Air, stops_h: Floats, kinks_h: Sequence[float] = ()
) -> float:
    """Largest difference from the reference, as a share of the crop's firmness range."""
    clock = SettledPulp(air, 0.0, END_H).clock(crop.response.relative_rate)
    reference_n = solved(crop, air, float(air.pulp_c(0.0)), stops_h, kinks_h)
    off_n = np.abs(closed_form(crop, clock, stops_h) - reference_n)
    return float(off_n.max()) / (crop.highest_n - crop.lowest_n)


def some_knots(air: Air) -> Floats:
    """About thirty knots of the clock, the first and last among them."""
    knots = air.knots(0.0, END_H)
    return np.asarray(knots[np.unique(np.linspace(0, knots.size - 1, 30).astype(int))])


def a_log(half_cooling_h: float) -> tuple[LoggedAir, list[float]]:
    """A logger's quarter-hours, three-hours and a gap of a day, through a cold night."""
    draw = np.random.default_rng(3)
    hours = np.concatenate(
        [np.arange(0.0, 20.0, 0.25), np.arange(20.0, 120.0, 3.0), [144.0, 147.0]]
    )
    celsius = 15.0 + 8.0 * np.sin(hours / 4.0) + draw.normal(0.0, 1.5, hours.size)
    return LoggedAir(hours, celsius, half_cooling_h), hours.tolist()


@pytest.mark.parametrize("key", one_in(3, list(CROPS)))
@pytest.mark.parametrize("half_cooling_h", first_every_day([6.0, 0.2, 1.0, 12.0]))
def test_set_point_steps(key: str, half_cooling_h: float) -> None:
    changes = [0.0, 30.0, 60.0, 63.3]
    air = ScheduledAir(changes, [22.0, 4.0, 25.0, 8.0], half_cooling_h)
    assert worst_share(CROPS[key], air, some_knots(air), changes) < 1e-8


@pytest.mark.parametrize("key", one_in(3, list(CROPS)))
@pytest.mark.parametrize("half_cooling_h", first_every_day([6.0, 1.0]))
def test_daily_swing(key: str, half_cooling_h: float) -> None:
    air = ScheduledAir([0.0], [18.0], half_cooling_h, swing_k=8.0, warmest_h=15.0)
    assert worst_share(CROPS[key], air, some_knots(air)) < 1e-8


@pytest.mark.parametrize("key", one_in(3, list(CROPS)))
@pytest.mark.parametrize("half_cooling_h", first_every_day([2.0, 0.5, 6.0]))
def test_a_logged_series(key: str, half_cooling_h: float) -> None:
    air, readings_h = a_log(half_cooling_h)
    assert worst_share(CROPS[key], air, some_knots(air), readings_h) < 1e-8


@pytest.mark.parametrize("half_cooling_h", [1.0, 6.0, 12.0])
def test_between_knots_a_straight_clock_is_off_by_a_quarter_of_an_hour_at_most(
    half_cooling_h: float,
) -> None:
    """At the steepest of a step of 18 K; a day's ageing at the reference is 0.8."""
    crop = CROPS["pawpaw"]
    air = ScheduledAir([0.0, 30.0], [22.0, 4.0], half_cooling_h)
    knots = air.knots(0.0, END_H)
    knots = knots[(knots >= 30.0) & (knots < 30.0 + 3.0 * half_cooling_h)]
    between = np.concatenate([[0.0], (knots[:-1] + knots[1:]) / 2.0])
    assert worst_share(crop, air, between, [30.0]) < 0.25 * crop.rate_per_day / 24.0 / 4.0


# The lag of pulp that arrives warmer or colder.


@pytest.mark.parametrize("key", one_in(3, list(CROPS)))
@pytest.mark.parametrize(("air_c", "pulp_c"), [(4.0, 26.0), (21.0, 6.0), (12.0, 24.0)])
def test_pulp_that_arrives_warmer_or_colder_at_a_steady_place(
    key: str, air_c: float, pulp_c: float
) -> None:
    """To 3e-5 in age on the way, by a polynomial through eight nodes, and to 2e-7 when all of the
    lag is in; to 2e-8 but for the fall from 26 C, where heat bends the response.
    """
    crop = CROPS[key]
    air = ScheduledAir([0.0], [air_c], half_cooling_h=6.0)
    on_the_way = np.array([0.0, 2.0, 7.0, 18.0, 35.0])
    reference_n = solved(crop, air, pulp_c, np.append(on_the_way, 400.0), [])
    ageing = ageing_of([air], [[(0.0, 0)]], crop.response, pulp_c)
    hours = np.append(on_the_way, 400.0)[None, :]
    age = START_AGE + crop.rate_per_day * ageing.at(hours)[0]
    reference_age = age_from_share(crop, reference_n)
    assert np.abs(age - reference_age)[:-1].max() < 3e-5
    if reference_age[-1] < 5.0:  # further on, firmness is too near its end to tell ages apart
        assert abs(age[-1] - reference_age[-1]) < (2e-7 if pulp_c > 25.0 else 2e-8)


def age_from_share(crop: CropConstants, firmness_n: Floats) -> Floats:
    """Age by the inverse of the curve, without the program's guard at the asymptotes."""
    share = (firmness_n - crop.lowest_n) / (crop.highest_n - crop.lowest_n)
    return np.asarray(np.log((1.0 - share) / share))


@pytest.mark.parametrize(
    ("swing_k", "half_cooling_h", "within"), [(4.0, 6.0, 0.005), (8.0, 12.0, 0.03)]
)
def test_pulp_that_arrives_warmer_or_colder_where_the_air_swings(
    swing_k: float, half_cooling_h: float, within: float
) -> None:
    """In age, at the hours of knots; what a lag still adds when it is called over is in it."""
    crop = CROPS["pawpaw"]
    hours = np.array([0.0, 3.0, 12.0, 30.0, 60.0])
    for mean_c, pulp_c in ((6.0, 26.0), (18.0, 8.0)):
        air = ScheduledAir([0.0], [mean_c], half_cooling_h, swing_k, warmest_h=15.0)
        reference_age = age_from_share(crop, solved(crop, air, pulp_c, hours, []))
        ageing = ageing_of([air], [[(0.0, 0)]], crop.response, pulp_c)
        age = START_AGE + crop.rate_per_day * ageing.at(hours[None, :])[0]
        assert np.abs(age - reference_age).max() < within
