"""Fruit at hand goes before picks that are only likely."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.planning.allocation import allocate
from ripenroom.planning.at_hand_first import at_hand_first
from ripenroom.planning.problem import FREE, NO_WANT, Itineraries, Problem, Wants
from ripenroom.science.clock import Indices
from tests.draws import draws
from tests.planning import made

NEAR, FAR = 0, 1
AT_HAND, LIKELY = 0, 1


def never() -> bool:
    return False


def near_and_far(far_price: float, rooms: float = np.inf) -> Problem:
    """Two crates of ten at hand and two likely ones; a near market wants twenty, a far one plenty.
    All is ready for both, the likely ones a little more so. From the first evening on crates stand
    in one place of so many ``rooms``: those at hand if they are brought there, likely ones come."""
    batch, want = (
        np.array(each) for each in zip(*((b, w) for b in (0, 1) for w in (0, 1, -1)), strict=True)
    )
    size = batch.size
    none = np.full(size, -1)
    sells = want != NO_WANT
    stay = np.where(want == FAR, 4, 2)
    problem = Problem(
        crates=np.array([2, 2]),
        fruit_per_crate=np.array([10.0, 10.0]),
        wants=Wants(
            np.array([20.0, 1000.0]),
            np.array([100.0, far_price]),
            np.array([48.0, 96.0]),
            np.zeros(2, bool),
            np.zeros(2, bool),
        ),
        ways=Itineraries(
            batch=batch,
            want=want,
            first_place=none,
            first=none,
            place=np.zeros(size, np.intp),
            pull=np.where((batch == AT_HAND) & sells, 0, -1),
            share=np.where(sells, np.where(batch == LIKELY, 0.9, 0.8), 0.0),
            handling=np.zeros(size),
            reserve=np.zeros(size),
            kept=np.zeros(size, bool),
            fixed=np.full(size, FREE),
            stay_place=np.zeros((size, 1), np.int16),
            stay_from=np.zeros((size, 1), np.int16),
            stay_until=np.where(sells | (batch == LIKELY), stay, 0)[:, None].astype(np.int16),
            stay_new=((batch == AT_HAND) & sells)[:, None],
        ),
        room=np.full((1, 4), rooms),
    )
    return replace(problem, waiting=0.05)


def crates_to(problem: Problem, crates: Indices, batch: int, want: int) -> int:
    own = (problem.ways.batch == batch) & (problem.ways.want == want)
    return int(crates[own].sum())


def gone_through(problem: Problem, crates: Indices) -> Indices:
    return at_hand_first(problem, crates, np.array([False, True]), never)


def test_a_near_market_gets_what_is_at_hand_and_a_far_one_what_is_likely() -> None:
    problem = near_and_far(105.0)
    hoards = np.array([0, 2, 0, 2, 0, 0])  # at hand to the far one, likely to the near one
    assert problem.value(hoards) > problem.value(np.array([2, 0, 0, 0, 2, 0])) - 20.0
    found = gone_through(problem, hoards)
    assert crates_to(problem, found, AT_HAND, NEAR) == 2
    assert crates_to(problem, found, LIKELY, FAR) == 2


@pytest.mark.parametrize(("far_price", "near_crates"), [(100.0, 2), (110.0, 2), (150.0, 0)])
def test_a_far_market_must_pay_clearly_more(far_price: float, near_crates: int) -> None:
    """After waiting two days more, at 5 % a day, of which nine tenths count."""
    problem = near_and_far(far_price)
    found = gone_through(problem, np.array([0, 2, 0, 2, 0, 0]))
    assert crates_to(problem, found, AT_HAND, NEAR) == near_crates


def test_nothing_is_sent_further_than_it_was() -> None:
    problem = near_and_far(300.0)
    found = gone_through(problem, np.array([2, 0, 0, 0, 2, 0]))
    assert crates_to(problem, found, AT_HAND, NEAR) == 2


def test_nothing_at_hand_is_given_up_for_a_room_that_likely_picks_would_take() -> None:
    problem = near_and_far(100.0, rooms=2.0)
    given_up = np.array([0, 0, 2, 2, 0, 0])
    found = gone_through(problem, given_up)
    assert crates_to(problem, found, AT_HAND, NEAR) == 2
    assert crates_to(problem, found, AT_HAND, NO_WANT) == 0
    assert made.faults(problem, found) == []


@draws(60)
@given(st.integers(0, 10_000), st.booleans())
def test_the_plan_stays_feasible_and_fruit_at_hand_sells_no_less(seed: int, pinned: bool) -> None:
    problem = made.problem(seed, batches=6)
    if pinned:
        problem = made.decided(problem, seed)
    likely = np.random.default_rng(seed).random(6) < 0.5
    before = allocate(problem).crates
    after = at_hand_first(problem, before, likely, never)
    assert made.faults(problem, after) == []
    own = ~likely[problem.ways.batch]

    def worth(crates: Indices) -> float:
        return problem.value(np.where(own, crates, 0))

    assert worth(after) >= worth(before) - 1e-3 * max(worth(before), 1.0)
    start_h = np.append(problem.wants.start_h, np.inf)[problem.ways.want]
    for hours in problem.wants.start_h.tolist():
        by = own & (start_h <= hours)
        batch = problem.ways.batch[by]
        sent = [np.bincount(batch, crates[by], minlength=6) for crates in (before, after)]
        assert (sent[1] >= sent[0]).all()


@draws(20)
@given(st.integers(0, 10_000))
def test_without_likely_picks_or_stopped_nothing_changes(seed: int) -> None:
    problem = made.problem(seed)
    crates = allocate(problem).crates
    none, every = np.zeros(4, bool), np.ones(4, bool)
    assert at_hand_first(problem, crates, none, never) is crates
    assert at_hand_first(problem, crates, every, lambda: True) is crates
