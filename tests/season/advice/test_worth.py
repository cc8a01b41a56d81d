"""What the best plan with cut crates comes to, against a dense programme written in another way."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from ripenroom.planning.problem import MORE_PRICE, Problem
from ripenroom.records.market import SecondGrade
from ripenroom.season.advice.shared_itineraries import paid_ground, worth
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.season.advice.test_set_points import CROPS, ZONE, farm
from tests.season.advice.test_shared_itineraries import busy_farm
from tests.season.advice.test_what_helps import glut
from tests.season.farm import NOW, nothing_more


def best_value(problem: Problem) -> float:
    """By steps of what sells and a row for every place and evening, without any tie-breaking."""
    ways, wants = problem.ways, problem.wants
    n_wants, evenings = wants.fruit.size, np.arange(problem.room.shape[1])
    stands = (ways.stay_from[:, :, None] <= evenings) & (evenings < ways.stay_until[:, :, None])
    rows = [
        np.where(ways.stay_place[:, :, None] == place, stands, False).sum(axis=1).T
        for place in np.flatnonzero(problem.tight)
    ]
    rows.append(np.arange(problem.crates.size)[:, None] == ways.batch)
    limits = [problem.room[problem.tight].ravel(), problem.crates]
    of_ways = np.vstack(rows).astype(float)
    brought = np.where(np.arange(n_wants)[:, None] == ways.want, problem.fruit, 0.0)
    sold = np.hstack([brought, -np.eye(n_wants), -np.eye(n_wants)])
    fixed, free = problem.fixed.astype(float), ways.free
    answer = milp(
        -np.concatenate([problem.later - ways.handling, wants.price, MORE_PRICE * wants.price]),
        bounds=Bounds(
            np.concatenate([fixed, np.zeros(2 * n_wants)]),
            np.concatenate([np.where(free, np.inf, fixed), wants.fruit, wants.more]),
        ),
        constraints=[
            LinearConstraint(
                np.hstack([of_ways, np.zeros((of_ways.shape[0], 2 * n_wants))]),
                ub=np.concatenate(limits),
            ),
            LinearConstraint(sold, lb=0.0),
        ],
    )
    assert answer.success
    return -float(answer.fun)


@pytest.mark.long
def test_of_the_practice_farm_and_with_fewer_hands(practice: Season) -> None:
    problem = paid_ground(practice.state).problem
    assert worth(problem).value_minor == pytest.approx(best_value(problem), rel=1e-3)
    season = replace(practice.book.season, crates_moved_per_evening=3)
    book = replace(practice.book, season=season)
    short = paid_ground(practice.state.with_book(book)).problem
    assert short.room.shape[0] == problem.room.shape[0] + 1
    assert worth(short).value_minor == pytest.approx(best_value(short), rel=1e-3)
    assert worth(short).value_minor < worth(problem).value_minor


def test_with_pins_second_grade_and_moves_written_down() -> None:
    # Likely picks would overfill a room, of which the dense programme knows nothing.
    book = busy_farm().with_changes([nothing_more()])
    problem = paid_ground(SeasonState(book, CROPS, NOW, ZONE)).problem
    assert problem.fixed.any()
    assert problem.wants.second.any()
    found = worth(problem)
    assert found.value_minor == pytest.approx(best_value(problem), rel=1e-3)


def test_fruit_for_pulp_is_sold_but_not_sold_ready() -> None:
    state = SeasonState(glut().with_changes([nothing_more()]), CROPS, NOW, ZONE)
    before = worth(paid_ground(state).problem)
    pulp = SecondGrade(id="pulp", crop="pawpaw", price_minor=80)
    after = worth(paid_ground(state.with_changes([pulp])).problem)
    assert before.sold == before.sold_ready
    assert after.sold > after.sold_ready > 0.0
    assert after.value_minor > before.value_minor


def test_nothing_is_worth_nothing() -> None:
    book = replace(farm(3.0, 20.0), batches={}, moves={})
    empty = paid_ground(SeasonState(book, CROPS, NOW, ZONE)).problem
    found = worth(empty)
    assert (found.value_minor, found.sold, found.sold_ready) == (0.0, 0.0, 0.0)
