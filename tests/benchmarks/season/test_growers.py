"""Growers of the yardstick: every fruit ends once, rooms hold, and who knows more sells more."""

from collections.abc import Callable
from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from tests.benchmarks.season.growers.leaflet import closes_h, ready_h
from tests.benchmarks.season.growers.letter import ToTheLetter
from tests.benchmarks.season.growers.oracle import chances, largest_flow, most_sold
from tests.benchmarks.season.growers.rules import (
    ByBook,
    ByHabit,
    Habits,
    MovesNothing,
    Ready,
    first_expired,
)
from tests.benchmarks.season.play import Begin, play
from tests.benchmarks.season.truth.fruit import Hand
from tests.benchmarks.season.truth.store import Fate, Lot, Store
from tests.benchmarks.season.truth.year import COLD, WARM, drawn_year
from tests.benchmarks.season.tuning import HABITS, OTHER_SEEDS, tuned
from tests.draws import draws

RULES: dict[str, Begin] = {
    "by habit": partial(ByHabit, habits=Habits()),
    "by habit, sold from the cold": partial(ByHabit, habits=Habits(ready=Ready.SOLD_COLD)),
    "by book": ByBook,
    "first expired": partial(ByBook, rank=first_expired),
    "nothing moved": MovesNothing,
}
SHORT = 12
"""Days of a season that a plan is followed in."""


def watched(begin: Begin, stores: list[Store]) -> Callable[[Store], object]:
    """The same grower; its farm is left in ``stores``."""

    def begins(store: Store) -> object:
        stores.append(store)
        return begin(store)

    return begins


def require_sound(store: Store) -> None:
    """Every fruit that was picked is in one lot, sold, or thrown away; no place is too full."""
    in_lots = np.concatenate([np.zeros(0, np.intp), *(lot.fruit for lot in store.lots.values())])
    np.testing.assert_array_equal(np.sort(in_lots), np.flatnonzero(store.fate == Fate.IN_STORE))
    for room, crates in store.ledger.fullest.items():
        holds = store.year.rooms[room].crates
        assert holds is None or crates <= holds


@pytest.mark.parametrize("rule", RULES)
def test_every_fruit_ends_once_by_any_rule(rule: str) -> None:
    stores: list[Store] = []
    year = drawn_year(3)
    tally = play(year, watched(RULES[rule], stores))  # type: ignore[arg-type]
    require_sound(stores[0])
    ends = tally.at_best + tally.disappointed + tally.thrown + tally.left
    assert ends == year.fruit.stage.size
    assert tally.at_best > 0
    assert play(year, RULES[rule]) == tally


@pytest.mark.long
def test_the_plan_is_followed_to_the_letter() -> None:
    stores: list[Store] = []
    growers: list[ToTheLetter] = []

    def begin(store: Store) -> ToTheLetter:
        stores.append(store)
        growers.append(Asked(store))
        return growers[0]

    year = drawn_year(3, SHORT)
    tally = play(year, begin)
    require_sound(stores[0])
    assert tally.at_best > 0
    assert tally.crates_moved > 0
    assert tally.not_moved == 0
    assert play(year, ToTheLetter) == tally


class Asked(ToTheLetter):
    """Whose season file is held against the farm every evening."""

    def move(self) -> None:
        """As ever; then count."""
        super().move()
        written = {
            batch_id: (fruit, int(room)) for batch_id, fruit, room in self.fruit_written() if fruit
        }
        there = {
            self.batch_of(lot_id): (lot.fruit.size, lot.room)
            for lot_id, lot in self.store.lots.items()
        }
        assert written == there


@pytest.mark.long
@pytest.mark.parametrize("seed", range(3))
def test_nobody_sells_more_than_the_oracle(seed: int) -> None:
    year = drawn_year(seed)
    most = most_sold(year)
    assert most <= sum(min(market.buyers, market.most) for market in year.markets)
    assert most > 1.1 * max(play(year, begin).at_best for begin in RULES.values())


@pytest.mark.parametrize("rule", RULES)
def test_the_oracle_knows_which_fruit_can_be_sold(rule: str) -> None:
    year = drawn_year(3)
    stores: list[Store] = []
    play(year, watched(RULES[rule], stores))  # type: ignore[arg-type]
    can = np.asarray(chances(year).any(axis=1))
    assert can[stores[0].fate == Fate.SOLD_AT_BEST].all()
    assert not can[~year.fruit.ripens].any()


@draws(30)
@given(st.integers(0, 2**32 - 1))
def test_the_most_that_can_be_given_to_markets_is_an_assignment(seed: int) -> None:
    draw = np.random.default_rng(seed)
    can = draw.random((int(draw.integers(1, 30)), 4)) < 0.4
    most = draw.integers(0, 8, 4).tolist()
    # A seat for each buyer: fruit are assigned to seats (SciPy, linear sum assignment).
    seats = np.repeat(can, most, axis=1).astype(float)
    rows, columns = linear_sum_assignment(-seats)
    assert largest_flow(can, most) == int(seats[rows, columns].sum())


def test_a_steady_hand_disappoints_fewer() -> None:
    def disappointed(steady: bool) -> int:
        found = 0
        for seed in range(3):
            draw = np.random.default_rng(seed)
            hand = Hand(draw, fruit_sd=0.0, day_sd=0.0, nose_sd=0.0) if steady else None
            found += play(drawn_year(seed), MovesNothing, hand).disappointed
        return found

    assert disappointed(steady=True) < 0.7 * disappointed(steady=False)


def test_a_leaflet_tells_the_usual_course() -> None:
    pick = drawn_year(1).picks[0]
    lot = Lot(pick, pick.fruit, [(14.0, COLD)])
    warm_h = ready_h(lot, 18.0, WARM)
    assert 4.0 < (warm_h - 18.0) / 24.0 < 6.0
    assert ready_h(lot) > warm_h
    assert closes_h(lot) > ready_h(lot)


@pytest.mark.long
def test_habits_are_tuned_on_other_seasons() -> None:
    best = tuned(SHORT, OTHER_SEEDS[:1])
    year = drawn_year(OTHER_SEEDS[0], SHORT)
    sold = [play(year, partial(ByHabit, habits=habits)).at_best for habits in HABITS]
    assert sold[HABITS.index(best)] == max(sold)
    assert not set(OTHER_SEEDS) & set(range(1_000))
