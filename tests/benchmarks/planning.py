"""The planner on random seasons: how near to its bound in how long, and what it gains.

``python -m tests.benchmarks planning --seasons 200`` is what is published.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from ripenroom.planning.allocation import FAR, allocate, enough_after
from ripenroom.planning.baselines import as_it_is, first_expired_first_out, first_in_first_out
from ripenroom.planning.evaluate import outcome
from ripenroom.planning.problem import Problem
from ripenroom.planning.programme import programme
from ripenroom.planning.relaxation import crate_worth, relaxed, small_gains
from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.science.clock import Indices
from ripenroom.season.advice.check_next import check_next
from ripenroom.season.advice.set_points import set_point_advice
from ripenroom.season.advice.what_helps import what_helps
from ripenroom.season.plans.input import PlanningInput, unpinned
from ripenroom.season.plans.pinned_itineraries import ground
from ripenroom.season.state import SeasonState
from tests.benchmarks.market_seasons import market_book
from tests.benchmarks.timing import median_ms, say

SIZES = ((200, 40, 1), (1_000, 100, 1))
"""Batches, market days, and seasons, of each size ..."""

SMALL_BATCHES, SMALL_DAYS, SMALL_SEASONS = 40, 8, 15
"""... and small ones, in which whole crates fit less well."""

SEASONS, BATCHES, DAYS = 60, 80, 16
"""Random seasons for the gains: demand is half of, as much as, or twice what can be sold."""

_ALIKE_SD = 1e-6
"""Fruit that differ in age by no more than this are ready together."""

_BRANCHES, _CLOSE = 2_000, 1e-4
"""Branches that a search over all itineraries looks at for a bound, and how close it goes."""

GRID_BATCHES, GRID_DAYS = 40, 8
CHECKED_BATCHES, CHECKED_DAYS = 45, 12


def run(seasons: int = SEASONS) -> None:
    """Print the figures; gains over so many random seasons."""
    ground_of(market_book(10, 3, 0))  # imports what is imported late
    for batches, days, number in ((SMALL_BATCHES, SMALL_DAYS, SMALL_SEASONS), *SIZES):
        _say_plans(batches, days, number)
    _say_advice()
    _say_gains(seasons)


@dataclass(frozen=True, slots=True)
class _Taken:
    """What a season takes, in seconds of the processor, and how near its plan comes: to the bound,
    to what cut crates ``reach``, and the plan that is made at once ``behind`` this one."""

    first: float
    behind: float
    looked: float
    at_once: float
    planned: float
    again: float
    edited: float
    gap: float
    reach: float
    worth: float


def _say_plans(batches: int, days: int, seasons: int) -> None:
    """How long plans of a size take, and how far they are under the bound; medians."""
    found = [_taken(market_book(batches, days, seed)) for seed in range(1, seasons + 1)]

    def median(what: str) -> float:
        return float(np.median([getattr(one, what) for one in found]))

    planned = median("planned")
    whole = median("looked") + planned
    say(f"{batches} batches x {days} days, medians of {seasons}", "s of the processor")
    say("  a plan at once (aim: 0.5 s)", f"{median('first'):.2f}")
    say("  its worth under that of the plan (aim: 5 %)", f"{100.0 * median('behind'):.2f} %")
    say("  itineraries and plan", f"{median('looked'):.2f} + {planned:.2f}")
    say("  its programme with all columns at once, by scipy", f"{median('at_once'):.2f}")
    say("  the plan over that (aim: 1)", f"{planned / median('at_once'):.2f}")
    say("  again after one edit, over the plan (aim: 0.1)", f"{median('again') / planned:.2f}")
    say("  the same, all inside, over all (aim: 0.1)", f"{median('edited') / whole:.2f}")
    gaps = [100.0 * one.gap for one in found]
    say("  under the bound, median and most", f"{np.median(gaps):.2f} and {max(gaps):.2f} %")
    say("  under what cut crates reach", f"{100.0 * median('reach'):.2f} %")
    say("  worth, as it is chosen by", f"{median('worth'):,.0f}")
    if batches == SMALL_BATCHES:
        _say_whole(batches, days, seasons)


def _say_whole(batches: int, days: int, seasons: int) -> None:
    """How far plans are under what no plan of whole crates can be worth more than: the bound that
    the window tells is of crates that may be cut."""
    gaps = [
        100.0 * _under_whole(ground(_state_of(market_book(batches, days, seed))).problem)
        for seed in range(1, seasons + 1)
    ]
    told = f"{np.median(gaps):.2f} and {max(gaps):.2f} %"
    say("  under the bound of whole crates (aim: 0.3 %), median and most", told)


def _under_whole(problem: Problem) -> float:
    """By what share a plan is worth less than the bound of a search over all its itineraries."""
    unit, gains, found = crate_worth(problem), small_gains(problem), allocate(problem)
    model = programme(problem, gains)
    in_crates = np.zeros(model.highest.size, dtype=np.intp)
    in_crates[: problem.ways.size] = 1
    answer = milp(
        -model.gain / unit,
        integrality=in_crates,
        bounds=Bounds(model.lowest, model.highest),
        constraints=[
            LinearConstraint(model.most, -np.inf, model.limit),
            LinearConstraint(model.even, 0.0, 0.0),
        ],
        options={"node_limit": _BRANCHES, "mip_rel_gap": _CLOSE},
    )
    assert answer.mip_dual_bound is not None
    worth = found.value + float(gains @ found.crates)
    return 1.0 - worth / (-answer.mip_dual_bound * unit)


def _taken(book: Book) -> _Taken:
    state = _state_of(book)
    begin = time.process_time()
    few = unpinned(state, at_once=True)
    quick = allocate(few.problem, enough=FAR)
    first = time.process_time() - begin
    begin = time.process_time()
    laid = ground(state)
    looked = time.process_time() - begin
    problem = laid.problem
    at_once = _of_processor(lambda: _all_at_once(problem))
    begin = time.process_time()
    found = allocate(problem)
    planned = time.process_time() - begin
    # One market day wants a tenth more than was said.
    fruit = problem.wants.fruit.copy()
    fruit[fruit.size // 2] *= 1.1
    kept = replace(problem.ways, kept=found.crates > 0)
    other = replace(problem, ways=kept, wants=replace(problem.wants, fruit=fruit))
    enough = enough_after(found.gap)
    again = _of_processor(lambda: allocate(other, before=found.crates, enough=enough))
    begin = time.process_time()
    want = next(iter(book.wants.values()))
    wanted = state.with_changes([replace(want, count=want.count + 1 + want.count // 10)])
    relaid = unpinned(wanted, known=laid.known).problem
    relaid = replace(relaid, ways=replace(relaid.ways, kept=found.crates > 0))
    allocate(relaid, before=found.crates, enough=enough)
    edited = time.process_time() - begin
    reach = relaxed(problem).reach
    return _Taken(
        first=first,
        behind=1.0 - quick.value / found.value,
        looked=looked,
        at_once=at_once,
        planned=planned,
        again=again,
        edited=edited,
        gap=found.gap,
        reach=1.0 - found.value / reach,
        worth=found.value,
    )


def _of_processor(job: Callable[[], object]) -> float:
    begin = time.process_time()
    job()
    return time.process_time() - begin


def _all_at_once(problem: Problem) -> None:
    """Solve the linear programme as scipy offers it: what one would do without any thought."""
    model = programme(problem, small_gains(problem))
    answer = linprog(  # type: ignore[call-overload]  # its stubs know no sparse tables
        -model.gain / crate_worth(problem),
        A_ub=model.most,
        b_ub=model.limit,
        A_eq=model.even,
        b_eq=np.zeros(model.even.shape[0]),
        bounds=np.column_stack([model.lowest, model.highest]),
        method="highs",
    )
    assert answer.status == 0


def _say_advice() -> None:
    """How long advice takes."""
    crops = shipped_profiles()

    def asked(batches: int, days: int) -> tuple[Book, datetime, ZoneInfo]:
        book = market_book(batches, days, 1)
        now = book.season.practice_now
        assert now is not None
        return book, now, ZoneInfo(book.season.zone)

    book, now, zone = asked(GRID_BATCHES, GRID_DAYS)
    # The rooms of the pair alone: other places would be tried as well.
    pair = {key: p for key, p in book.places.items() if p.kind in ("cold room", "ripening room")}
    others = [replace(p, kind="counter") for key, p in book.places.items() if key not in pair]
    paired = book.with_changes(others)
    size = f"{GRID_BATCHES} batches x {GRID_DAYS} days"
    grid_ms = median_ms(lambda _: set_point_advice(SeasonState(paired, crops, now, zone)), 3)
    say(f"{size}: 7 x 5 set points of two rooms (aim: 2 s)", f"{grid_ms / 1000.0:.2f} s")
    all_ms = median_ms(lambda _: set_point_advice(SeasonState(book, crops, now, zone)), 3)
    say(f"{size}: and those of other places", f"{all_ms / 1000.0:.2f} s")
    book, now, zone = asked(CHECKED_BATCHES, CHECKED_DAYS)
    size = f"{CHECKED_BATCHES} batches x {CHECKED_DAYS} days"
    help_ms = median_ms(lambda _: what_helps(SeasonState(book, crops, now, zone)), 3)
    say(f"{size}: what would help", f"{help_ms / 1000.0:.2f} s")
    check_ms = median_ms(lambda _: check_next(SeasonState(book, crops, now, zone)), 5)
    say(f"{size}: what to check next (aim: 300 ms)", f"{check_ms:.0f} ms")


def ground_of(book: Book) -> PlanningInput:
    """The ground of a book as on its practice moment."""
    return ground(_state_of(book))


def _state_of(book: Book) -> SeasonState:
    now = book.season.practice_now
    assert now is not None
    return SeasonState(book, shipped_profiles(), now, ZoneInfo(book.season.zone))


def _say_gains(seasons: int) -> None:
    """Gains over the simple rules, on truths sampled alike for all of them."""
    became: dict[str, list[tuple[float, float]]] = {}
    hopeful = []
    for seed in range(seasons):
        demand = (0.5, 1.0, 2.0)[seed % 3]
        laid = ground_of(market_book(BATCHES, DAYS, seed, demand))
        problem = laid.problem
        found = allocate(problem)
        plans = {
            "the plan": found.crates,
            "a plan without doubt": allocate(_believing(laid)).crates,
            "a plan on mean curves": allocate(_believing(laid, alike=True)).crates,
            "first in, first out": first_in_first_out(problem, laid.lines.batches.picked_h),
            "first expired, first out": first_expired_first_out(problem, laid.closes_h),
            "moving nothing": as_it_is(problem),
        }
        for name, crates in plans.items():
            became.setdefault(name, []).append(_became(laid, crates))
        hopeful.append(found.value / became["the plan"][-1][0] - 1.0)
    say(f"gain over {seasons} seasons of {BATCHES} batches x {DAYS} days", "median (5-95 %)")
    ours, certain, on_means, *rules = became
    pairs = [(ours, name) for name in (*rules, certain, on_means)]
    pairs += [(believing, name) for believing in (certain, on_means) for name in rules]
    for better, worse in pairs:
        gains = np.array(became[better]) / np.array(became[worse]) - 1.0
        for what, gained in zip(("value", "fruit sold"), gains.T, strict=True):
            say(f"  {what}: {better} over {worse}", _spread(gained))
    say("  expected value over that of sampled truths", _spread(np.array(hopeful)))


def _believing(laid: PlanningInput, alike: bool = False) -> Problem:
    """The problem as it would be if all estimates held, and all fruit of a batch were ``alike``."""
    problem, prospects = laid.problem, laid.prospects
    assert prospects is not None
    sure = replace(
        prospects,
        doubt_sd=np.zeros_like(prospects.doubt_sd),
        start_rate_sd=np.zeros_like(prospects.start_rate_sd),
        horizon_rate_sd=np.zeros_like(prospects.horizon_rate_sd),
    )
    if alike:
        sure = replace(sure, fruit_sd=np.full_like(sure.fruit_sd, _ALIKE_SD))
    share = np.zeros(problem.ways.size)
    share[: prospects.ripens.size] = sure.expected()[:, 0]
    return replace(problem, ways=replace(problem.ways, share=share))


def _became(laid: PlanningInput, crates: Indices) -> tuple[float, float]:
    """Mean value and fruit sold over sampled truths."""
    became = outcome(laid.problem, crates, laid.prospects, laid.lines.crop)
    return became.value.mean, became.sold.mean


def _spread(shares: np.ndarray) -> str:
    low, mid, high = 100.0 * np.quantile(shares, (0.05, 0.5, 0.95))
    return f"{mid:+.1f} % ({low:+.1f} to {high:+.1f})"
