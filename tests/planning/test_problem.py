"""Problems: what plans bring, are worth and take up."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.planning.problem import FREE, MORE_PRICE, MORE_SHARE, NO_WANT, Wants, sells_for
from tests.planning import made


@given(st.integers(0, 10_000))
def test_worth_and_room_taken_are_as_counted_one_by_one(seed: int) -> None:
    problem = made.problem(seed)
    crates = np.random.default_rng(seed).integers(0, 4, problem.ways.size)
    assert problem.value(crates) == pytest.approx(made.worth(problem, crates))
    assert problem.load(crates) == pytest.approx(made.load(problem, crates))


def test_beyond_the_want_fruit_sells_for_less_and_then_not_at_all() -> None:
    wanted = np.array([100.0])
    full, some, more, far = (
        float(sells_for(np.array([n]), wanted, MORE_SHARE * wanted)[0])
        for n in (100.0, 110.0, 125.0, 900.0)
    )
    assert full == 100.0
    assert some == 100.0 + MORE_PRICE * 10.0
    assert more == far == 100.0 * (1.0 + MORE_SHARE * MORE_PRICE)


@given(st.floats(0.0, 300.0), st.floats(0.0, 50.0), st.floats(0.0, 50.0), st.floats(0.0, 200.0))
def test_worth_never_grows_faster(start: float, step: float, more: float, wanted: float) -> None:
    def at(fruit: float) -> float:
        some = np.array([fruit]), np.array([wanted]), np.array([MORE_SHARE * wanted])
        return float(sells_for(*some)[0])

    first, then = at(start + step) - at(start), at(start + more + step) - at(start + more)
    assert -1e-9 <= then <= first + 1e-9


def test_no_more_is_sold_than_a_market_takes() -> None:
    wants = Wants(
        np.array([40.0, 0.0]),
        np.array([100.0, 100.0]),
        np.array([1.0, 2.0]),
        np.zeros(2, bool),
        np.zeros(2, bool),
    )
    assert wants.sold(np.array([[10.0, 5.0], [80.0, 0.0]])).tolist() == [[10.0, 0.0], [50.0, 0.0]]


@given(st.integers(0, 10_000))
def test_waiting_takes_off_a_part_of_what_is_paid_with_each_day(seed: int) -> None:
    """Also of what is kept for later: that is sold after the last market day."""
    given = replace(made.problem(seed), later_price=3.0)
    hurried = replace(given, waiting=0.1, now_h=-24.0)
    last_h = float(given.wants.start_h.max())
    for way in range(given.ways.size):
        want = int(given.ways.want[way])
        sold = want != NO_WANT
        price = float(given.wants.price[want]) if sold else 3.0
        days = 1.0 + (float(given.wants.start_h[want]) if sold else last_h) / 24.0
        less = float(given.fruit[way]) * price * (1.0 - 0.9**days)
        assert hurried.waits[way] == pytest.approx(less)
    crates = np.random.default_rng(seed).integers(0, 4, given.ways.size)
    assert hurried.value(crates) == pytest.approx(given.value(crates) - hurried.waits @ crates)
    assert hurried.as_paid.value(crates) == pytest.approx(given.as_paid.value(crates))


def test_what_is_yet_to_be_picked_is_kept_from_then_on() -> None:
    given = made.problem(3, wants=2)
    wants = replace(given.wants, start_h=np.array([72.0, 120.0]), price=np.array([50.0, 50.0]))
    here_h = np.array([-48.0, 0.0, 48.0, 96.0])
    given = replace(given, wants=wants, waiting=0.1, here_h=here_h)
    batch, want = (each.ravel() for each in np.indices((4, 2)))
    less = given.less_for_waiting(batch, want).reshape(4, 2) / 50.0
    # After three days 0.9^3 is left, after five 0.9^5; before that two or four went by.
    left = 0.9 ** np.array([3.0, 5.0])
    assert less[0] == pytest.approx(1.0 - left)
    assert less[1] == pytest.approx(1.0 - left)
    assert less[2] == pytest.approx(0.9**2 - left)
    assert less[3] == pytest.approx([0.0, 0.9**4 - left[1]])
    # Who goes to which of two days that pay alike makes no odds.
    assert less[1, 0] + less[2, 1] == pytest.approx(less[1, 1] + less[2, 0])


@given(st.integers(0, 10_000))
def test_each_new_move_has_to_bring_the_hurdle_where_plans_are_chosen(seed: int) -> None:
    given = made.problem(seed)
    high = replace(given, hurdle=7.0)
    crates = np.random.default_rng(seed).integers(0, 4, given.ways.size)
    moves = sum(int(crates[way]) for way in range(given.ways.size) if given.ways.pull[way] >= 0)
    assert high.value(crates) == pytest.approx(given.value(crates) - 7.0 * moves)
    assert high.as_paid.value(crates) == pytest.approx(given.as_paid.value(crates))


@given(st.integers(0, 10_000))
def test_a_reserve_counts_where_plans_are_chosen_and_not_in_what_is_paid(seed: int) -> None:
    given = made.with_reserve(made.problem(seed), seed)
    ways = given.ways
    counted = [float(s * (1.0 - r)) for s, r in zip(ways.share, ways.reserve, strict=True)]
    each = given.fruit_per_crate[ways.batch]
    assert given.fruit == pytest.approx(np.array(counted) * each)
    assert given.as_paid.fruit == pytest.approx(ways.share * each)


def test_a_crate_that_is_left_brings_nothing() -> None:
    problem = made.problem(3)
    left = np.where(problem.ways.want == NO_WANT, 5, 0)
    assert problem.value(left) == 0.0
    assert problem.saleable(left).shape == problem.wants.fruit.shape


def test_second_grade_takes_its_fruit_and_no_more() -> None:
    wants = Wants(
        np.array([40.0, 40.0]),
        np.array([10.0, 10.0]),
        np.zeros(2),
        np.array([False, True]),
        np.zeros(2, bool),
    )
    assert wants.sold(np.array([90.0, 90.0])).tolist() == [50.0, 40.0]
    assert wants.value(np.array([90.0, 90.0])).tolist() == [450.0, 400.0]


def test_what_is_decided_is_counted_apart() -> None:
    problem = made.problem(5)
    way = int(np.flatnonzero(problem.crates[problem.ways.batch] >= 2)[0])
    ways = problem.ways
    problem = replace(
        problem, ways=replace(ways, fixed=np.where(np.arange(ways.size) == way, 2, FREE))
    )
    batch = int(ways.batch[way])
    assert problem.fixed[way] == problem.fixed.sum() == 2
    assert problem.undecided[batch] == problem.crates[batch] - 2
    assert problem.as_they_stand.sum() == problem.crates.sum()
    assert problem.as_they_stand[way] >= 2


@given(st.integers(0, 10_000))
def test_by_weight_a_heavy_fruit_counts_for_more_than_one(seed: int) -> None:
    plain = made.problem(seed)
    by_weight = np.arange(plain.wants.fruit.size) % 2 == 0
    size = np.linspace(0.5, 1.5, plain.crates.size)
    weighed = replace(plain, wants=replace(plain.wants, by_weight=by_weight), size=size)
    counts = np.append(by_weight, False)[plain.ways.want]
    expected = np.where(counts, plain.fruit * size[plain.ways.batch], plain.fruit)
    np.testing.assert_allclose(weighed.fruit, expected)
