"""Planning again on the same ground: what a pin costs, and that plans do not flip."""

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from scipy import optimize

from ripenroom.planning import column_generation
from ripenroom.records.book import Record
from ripenroom.season.plans.plan import PinCost
from ripenroom.season.plans.planner import Planner
from ripenroom.season.practice import demo_book
from ripenroom.season.state import SeasonState
from tests.season.farm import NOW, ROOM, SHELF
from tests.season.plans.planning import (
    CROPS,
    LISBON,
    evening,
    farm_book,
    market_records,
    pin,
    planned,
)

WANTED = market_records(6, {"pawpaw": 60})
DAY = WANTED[0].id


def replanner(*records: Record, batches: int = 3) -> Planner:
    return Planner(SeasonState(farm_book(*WANTED, *records, batches=batches), CROPS, NOW, LISBON))


def test_it_makes_the_plan_that_is_made_from_nothing() -> None:
    pinned = pin(1, 2, market_day_id=DAY)
    asked = replanner(pinned)
    assert asked.plan() == planned(farm_book(*WANTED, pinned, batches=3))
    assert asked.plan() == asked.plan()
    assert replanner().plan(extra_pins=[pinned]).lines == asked.plan().lines
    other = replace(pinned, crates=1)
    lines = asked.plan(extra_pins=[other]).lines
    assert [line.crates for line in lines if line.pin_id] == [1]


def test_a_pin_of_what_is_planned_anyway_costs_nothing() -> None:
    asked = replanner()
    line = next(line for line in asked.plan().lines if line.market_day_id and line.pull_at)
    number = int(line.batch_id.removeprefix("batch "))
    same = pin(
        number, 1, pull_at=line.pull_at, place_id=line.to_place_id, market_day_id=line.market_day_id
    )
    cost = asked.cost_of([same])
    assert cost.cost_minor == 0.0
    assert cost.broken_pins == ()


def test_a_foolish_pin_costs_what_it_loses() -> None:
    asked = replanner(batches=1)
    best = asked.plan()
    kept = pin(0, 3)
    cost = asked.cost_of([kept])
    # In terms of what becomes of the plan, not of what it hopes for.
    # What is kept is worth something too, if less.
    worse = asked.plan(extra_pins=[kept]).outcome
    assert worse.value.mean == 0.0
    assert cost.cost_minor == pytest.approx(best.outcome.net - worse.net, rel=0.15)
    assert cost.best_minor == pytest.approx(best.outcome.net, rel=0.01)
    assert 0.0 < cost.fruit < best.lines[0].fruit * 3


def test_the_cost_tells_what_else_would_change() -> None:
    asked = Planner(
        SeasonState(farm_book(*market_records(6, {"pawpaw": 8}), batches=2), CROPS, NOW, LISBON)
    )
    sold = next(line.batch_id for line in asked.plan().lines if line.market_day_id)
    number = int(sold.removeprefix("batch "))
    cost = asked.cost_of([pin(number, 3)])
    assert {line.batch_id for line in cost.moves} == {f"batch {1 - number}"}
    assert all(line.pin_id is None for line in cost.moves)


def test_dragging_a_pin_weighs_it_against_having_none() -> None:
    kept = pin(0, 3)
    asked = replanner(kept, batches=1)
    free = replanner(batches=1).cost_of([])
    moved = asked.cost_of([replace(kept, market_day_id=DAY, pull_at=evening(2), place_id=ROOM)])
    assert free.cost_minor == 0.0
    assert free.best_minor == moved.best_minor > 0.0


def test_a_broken_pin_costs_nothing_and_says_so() -> None:
    cost = replanner().cost_of([pin(9, 1)])
    assert cost.cost_minor == 0.0
    assert [broken.pin_id for broken in cost.broken_pins] == ["pin 9"]


def test_threads_may_ask_at_the_same_time() -> None:
    asked = replanner()
    wanted = [pin(n % 3, 1, pull_at=evening(n % 5), place_id=SHELF) for n in range(12)]
    alone = [asked.cost_of([one]) for one in wanted]
    again = replanner()
    found: dict[int, PinCost] = {}

    def ask(n: int) -> None:
        found[n] = again.cost_of([wanted[n]])

    threads = [threading.Thread(target=ask, args=(n,)) for n in range(12)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [found[n] for n in range(12)] == alone


def test_a_cost_is_known_while_dragging(monkeypatch: pytest.MonkeyPatch) -> None:
    """The practice farm: each step of a drag solves one linear programme and searches no plan."""
    solved: list[str] = []

    def counted(solver: Callable[..., Any]) -> Callable[..., Any]:
        def solve(*given: Any, **how: Any) -> Any:
            solved.append(solver.__name__)
            return solver(*given, **how)

        return solve

    for module, name in ((column_generation, "Simplex"), (optimize, "milp")):
        monkeypatch.setattr(module, name, counted(getattr(module, name)))
    book = demo_book()
    now = book.season.practice_now
    assert now is not None
    asked = Planner(SeasonState(book, CROPS, now, LISBON))
    line = next(line for line in asked.plan().lines if line.batch_id and line.market_day_id)
    assert "milp" in solved
    pull = replace(pin(0, 1), batch_id=line.batch_id, place_id=line.from_place_id)
    asked.cost_of([pull])
    solved.clear()
    for hours in range(5):
        asked.cost_of([replace(pull, pull_at=now + timedelta(hours=11 + hours))])
    assert solved == ["Simplex"] * 5


def test_a_plan_is_kept_while_nothing_changes_and_hours_pass() -> None:
    book = farm_book(*WANTED, *market_records(9, {"pawpaw": 60}), batches=6)
    first = planned(book)
    assert planned(book, before=first).lines == first.lines
    later = planned(book, now=NOW + timedelta(hours=6), before=first)
    assert [(x.batch_id, x.crates, x.steps, x.market_day_id) for x in later.lines] == [
        (x.batch_id, x.crates, x.steps, x.market_day_id) for x in first.lines
    ]


def test_a_new_batch_leaves_the_rest_of_the_plan_as_it_was() -> None:
    book = farm_book(*market_records(6, {"pawpaw": 400}), batches=5)
    first = planned(book)
    more = farm_book(*market_records(6, {"pawpaw": 400}), batches=6)
    then = planned(more, before=first)
    old = [(x.batch_id, x.crates, x.steps) for x in then.lines if x.batch_id != "batch 5"]
    assert sorted(old) == sorted((x.batch_id, x.crates, x.steps) for x in first.lines)
