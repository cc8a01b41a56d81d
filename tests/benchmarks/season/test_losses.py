"""What is lost is all that the oracle sells more, and by what it looks like."""

from functools import partial

import numpy as np
import pytest

from tests.benchmarks.season.growers.oracle import given, largest_flow, most_sold
from tests.benchmarks.season.growers.rules import ByHabit, Habits, MovesNothing
from tests.benchmarks.season.losses import CAUSES, Followed, losses, told
from tests.benchmarks.season.play import Begin, play
from tests.benchmarks.season.truth.store import Store
from tests.benchmarks.season.truth.year import drawn_year


@pytest.mark.parametrize(
    "begin", [MovesNothing, partial(ByHabit, habits=Habits())], ids=["moves nothing", "by habit"]
)
def test_all_that_the_oracle_sells_more_is_lost_once(begin: Begin) -> None:
    kept: list[Followed] = []

    def followed(store: Store) -> Followed:
        kept.append(Followed(begin, store))
        return kept[0]

    year = drawn_year(3, 16)
    tally = play(year, followed)
    assert tally == play(year, begin)
    lost = losses(kept[0])
    assert lost.total() == most_sold(year) - tally.at_best
    assert set(lost) == set(CAUSES)
    assert min(lost.values()) >= 0
    if begin is MovesNothing:
        assert lost["too firm, in the cold"] == 0
    lines = list(told({"it": [lost]}))
    assert len(lines) == 2 + len(CAUSES)
    assert lines[2] == f"| {CAUSES[0]} | {lost[CAUSES[0]]} |"


def test_each_fruit_is_given_to_a_market_that_it_can_go_to() -> None:
    draw = np.random.default_rng(1)
    can = draw.random((60, 4)) < 0.4
    most = [5, 9, 30, 2]
    market = given(can, most)
    some = market >= 0
    assert can[np.flatnonzero(some), market[some]].all()
    assert (np.bincount(market[some], minlength=4) <= most).all()
    assert some.sum() == largest_flow(can, most) > 20
