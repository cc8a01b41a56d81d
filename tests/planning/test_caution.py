"""What caution takes off, reckoned one by one."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.planning.caution import (
    HURDLE,
    MOST_RESERVE,
    RESERVE,
    RESERVE_DAYS,
    WAITING,
    by_rate,
    cautious,
    dearness,
)
from ripenroom.planning.problem import MORE_PRICE, NO_WANT, Problem, Wants
from ripenroom.planning.relaxation import crate_worth
from tests.planning import made
from tests.planning.prospects import prospects


def priced(*price: float, second: tuple[bool, ...] | None = None) -> Problem:
    """A problem of wants at such prices; that for second grade come last."""
    problem = made.problem(1, wants=len(price))
    count = len(price)
    wants = Wants(
        np.full(count, 20.0),
        np.array(price),
        24.0 * np.arange(count, dtype=float),
        np.array(second or (False,) * count),
        np.zeros(count, bool),
    )
    return replace(problem, wants=wants)


def test_where_all_pay_alike_no_market_is_dear() -> None:
    assert dearness(priced(90.0, 90.0, 90.0), np.zeros(3, np.intp)).tolist() == [0.0, 0.0, 0.0]


def test_how_dear_a_market_is_is_the_newsvendors_critical_ratio() -> None:
    # Short: the price less the usual one. Too many: the usual price, less what a surplus fetches.
    usual, price = 100.0, 150.0
    short, over = price - usual, usual - MORE_PRICE * price
    found = dearness(priced(usual, usual, price), np.zeros(3, np.intp))
    assert found == pytest.approx([0.0, 0.0, short / (short + over)])


def test_what_pays_twice_the_usual_price_is_as_dear_as_can_be() -> None:
    found = dearness(priced(100.0, 100.0, 200.0, 900.0, 50.0), np.zeros(5, np.intp))
    assert found.tolist() == [0.0, 0.0, 1.0, 1.0, 0.0]


def test_each_crop_has_its_own_usual_price() -> None:
    found = dearness(priced(100.0, 400.0, 100.0, 400.0), np.array([0, 1, 0, 1]))
    assert found.tolist() == [0.0, 0.0, 0.0, 0.0]


def test_second_grade_is_never_dear_and_makes_nothing_else_so() -> None:
    wanted = priced(100.0, 100.0, 5.0, second=(False, False, True))
    assert dearness(wanted, np.zeros(3, np.intp)).tolist() == [0.0, 0.0, 0.0]


def test_what_is_given_away_is_not_dear() -> None:
    assert dearness(priced(0.0, 100.0), np.zeros(2, np.intp)).tolist() == [0.0, 0.0]


@given(st.integers(0, 10_000))
def test_without_prospects_only_time_and_moves_count_less(seed: int) -> None:
    given = made.problem(seed)
    careful = cautious(given, None, np.zeros(given.wants.fruit.size, np.intp), crate_worth(given))
    assert careful.waiting == WAITING
    assert careful.hurdle == pytest.approx(HURDLE * crate_worth(given))
    assert not careful.ways.reserve.any()


def test_for_a_far_market_nothing_is_held_back_yet() -> None:
    made_up = replace(priced(100.0, 100.0, 200.0), now_h=48.0 - 24.0 * RESERVE_DAYS)
    sells = int((made_up.ways.want != NO_WANT).sum())
    pairs = prospects(3, journeys=sells, days=1)
    assert not cautious(
        made_up, pairs, np.zeros(3, np.intp), crate_worth(made_up)
    ).ways.reserve.any()


def test_without_doubt_of_the_rate_nothing_is_held_back() -> None:
    none = np.zeros((6, 1, 1))
    sure = prospects(2, journeys=6, days=1, start_rate_sd=none, horizon_rate_sd=none)
    assert by_rate(sure) == pytest.approx(np.zeros(6), abs=1e-12)


def test_the_doubt_of_a_share_by_its_rate_is_about_that_of_truths() -> None:
    pairs = prospects(4, journeys=200, days=1)
    rate_z = np.random.default_rng(1).standard_normal((1, 4_000))
    drawn = pairs.under(rate_z, np.zeros((1, 4_000)))[0].std(axis=1)
    # Where a share bends within a sd, two points tell less than all: close in the middle.
    assert float(np.median(np.abs(by_rate(pairs) - drawn))) < 0.02
    assert np.corrcoef(by_rate(pairs), drawn)[0, 1] > 0.8


def test_what_is_held_back_grows_with_doubt_and_price_up_to_a_limit() -> None:
    made_up = priced(100.0, 100.0, 200.0)
    ways = made_up.ways
    sells = int((ways.want != NO_WANT).sum())
    assert (ways.want[:sells] != NO_WANT).all()
    pairs = prospects(3, journeys=sells, days=1)
    reserve = cautious(made_up, pairs, np.zeros(3, np.intp), crate_worth(made_up)).ways.reserve
    for way in range(sells):
        share = max(float(ways.share[way]), 1e-9)
        # The dear one is two days away.
        held_sds = RESERVE * (1.0 - 2.0 / RESERVE_DAYS) if ways.want[way] == 2 else 0.0
        part = held_sds * float(by_rate(pairs)[way]) / share
        assert reserve[way] == pytest.approx(min(part, MOST_RESERVE))
    assert not reserve[sells:].any()
    assert reserve.any()
