"""What would help the plan most, and by how much it really would."""

import math
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from functools import cached_property, partial
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.planning.problem import Problem
from ripenroom.planning.relaxation import ShadowPrices, shadows
from ripenroom.records.book import Record
from ripenroom.records.market import SecondGrade
from ripenroom.season.advice.advice import Help, HelpKind
from ripenroom.season.advice.shared_itineraries import (
    PlanWorth,
    Progress,
    paid_ground,
    told,
    worth,
)
from ripenroom.season.moments import at_local, from_hours, local_day
from ripenroom.season.plans.input import PlanningInput
from ripenroom.season.state import SeasonState

_LEAST_GAIN = 0.002
"""What adds less than this part of the plan's value is not worth a word."""

_PART_MORE = 0.25
_LEAST_MORE = 5
"""So much more of a limit is asked for: a part of what there is, rounded up to fives."""

_EACH = 3
"""Of every kind so many candidates, those of largest duals, are planned for."""

_DAYS_AHEAD = 10
"""An extra market day is looked for among so many days."""

_EVENINGS_APART = 2
"""Room that is full again within so many evenings was never really free."""

_SOME_ROOM = 1e-3
"""A place with less room than this (crates) is full."""

_SECOND_PRICE = 0.25
"""What fruit for pulp fetches, as a part of the usual price, where nobody has said (estimate)."""


@dataclass(frozen=True, slots=True)
class _Candidate:
    """What may help, and the problem with it; ``before`` is what the best plan without it comes to,
    where that is not the plan that there is, but one of the same itineraries as the problem's."""

    help: Help
    problem: Callable[[], Problem]
    before: Callable[[], PlanWorth] | None = None


class _Together:
    """Several things that are not there: the itineraries to all of them are found in one go, and
    each is planned for as if nobody asked for fruit at any other."""

    def __init__(self, state: SeasonState, put: Sequence[Record]) -> None:
        self._state, self._put = state, put
        self._ids = {record.id for record in put}
        self._grades = {record.crop for record in put if isinstance(record, SecondGrade)}

    def with_only(self, name: str | None) -> Problem:
        """The problem with one market day, by its id, or second grade of one crop; with None, with
        nothing of it."""
        laid, wants = self._laid, self._laid.problem.wants
        names = [laid.days[day].id for day in laid.day_of_want.tolist()]
        names += laid.crop_of_want[len(names) :]
        there = np.array(
            [
                of == name or of not in (self._grades if second else self._ids)
                for of, second in zip(names, wants.second.tolist(), strict=True)
            ],
            dtype=bool,
        )
        asked = replace(wants, fruit=np.where(there, wants.fruit, 0.0))
        return replace(laid.problem, wants=asked)

    @cached_property
    def without(self) -> PlanWorth:
        """What the best plan comes to with nothing of it."""
        return worth(self.with_only(None))

    @cached_property
    def _laid(self) -> PlanningInput:
        return paid_ground(self._state.with_changes(self._put))


def what_helps(
    state: SeasonState, cancel: threading.Event | None = None, progress: Progress | None = None
) -> tuple[Help, ...]:
    """What would help most as on ``now``, the largest gain first; what was found by ``cancel``.

    Duals of the plan tell where to look; every gain is that of the plan made again. ``progress``
    is told the share that is done. Touches nothing that others can see.
    """
    laid = paid_ground(state)
    if not laid.problem.crates.any():
        return ()
    found = shadows(laid.problem)
    before = worth(laid.problem)
    part = told(laid, before.crates)
    candidates = [
        *_more_room(laid, found, state.zone),
        *_more_wanted(laid, found),
        *_more_days(state, laid),
        *_second_grade(state, laid),
    ]
    helps: list[Help] = []
    for number, candidate in enumerate(candidates):
        if cancel is not None and cancel.is_set():
            break
        after = worth(candidate.problem())
        without = before if candidate.before is None else candidate.before()
        helps.append(
            replace(
                candidate.help,
                value_minor=part * (after.value_minor - without.value_minor),
                fruit=max(after.sold - without.sold, 0.0),
            )
        )
        if progress is not None:
            progress((number + 1) / len(candidates))
    least = max(_LEAST_GAIN * part * before.value_minor, 1.0)
    worthwhile = [help for help in helps if help.value_minor >= least]
    return tuple(sorted(_one_market_day(worthwhile), key=lambda help: -help.value_minor))


def _one_market_day(helps: Sequence[Help]) -> list[Help]:
    """All but the extra market days on which less would be gained than on the best."""
    days = [help for help in helps if help.kind is HelpKind.MARKET_DAY]
    best = max(days, key=lambda help: help.value_minor, default=None)
    return [help for help in helps if help.kind is not HelpKind.MARKET_DAY or help is best]


def _amount(there: float) -> int:
    return max(_LEAST_MORE, _LEAST_MORE * math.ceil(_PART_MORE * there / _LEAST_MORE))


def _more_room(laid: PlanningInput, found: ShadowPrices, zone: ZoneInfo) -> list[_Candidate]:
    """Places that are full, and hands that are short, until they are for some days not."""
    candidates = []
    problem = laid.problem
    load = problem.load(found.crates)
    for number in np.argsort(-found.room.sum(axis=1), kind="stable")[: _EACH + 1].tolist():
        if not found.room[number].any():
            continue
        # A dual may stand for all of the evenings on which the same crates are in the way.
        full = np.flatnonzero(load[number] >= problem.room[number] - _SOME_ROOM)
        after = full[full >= np.argmax(found.room[number])]
        gaps = np.flatnonzero(np.diff(after) > _EVENINGS_APART)
        last = int(after[gaps[0]] if gaps.size else after[-1])
        # Where more stands than a place can hold, that has to find room before anything else.
        too_many = max(0.0, float((load[number] - problem.room[number])[full].max()))
        amount = _amount(float(problem.room[number, full].min())) + math.ceil(too_many - _SOME_ROOM)
        room = problem.room.copy()
        room[number, : last + 1] += amount
        hands = number >= len(laid.lines.place_ids)
        candidates.append(
            _Candidate(
                Help(
                    HelpKind.HANDS if hands else HelpKind.ROOM,
                    amount=amount,
                    until=from_hours(float(laid.evening_h[last]), zone),
                    place_id=None if hands else laid.lines.place_ids[number],
                ),
                partial(replace, problem, room=room),
            )
        )
    return candidates


def _more_wanted(laid: PlanningInput, found: ShadowPrices) -> list[_Candidate]:
    """Market days that want too little of what could be brought."""
    problem = laid.problem
    wants = problem.wants
    market = np.flatnonzero(~wants.second & (found.wanted > 0.0))
    amounts = np.array([_amount(fruit) for fruit in wants.fruit[market]])
    candidates = []
    for which in np.argsort(-found.wanted[market] * amounts, kind="stable")[:_EACH].tolist():
        number, amount = int(market[which]), int(amounts[which])
        fruit = wants.fruit.copy()
        fruit[number] += amount
        day, crop = laid.days[laid.day_of_want[number]], laid.crop_of_want[number]
        more = Help(
            HelpKind.WANTED,
            amount=amount,
            until=day.starts_at,
            market_day_id=day.id,
            crop=crop,
        )
        asked = replace(wants, fruit=fruit)
        candidates.append(_Candidate(more, partial(replace, problem, wants=asked)))
    return candidates


def _more_days(state: SeasonState, laid: PlanningInput) -> list[_Candidate]:
    """One more market day on each day ahead that has none, like the next one that there is."""
    wants_of = {
        day.id: [
            want
            for want in state.book.wants.values()
            if want.market_day_id == day.id and want.count
        ]
        for day in laid.days
    }
    like = next((day for day in laid.days if wants_of[day.id]), None)
    if like is None:
        return []
    usual = like.starts_at.astimezone(state.zone).time()
    taken = {local_day(day.starts_at, state.zone) for day in laid.days}
    candidates: list[_Candidate] = []
    within: list[tuple[Help, str]] = []
    put: list[Record] = []
    for ahead in range(1, _DAYS_AHEAD + 1):
        on = state.today + timedelta(days=ahead)
        if on in taken:
            continue
        extra = replace(like, id=f"extra-{on}", starts_at=at_local(on, usual, state.zone))
        wants = [
            replace(want, id=f"extra-{want.id}", market_day_id=extra.id)
            for want in wants_of[like.id]
        ]
        more = Help(
            HelpKind.MARKET_DAY,
            amount=sum(want.count for want in wants),
            until=extra.starts_at,
            like_id=like.id,
        )
        if extra.starts_at < laid.days[-1].starts_at:
            within.append((more, extra.id))
            put.append(extra)
            put.extend(wants)
        else:  # what is kept for later is kept for longer then
            candidates.append(_Candidate(more, partial(_problem_of, state, (extra, *wants))))
    together = _Together(state, put)
    shared = [
        _Candidate(more, partial(together.with_only, day_id), lambda: together.without)
        for more, day_id in within
    ]
    return [*shared, *candidates]


def _second_grade(state: SeasonState, laid: PlanningInput) -> list[_Candidate]:
    """Someone who takes second grade of each crop at hand that nobody takes any of."""
    taken = {grade.crop for grade in state.book.second_grades.values()}
    found: list[tuple[Help, str]] = []
    put: list[Record] = []
    for number, crop in enumerate(laid.lines.crop_keys):
        wants = laid.problem.wants
        prices = [
            price
            for price, second, of in zip(wants.price, wants.second, laid.crop_of_want, strict=True)
            if of == crop and not second
        ]
        if crop in taken or not prices or not (laid.lines.crop == number).any():
            continue
        price_minor = max(1, round(_SECOND_PRICE * float(np.mean(prices))))
        put.append(SecondGrade(id=f"extra-{crop}", crop=crop, price_minor=price_minor))
        found.append((Help(HelpKind.SECOND_GRADE, crop=crop, price_minor=price_minor), crop))
    together = _Together(state, put)
    # With it there are evenings after the last market day, so all is compared with what there is.
    return [_Candidate(more, partial(together.with_only, crop)) for more, crop in found]


def _problem_of(state: SeasonState, put: Sequence[Record]) -> Problem:
    return paid_ground(state.with_changes(put)).problem
