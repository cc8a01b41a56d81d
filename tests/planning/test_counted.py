"""Work on a plan is counted, not timed: a busy machine makes the same plan as an idle one."""

import ast
import itertools
import time
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import ripenroom.planning
import ripenroom.season.plans
from ripenroom.planning import allocation
from ripenroom.planning.allocation import allocate
from ripenroom.planning.baselines import (
    as_it_is,
    first_expired_first_out,
    first_in_first_out,
    readiest,
)
from ripenroom.planning.problem import Problem
from ripenroom.planning.relaxation import relaxed
from tests.draws import draws
from tests.planning import made

MODULES = sorted(
    path
    for package in (ripenroom.planning, ripenroom.season.plans)
    for path in Path(str(package.__file__)).parent.glob("*.py")
)


@pytest.mark.parametrize("path", MODULES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_nothing_that_makes_a_plan_knows_the_time_that_it_takes(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        imported = []
        if isinstance(node, ast.Import):
            imported = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            imported = [node.module or ""]
        assert "time" not in imported
        assert not (isinstance(node, ast.Constant) and node.value == "time_limit")


def rules(problem: Problem) -> list[np.ndarray]:
    hours = np.random.default_rng(1).uniform(0.0, 99.0, problem.crates.size)
    return [
        readiest(problem),
        as_it_is(problem),
        first_in_first_out(problem, hours),
        first_expired_first_out(problem, hours),
    ]


@draws(40)
@given(st.integers(0, 10_000), st.integers(0, 300), st.booleans())
def test_no_count_makes_a_plan_that_is_worse_than_a_simple_rule(
    seed: int, steps: int, overfull: bool
) -> None:
    problem = made.problem(seed, batches=9, wants=5, overfull=overfull)
    simple = rules(problem)
    found = allocate(problem, steps, rules=simple)
    assert made.faults(problem, found.crates) == []
    most = max(problem.value(rule) for rule in simple)
    assert found.value >= most - 1e-3 * abs(most)
    assert found.value <= found.bound + 1e-6


@draws(40)
@given(st.integers(0, 10_000), st.integers(0, 120))
def test_a_bound_holds_wherever_the_count_ends(seed: int, steps: int) -> None:
    problem = made.problem(seed, batches=9, wants=5, overfull=seed % 2 == 0)
    best, ended = relaxed(problem), relaxed(problem, steps)
    assert ended.bound >= best.bound * (1.0 - 1e-6) - 1e-6
    assert not made.too_full(problem, ended.crates).any()
    assert problem.value(ended.crates) <= best.bound + 1e-6


def test_a_clock_that_runs_wild_makes_no_other_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = made.problem(3, batches=30, wants=10)
    usual = allocate(problem)
    leaps = itertools.count(1)

    def leaping() -> float:
        return 1e6 * next(leaps)

    for clock in ("time", "monotonic", "perf_counter", "process_time", "thread_time"):
        monkeypatch.setattr(time, clock, leaping)
    hurried = allocate(problem)
    monkeypatch.undo()
    assert hurried.crates.tolist() == usual.crates.tolist()
    assert (hurried.value, hurried.bound) == (usual.value, usual.bound)


def test_columns_that_come_as_they_pay_do_as_well_as_all_at_once() -> None:
    for seed in range(6):
        problem = made.problem(seed, batches=30, wants=10)
        every = np.arange(problem.ways.size)
        at_once, in_turn = relaxed(problem, first=every), relaxed(problem)
        assert in_turn.reach == pytest.approx(at_once.reach, rel=1e-6)
        assert in_turn.bound == pytest.approx(at_once.bound, rel=1e-6)
        assert in_turn.taken_up.size <= at_once.taken_up.size


def test_after_a_small_change_about_as_near_is_enough_but_never_far() -> None:
    assert allocation.enough_after(0.0) == allocation.NEAR
    assert 0.007 < allocation.enough_after(0.007) < 0.01
    assert allocation.enough_after(0.3) == allocation.FAR


def test_a_plan_that_is_near_enough_is_not_searched(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = made.problem(3, batches=30, wants=10)
    best = allocate(problem)
    searched = allocate(problem, before=best.crates)
    monkeypatch.setattr(allocation, "_bettered", None)
    left = allocate(problem, before=best.crates, enough=2.0 * best.gap + 1e-3)
    assert left.crates.tolist() == searched.crates.tolist() == best.crates.tolist()
