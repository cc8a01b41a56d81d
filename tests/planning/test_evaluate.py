"""Plans valued over sampled truths."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from ripenroom.planning.evaluate import drawn, outcome, sampled
from ripenroom.planning.problem import NO_WANT, Problem
from ripenroom.planning.prospects import Prospects
from ripenroom.science.clock import Indices
from tests.planning import made
from tests.planning.prospects import prospects


def valued(seed: int, wanted: float, **given: Any) -> tuple[Problem, Prospects, Indices]:
    """A problem whose shares are those of prospects, and a plan that uses much of it."""
    problem = made.problem(seed, batches=6)
    sells = problem.ways.want != NO_WANT
    expected = prospects(seed, int(sells.sum()), 1, **given)
    share = np.zeros(problem.ways.size)
    share[sells] = expected.expected()[:, 0]
    problem = replace(
        problem,
        ways=replace(problem.ways, share=share),
        wants=replace(problem.wants, fruit=np.full(3, wanted), price=np.full(3, 100.0)),
    )
    return problem, expected, np.where(sells, 1, 0)


def test_where_everything_sells_the_mean_is_what_was_expected() -> None:
    problem, expected, crates = valued(5, wanted=1e6)
    crop = np.arange(problem.crates.size) % 2
    became = outcome(problem, crates, expected, crop, truths=20_000)
    sold = problem.value(crates) + float(problem.ways.handling @ crates)
    assert became.value.mean == pytest.approx(sold, rel=0.02)
    assert became.sold.mean == pytest.approx(sold / 100.0, rel=0.02)
    assert became.value.low < became.value.mean < became.value.high


def test_where_markets_are_small_the_plan_was_too_hopeful() -> None:
    problem, expected, crates = valued(5, wanted=60.0)
    crop = np.zeros(problem.crates.size, dtype=np.intp)
    sold = problem.value(crates) + float(problem.ways.handling @ crates)
    assert outcome(problem, crates, expected, crop).value.mean < sold


def test_fruit_of_one_crop_is_early_together() -> None:
    number = int((made.problem(5, batches=6).ways.want != NO_WANT).sum())
    unripe = np.full((number, 1, 1), 3.0)
    problem, expected, crates = valued(5, 1e6, at_start=unripe, at_horizon=unripe)
    alone = np.arange(problem.crates.size)
    together = outcome(problem, crates, expected, np.zeros_like(alone), truths=4_000).sold
    apart = outcome(problem, crates, expected, alone, truths=4_000).sold
    assert together.high - together.low > apart.high - apart.low


def test_the_same_plan_becomes_the_same() -> None:
    problem, expected, crates = valued(7, wanted=40.0)
    crop = np.zeros(problem.crates.size, dtype=np.intp)
    assert outcome(problem, crates, expected, crop) == outcome(problem, crates, expected, crop)


def test_what_is_sold_and_past_is_no_more_than_there_is() -> None:
    problem, expected, crates = valued(9, wanted=1e6)
    became = outcome(problem, crates, expected, np.zeros(problem.crates.size, dtype=np.intp))
    brought = float((crates * problem.fruit_per_crate[problem.ways.batch]).sum())
    assert 0.0 < became.sold.mean + became.past.mean <= brought


def test_a_plan_that_sells_nothing() -> None:
    problem, expected, crates = valued(5, wanted=60.0)
    crop = np.zeros(problem.crates.size, dtype=np.intp)
    for none in (
        outcome(problem, crates, None, crop),
        outcome(problem, crates * 0, expected, crop),
    ):
        assert none.value.mean == none.sold.high == none.past.mean == 0.0


def test_second_grade_counts_as_worth_but_not_as_sold_in_its_window_or_past() -> None:
    problem, expected, crates = valued(9, wanted=1e6)
    crop = np.zeros(problem.crates.size, dtype=np.intp)
    markets = outcome(problem, crates, expected, crop)
    second = replace(problem, wants=replace(problem.wants, second=np.ones(3, bool)))
    became = outcome(second, crates, expected, crop)
    assert became.value == markets.value
    assert (became.sold.mean, became.past.mean) == (0.0, 0.0)
    assert markets.past.mean > 0.0


def test_truths_of_single_wants_add_up() -> None:
    problem, expected, crates = valued(9, wanted=1e6)
    crop = np.zeros(problem.crates.size, dtype=np.intp)
    truths = sampled(problem, crates, expected, crop)
    assert drawn(truths.saleable.sum(axis=0)) == outcome(problem, crates, expected, crop).sold
    assert (sampled(problem, crates * 0, expected, crop).saleable == 0.0).all()
