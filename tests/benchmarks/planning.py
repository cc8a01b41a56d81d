"""The planner on random seasons: how near to its bound in how long, and what it gains."""

import time
from dataclasses import replace
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.planning.allocation import allocate
from ripenroom.planning.baselines import as_it_is, first_expired_first_out, first_in_first_out
from ripenroom.planning.evaluate import outcome
from ripenroom.planning.problem import Problem
from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.science.clock import Indices
from ripenroom.season.plan_ground import Ground, ground
from tests.benchmarks.market_seasons import market_book
from tests.benchmarks.timing import say

SIZES = ((40, 8, 1.0), (200, 40, 1.0), (1_000, 100, 8.0))
"""Batches, market days, and the seconds in which a plan is to be within half a percent."""

SEASONS, BATCHES, DAYS = 60, 80, 16


def run() -> None:
    """Print the figures."""
    ground_of(market_book(10, 3, 0))  # imports what is imported late
    for batches, days, seconds in SIZES:
        book = market_book(batches, days, 1)
        begin = time.perf_counter()
        laid = ground_of(book)
        looked = time.perf_counter() - begin
        found = allocate(laid.problem, seconds - looked)
        taken = time.perf_counter() - begin
        size = f"{laid.problem.ways.size} itineraries, {laid.problem.crates.sum()} crates"
        say(f"{batches} batches x {days} days ({size})", "")
        say(
            f"  itineraries and plan (aim: {seconds:.0f} s)",
            f"{looked:.2f} + {taken - looked:.2f} s",
        )
        say("  under the bound (aim: 0.5 %)", f"{100.0 * found.gap:.2f} %")
    _say_gains()


def ground_of(book: Book) -> Ground:
    """The ground of a book as on its practice moment."""
    now = book.season.practice_now
    assert now is not None
    return ground(book, shipped_profiles(), now, ZoneInfo(book.season.zone))


def _say_gains() -> None:
    """Gain of the plan over the simple rules, on truths sampled alike for all of them."""
    gains: dict[str, list[tuple[float, float]]] = {}
    hopeful = []
    for seed in range(SEASONS):
        demand = (0.5, 1.0, 2.0)[seed % 3]
        laid = ground_of(market_book(BATCHES, DAYS, seed, demand))
        problem = laid.problem
        found = allocate(problem)
        value, sold = _became(laid, found.crates)
        hopeful.append(found.value / value - 1.0)
        rules = {
            "first in, first out": first_in_first_out(problem, laid.lines.batches.picked_h),
            "first expired, first out": first_expired_first_out(problem, laid.closes_h),
            "as it is": as_it_is(problem),
            "a plan that leaves doubt out": allocate(_without_doubt(laid)).crates,
        }
        for name, crates in rules.items():
            their_value, their_sold = _became(laid, crates)
            gains.setdefault(name, []).append((value / their_value - 1.0, sold / their_sold - 1.0))
    say(f"gain over {SEASONS} seasons of {BATCHES} batches x {DAYS} days", "median (5-95 %)")
    for name, pairs in gains.items():
        for what, gained in zip(("value", "fruit sold"), np.transpose(pairs), strict=True):
            say(f"  {what} over {name}", _spread(gained))
    say("  expected value over that of sampled truths", _spread(np.array(hopeful)))


def _without_doubt(laid: Ground) -> Problem:
    """The problem as it would be if all estimates held; only fruit differ."""
    problem, prospects = laid.problem, laid.prospects
    assert prospects is not None
    sure = replace(
        prospects,
        doubt_sd=np.zeros_like(prospects.doubt_sd),
        rate_sd=np.zeros_like(prospects.rate_sd),
    )
    share = np.zeros(problem.ways.size)
    share[: prospects.ripens.size] = sure.expected()[:, 0]
    return replace(problem, ways=replace(problem.ways, share=share))


def _became(laid: Ground, crates: Indices) -> tuple[float, float]:
    """Mean value and fruit sold over sampled truths."""
    became = outcome(laid.problem, crates, laid.prospects, laid.lines.crop)
    return became.value.mean, became.sold.mean


def _spread(shares: np.ndarray) -> str:
    low, mid, high = 100.0 * np.quantile(shares, (0.05, 0.5, 0.95))
    return f"{mid:+.1f} % ({low:+.1f} to {high:+.1f})"
