"""The plan of a season: what is done with every crate, and how good that is."""

import math
import threading
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.planning.allocation import allocate
from ripenroom.planning.baselines import as_it_is, first_expired_first_out, first_in_first_out
from ripenroom.planning.evaluate import Outcome, Sampled, drawn, outcome, sampled
from ripenroom.planning.problem import NO_WANT
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.science.clock import Indices
from ripenroom.season.moments import from_hours, to_hours
from ripenroom.season.plan_ground import Ground, ground
from ripenroom.season.planned import (
    BrokenPin,
    BrokenPinReason,
    Likely,
    Plan,
    PlannedLine,
    PlannedMarket,
    PlannedMove,
    Rule,
)

if TYPE_CHECKING:
    from ripenroom.season.learning.learned import Learned

__all__ = [
    "SECONDS",
    "BrokenPin",
    "BrokenPinReason",
    "Likely",
    "Plan",
    "PlannedLine",
    "PlannedMarket",
    "PlannedMove",
    "Rule",
    "make_plan",
]

SECONDS = 5.0
"""How long a plan is worked on at most, once it is known what can be done."""


def make_plan(
    book: Book,
    crops: Mapping[str, CropProfile],
    now: datetime,
    zone: ZoneInfo,
    *,
    before: Plan | None = None,
    seconds: float = SECONDS,
    cancel: threading.Event | None = None,
    learned: "Learned | None" = None,
) -> Plan:
    """The plan of a season as on ``now``; keeps to the plan ``before`` where that costs nothing.

    A move that is written down for later stands as it is. Touches nothing that others can see, so
    it may run in a thread of its own; ``cancel`` ends it early, with the best plan by then.
    """
    laid = ground(book, crops, now, zone, learned)
    went = _Ways(laid, to_hours(now), zone)
    problem = laid.problem
    if before is not None:
        problem = replace(problem, ways=replace(problem.ways, kept=went.chosen_in(before)))
    found = allocate(problem, seconds, cancel)

    def becomes(crates: Indices) -> Outcome:
        return outcome(problem, crates, laid.prospects, laid.lines.crop)

    def rule(crates: Indices) -> Rule:
        return Rule(problem.value(crates), becomes(crates))

    return Plan(
        lines=went.lines(found.crates),
        value_minor=found.value,
        bound_minor=found.bound,
        gap=found.gap,
        outcome=becomes(found.crates),
        first_in_first_out=rule(first_in_first_out(problem, laid.lines.batches.picked_h)),
        first_expired_first_out=rule(first_expired_first_out(problem, laid.closes_h)),
        as_it_is=rule(as_it_is(problem)),
        markets=_markets(laid, found.crates),
        made_at=now,
    )


AT_RISK_SHARE = 0.8
"""With less saleable fruit than this part of what it wants, a market day counts as failed."""


def _markets(laid: Ground, crates: Indices) -> tuple[PlannedMarket, ...]:
    """What comes to each market day ahead, of each crop that it wants."""
    problem = laid.problem
    truths = sampled(problem, crates, laid.prospects, laid.lines.crop)
    sells = problem.ways.want != NO_WANT
    brought = (problem.fruit_per_crate[problem.ways.batch] * crates)[sells]
    planned = np.bincount(problem.ways.want[sells], brought, minlength=problem.wants.fruit.size)
    return tuple(
        _market(laid, truths, want, float(planned[want])) for want in range(len(laid.crop_of_want))
    )


def _market(laid: Ground, truths: Sampled, want: int, planned: float) -> PlannedMarket:
    wanted, ready = float(laid.problem.wants.fruit[want]), drawn(truths.saleable[want])
    return PlannedMarket(
        market_day_id=laid.days[laid.day_of_want[want]].id,
        crop=laid.crop_of_want[want],
        wanted=round(wanted),
        planned=planned,
        ready=Likely(min(ready.low, ready.mean), ready.mean, max(ready.high, ready.mean)),
        shortage=max(wanted - ready.mean, 0.0),
        surplus=max(ready.mean - wanted, 0.0),
        risk=float((truths.saleable[want] < AT_RISK_SHARE * wanted).mean()),
    )


_Where = tuple[str, datetime | None, str, str | None]


class _Ways:
    """Itineraries as people name them."""

    def __init__(self, laid: Ground, now_h: float, zone: ZoneInfo) -> None:
        self._laid = laid
        self._now_h = now_h
        self._zone = zone
        stays = laid.lines.stays
        self._here = stays.at(np.full((stays.start_h.shape[0], 1), now_h))[:, 0]

    def where(self, way: int) -> _Where:
        """Where a crate is, when it is moved where to, and on which market day it is sold."""
        laid, ways = self._laid, self._laid.problem.ways
        lines, batch, want = laid.lines, ways.batch[way], ways.want[way]
        places = lines.place_ids
        here = self._here[batch]
        begins_h, place = lines.stays.start_h[batch], lines.stays.place[batch]
        day = None if want == NO_WANT else laid.days[laid.day_of_want[want]]
        if ways.pull[way] >= 0:
            pull_h, target = laid.evening_h[ways.pull[way]], ways.place[way]
        else:
            by_h = math.inf if day is None else to_hours(day.starts_at)
            ahead = np.flatnonzero((begins_h > self._now_h) & (begins_h <= by_h))
            pull_h = begins_h[ahead[0]] if ahead.size else None
            target = place[ahead[-1]] if ahead.size else place[here]
        pull_at = None if pull_h is None else from_hours(float(pull_h), self._zone)
        return places[place[here]], pull_at, places[target], day.id if day else None

    def steps(self, way: int) -> tuple[PlannedMove, ...]:
        """The moves that crates will make."""
        _, pull_at, place_id, _ = self.where(way)
        return () if pull_at is None else (PlannedMove(pull_at, place_id),)

    def chosen_in(self, plan: Plan) -> np.ndarray:
        """Which itineraries a plan has chosen."""
        chosen = {
            (line.batch_id, line.pull_at, line.to_place_id, line.market_day_id)
            for line in plan.lines
        }
        ways, ids = self._laid.problem.ways, self._laid.lines.ids
        ours = ((ids[ways.batch[way]], *self.where(way)[1:]) in chosen for way in range(ways.size))
        return np.fromiter(ours, dtype=bool, count=ways.size)

    def lines(self, crates: Indices) -> tuple[PlannedLine, ...]:
        """The plan's lines: by market day, then what is left, then what is cleared away."""
        problem, lines = self._laid.problem, self._laid.lines
        ways = problem.ways
        saleable = problem.saleable(crates)
        worth = problem.wants.value(saleable) / np.maximum(saleable, 1e-12)
        worth = np.append(worth, 0.0)[ways.want] * problem.fruit * crates
        used = np.flatnonzero(crates)
        in_order = np.lexsort((used, np.where(ways.want[used] < 0, np.inf, ways.want[used])))
        found = [
            PlannedLine(
                lines.ids[ways.batch[way]],
                int(crates[way]),
                *self.where(way),
                float(ways.share[way]),
                float(worth[way]),
                fruit=float(crates[way] * problem.fruit_per_crate[ways.batch[way]]),
                steps=self.steps(way),
            )
            for way in used[in_order].tolist()
        ]
        spare = problem.crates - np.bincount(ways.batch, crates, minlength=problem.crates.size)
        place = lines.stays.place
        return (
            *found,
            *(
                PlannedLine(
                    lines.ids[batch],
                    int(spare[batch]),
                    lines.place_ids[place[batch, self._here[batch]]],
                    None,
                    None,
                    None,
                    0.0,
                    0.0,
                    fruit=float(spare[batch] * problem.fruit_per_crate[batch]),
                )
                for batch in np.flatnonzero(spare).tolist()
            ),
        )
