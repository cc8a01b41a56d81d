"""The truth of the yardstick: fruit, hands and rooms are as it says, and are its own."""

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from tests.benchmarks.season.truth import fruit as laws
from tests.benchmarks.season.truth.fruit import Fruit, Hand, Nature
from tests.benchmarks.season.truth.store import Fate, Store
from tests.benchmarks.season.truth.year import (
    BIN,
    COLD,
    FRUIT_PER_CRATE,
    WARM,
    Year,
    drawn_year,
)

NATURE = Nature(5.0, 1.6)
PARTS = ("fruit", "year", "store")


def some_fruit(number: int, celsius: float, seed: int = 1) -> Fruit:
    """Fruit as picked, at one pulp temperature already."""
    draw = np.random.default_rng(seed)
    return Fruit(
        stage=draw.uniform(0.5, 2.5, number),
        lives=np.zeros(number),
        pulp_c=np.full(number, celsius),
        pace=draw.uniform(0.7, 1.4, number),
        life_days=draw.uniform(2.0, 3.0, number),
        ripens=draw.random(number) > 0.1,
    )


def stand(fruit: Fruit, celsius: float, hours: int) -> np.ndarray:
    """Whether each fruit is at its best in each hour that it stands at a temperature."""
    here = np.arange(fruit.stage.size)
    air, half = np.full(here.size, celsius), np.full(here.size, 5.0)
    best = []
    for _ in range(hours):
        best.append(fruit.best_within(0.0, NATURE))
        fruit.soften(here, air, half, 1.0, NATURE)
    return np.array(best)


def test_the_truth_imports_nothing_of_the_program() -> None:
    names = ", ".join(f"tests.benchmarks.season.truth.{part}" for part in PARTS)
    program = f"import sys, {names}; print([n for n in sys.modules if n.startswith('ripenroom')])"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert (done.stdout.strip(), done.stderr) == ("[]", "")


@pytest.mark.parametrize("celsius", [13.0, 21.0])
def test_fruit_is_at_its_best_within_one_window(celsius: float) -> None:
    fruit = some_fruit(200, celsius)
    best = stand(fruit, celsius, 24 * 40)
    turns = np.abs(np.diff(best.astype(int), axis=0)).sum(axis=0)
    assert (turns[fruit.ripens] == 2).all()
    assert not best[:, ~fruit.ripens].any()


def test_at_one_temperature_the_stage_grows_evenly() -> None:
    fruit = some_fruit(50, 10.0)
    before = fruit.stage.copy()
    stand(fruit, 10.0, 48)
    gained = np.where(fruit.ripens, fruit.pace * 2.0 / 5.0, 0.0)  # a Q10 of 5, 10 K below 20 C
    np.testing.assert_allclose(fruit.stage, before + gained, rtol=1e-12)


def test_pulp_goes_half_of_the_way_in_its_half_cooling_time() -> None:
    fruit = some_fruit(3, 22.0)
    stand(fruit, 4.0, 5)
    np.testing.assert_allclose(fruit.pulp_c, 13.0)


def test_firmness_falls_and_leads_back_to_the_stage() -> None:
    stage = np.linspace(0.2, 8.0, 60)
    newtons = laws.firmness_n(stage)
    assert (np.diff(newtons) < 0.0).all()
    np.testing.assert_allclose(laws.stage_at(newtons), stage)
    assert laws.firmness_n(np.array([laws.READY_STAGE]))[0] == pytest.approx(laws.READY_N)


def test_a_steady_hand_sorts_as_fruit_is() -> None:
    fruit = some_fruit(300, 20.0)
    stand(fruit, 20.0, 110)
    hand = Hand(np.random.default_rng(1), fruit_sd=0.0, nose_sd=0.0)
    fit, past = hand.sorts(fruit, 0.0)
    np.testing.assert_array_equal(fit, fruit.best_within(0.0, NATURE))
    np.testing.assert_array_equal(past, fruit.past)
    assert fit.any()
    assert past.any()
    assert sum(hand.feels(fruit)) == 300


def test_a_season_is_that_of_its_seed() -> None:
    one, again, other = drawn_year(5), drawn_year(5), drawn_year(6)
    assert one.markets == again.markets != other.markets
    np.testing.assert_array_equal(one.fruit.pace, again.fruit.pace)
    picked = np.concatenate([pick.fruit for pick in one.picks])
    np.testing.assert_array_equal(np.sort(picked), np.arange(one.fruit.stage.size))


def test_seasons_are_as_large_as_they_are_said_to_be() -> None:
    years = [drawn_year(seed) for seed in range(20)]
    assert np.mean([year.fruit.stage.size for year in years]) == pytest.approx(2_280, rel=0.05)
    wanted = [sum(market.wanted for market in year.markets) for year in years]
    assert np.mean(wanted) == pytest.approx(1_820, rel=0.05)


def begun(year: Year) -> Store:
    """A farm on the afternoon of its first pick, which is in the cold."""
    store = Store(year)
    pick = year.picks[0]
    store.advance(24.0 * pick.day + 14.0)
    store.receive(pick, (COLD, BIN))
    return store


def test_a_place_takes_no_more_crates_than_it_holds() -> None:
    store = begun(drawn_year(1))
    while store.space(WARM):
        lot_id = next(n for n, lot in store.lots.items() if lot.room == COLD)
        before = store.space(WARM)
        moved = store.carry(lot_id, 5, WARM)
        assert moved is not None
        assert store.lots[moved].crates == before - store.space(WARM)
        if not any(lot.room == COLD for lot in store.lots.values()):
            store.receive(
                next(p for p in store.year.picks if p not in picks_of(store)), (COLD, BIN)
            )
    lot_id = next(n for n, lot in store.lots.items() if lot.room == COLD)
    assert store.carry(lot_id, 1, WARM) is None
    assert store.standing(WARM) == store.year.rooms[WARM].crates == store.ledger.fullest[WARM]


def test_full_rooms_are_swapped_all_at_once_or_not_at_all() -> None:
    store = Store(drawn_year(1))
    pick = max(store.year.picks, key=lambda p: p.fruit.size)
    (cold,) = store.receive(pick, (COLD, BIN))
    warm = store.carry(cold, 1, WARM)
    assert warm is not None
    assert warm != cold
    store.lots[cold].fruit = store.lots[cold].fruit[:FRUIT_PER_CRATE]
    store.year = replace(
        store.year, rooms=tuple(replace(room, crates=1) for room in store.year.rooms)
    )
    assert store.carry_together([(cold, 1, WARM), (warm, 1, COLD)]) == [cold, warm]
    assert (store.lots[cold].room, store.lots[warm].room) == (WARM, COLD)
    assert (store.ledger.crates_moved, store.ledger.not_moved) == (3, 0)
    assert store.carry_together([(cold, 1, COLD)]) == []
    assert (store.lots[cold].room, store.ledger.not_moved) == (WARM, 1)


def picks_of(store: Store) -> list[object]:
    """Picks of which there is a lot."""
    return [lot.pick for lot in store.lots.values()]


def test_crates_of_a_lot_hold_alike_many() -> None:
    """Sixty fruit stand in three crates of 25: two of them hold forty."""
    store = begun(drawn_year(2))  # whose first pick is large enough
    (lot_id,) = store.lots
    store.lots[lot_id].fruit = store.lots[lot_id].fruit[:60]
    assert [store.held(lot_id, crates) for crates in (1, 2, 3, 4)] == [20, 40, 60, 60]
    moved = store.carry(lot_id, 2, WARM)
    assert moved is not None
    assert (store.lots[moved].fruit.size, store.lots[lot_id].fruit.size) == (40, 20)


def test_a_part_and_the_rest_are_the_whole() -> None:
    store = begun(drawn_year(1))
    (lot_id,) = store.lots
    whole = store.lots[lot_id].fruit
    part = store.part(lot_id, 10)
    assert store.lots[part].fruit.size == 10
    both = np.concatenate([store.lots[part].fruit, store.lots[lot_id].fruit])
    np.testing.assert_array_equal(np.sort(both), np.sort(whole))


def test_no_more_are_sold_than_buyers_come() -> None:
    store = begun(drawn_year(1))
    market = store.year.markets[0]
    (lot_id,) = store.lots
    fruit = store.lots[lot_id].fruit
    packed = fruit[: market.buyers + 5]
    sold = store.sell(market, {lot_id: packed})
    assert sold[lot_id] == min(packed.size, market.buyers)
    # Nobody eats what was picked an hour ago.
    assert (store.fate == Fate.DISAPPOINTED).sum() == sold[lot_id]
