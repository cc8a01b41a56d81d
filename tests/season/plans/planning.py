"""Small books to plan for, and a checker of plans that knows only records and lines."""

import threading
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

from ripenroom.records.batch import FeelCounts
from ripenroom.records.book import Book, Record
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.market import ExpectedPick, MarketDay, Pin, SecondGrade
from ripenroom.season.plans.plan import Plan, PlannedItinerary
from ripenroom.season.plans.planner import MOST_STEPS, Planner
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.season.farm import (
    COLD,
    NOW,
    batch_and_move,
    book_of,
    farm_records,
    market,
    nothing_more,
)

LISBON = ZoneInfo("Europe/Lisbon")
CROPS = shipped_profiles()
GIVES: FeelCounts = (0, 0, 20, 0, 0)


def evening(days: int) -> datetime:
    """The evening so many days from now on which the plan may move crates."""
    return (NOW + timedelta(days=days)).astimezone(LISBON).replace(hour=18, minute=0)


def farm_book(*records: Record, batches: int = 0, place: str = COLD, **given: Any) -> Book:
    """The farm with so many batches of three crates in a place, after which nothing more comes, and
    more records."""
    made: list[Record] = [r for n in range(batches) for r in batch_and_move(n, place, count=60)]
    if batches:
        made.append(nothing_more())
    return book_of(*farm_records(), *made, *records, **given)


def market_records(days: float, wants: Mapping[str, int], price: int = 100) -> list[Record]:
    """A market day so many days ahead and what it wants, at a price."""
    day, asked = market(days, dict(wants))
    return [day, *(replace(want, price_minor=price) for want in asked)]


def make_plan(
    state: SeasonState,
    *,
    before: Plan | None = None,
    steps: int = MOST_STEPS,
    cancel: threading.Event | None = None,
) -> Plan:
    """The plan of a season alone, whatever was planned yesterday."""
    return Planner(state).plan(before, steps, cancel)


def plan_of(
    season: Season,
    before: Plan | None = None,
    *,
    steps: int = MOST_STEPS,
    cancel: threading.Event | None = None,
) -> Plan:
    """The plan of an open season as on now, whatever was planned yesterday."""
    return make_plan(season.state, before=before, steps=steps, cancel=cancel)


def planned(book: Book, now: datetime = NOW, **given: Any) -> Plan:
    """The plan of a book."""
    return make_plan(SeasonState(book, CROPS, now, LISBON), **given)


def pin(batch: int, crates: int, **given: Any) -> Pin:
    """A pin of some crates of a batch of :func:`farm_book`."""
    facts: dict[str, Any] = {"id": f"pin {batch}", "batch_id": f"batch {batch}", "crates": crates}
    return Pin(**{**facts, **given})


def expected(days: int, **given: Any) -> ExpectedPick:
    """Forty pawpaws that are expected so many days from now."""
    facts: dict[str, Any] = {
        "id": f"pick {days}",
        "crop": "pawpaw",
        "on": (NOW + timedelta(days=days)).astimezone(LISBON).date(),
        "count": 40,
        "place_id": COLD,
    }
    return ExpectedPick(**{**facts, **given})


def second_grade(price: int = 30, per_day: int | None = None, crop: str = "pawpaw") -> SecondGrade:
    """Someone who takes second grade of a crop."""
    return SecondGrade(id=f"second {crop}", crop=crop, price_minor=price, fruit_per_day=per_day)


def crates_of(plan: Plan) -> dict[str, int]:
    """Crates that a plan has of each batch and each expected pick."""
    found: dict[str, int] = {}
    for line in plan.lines:
        key = line.batch_id or line.expected_pick_id or ""
        found[key] = found.get(key, 0) + line.crates
    return found


def day_of(book: Book, line: PlannedItinerary) -> MarketDay | None:
    """The market day of a line."""
    return None if line.market_day_id is None else book.market_days[line.market_day_id]


def moved_on(plan: Plan, at: datetime) -> int:
    """Crates that are moved at a time."""
    return sum(line.crates for line in plan.lines for step in line.steps if step.at == at)


def faults(book: Book, plan: Plan, now: datetime = NOW) -> list[str]:
    """What is wrong with a plan, line by line; capacities are for those who know the places."""
    found = []
    for line in plan.lines:
        name = f"{line.batch_id or line.expected_pick_id}: "
        ends = line.pull_at if line.second_grade else None
        day = day_of(book, line)
        if day is not None:
            ends = day.starts_at
            if day.starts_at <= now:
                found.append(name + "its market day is over")
        times = [step.at for step in line.steps]
        if any(at <= now for at in times) or times != sorted(times):
            found.append(name + "moves not in order, or in the past")
        if ends is not None and any(at >= ends for at in times):
            found.append(name + "moved after it is sold")
        if line.steps and not line.second_grade:
            last = line.steps[-1]
            if (last.at, last.place_id) != (line.pull_at, line.to_place_id):
                found.append(name + "its pull is not its last step")
        places = [line.from_place_id, *(step.place_id for step in line.steps)]
        if any(a == b for a, b in pairwise(places)):
            found.append(name + "moved to where it is")
        if line.crates < 1 or not 0.0 <= line.expected_ready_share <= 1.0:
            found.append(name + "no crates, or no share")
        if line.second_grade and (line.market_day_id or line.to_place_id):
            found.append(name + "second grade that goes somewhere")
    total = sum(line.expected_value_minor for line in plan.lines)
    if abs(total - plan.outcome.value.mean) > 1e-6 * max(1.0, total):
        found.append("its worth is not that of its lines")
    if not 0.0 <= plan.gap <= 1.0:
        found.append("worth more than can be")
    return found
