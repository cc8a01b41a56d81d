"""Which batches to squeeze today, so that the plan gains most from knowing."""

import threading
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.planning.choices import CalledOff
from ripenroom.planning.problem import NO_WANT
from ripenroom.planning.relaxation import shadows
from ripenroom.records.book import Book
from ripenroom.season.advice.advice import CheckNext, CheckReason
from ripenroom.season.advice.check_gain import CheckGain, GainBounds
from ripenroom.season.advice.shared_itineraries import paid_ground, told
from ripenroom.season.moments import from_hours, to_hours
from ripenroom.season.plans.input import PlanningInput
from ripenroom.season.projection import FloatColumn, FruitState, Projection
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import at_home

_SOON_H = 24.0 * 10.0
"""A date further ahead is not decided on yet."""

_CHECKED_LATELY_H = 18.0
"""What was squeezed so lately tells little more today."""


_WIDTH_OF_DOUBT_H = 1.0
"""What may not ripen at all is squeezed after all that has a date, as if that were so wide."""

_SQUEEZED_AGAIN = 8
"""Fruit that is squeezed to see whether any of it ripens, at most (an estimate)."""


def worth_checking(book: Book, projection: Projection) -> tuple[str, ...]:
    """Batches with fruit left whose next date comes soon, the one that is least sure first."""
    now_h = projection.at_h
    width_h = np.full(len(projection.batch_ids), -np.inf)
    for dates in (projection.closes_h, projection.opens_h):
        # Written over by the opening wherever that lies ahead: it comes first.
        soon = _within(dates.mid, now_h) & np.isfinite(dates.high - dates.low)
        width_h[soon] = (dates.high - dates.low)[soon]
    lately = checked_lately(book, now_h)
    width_h[projection.squeezed_again_by_now] = _WIDTH_OF_DOUBT_H
    dead = np.isin(projection.state, (FruitState.WONT_RIPEN, FruitState.PAST))
    dead &= ~projection.squeezed_again_by_now
    squeezed = np.array([i in lately for i in projection.batch_ids], dtype=bool)
    width_h[(projection.left < 1.0) | dead | squeezed] = -np.inf
    order = np.argsort(-width_h, kind="stable")
    return tuple(projection.batch_ids[n] for n in order if width_h[n] > 0.0)


def checked_lately(book: Book, now_h: float) -> frozenset[str]:
    """Ids of batches that were squeezed so lately that more tells little, as on ``now_h`` (h)."""
    since_h = now_h - _CHECKED_LATELY_H
    return frozenset(c.batch_id for c in book.checks.values() if to_hours(c.at) > since_h)


def _within(date_h: FloatColumn, now_h: float) -> np.ndarray:
    return np.asarray((date_h > now_h) & (date_h < now_h + _SOON_H))


MOST_BATCHES = 5
"""So many batches are named at most: that is about ten minutes of squeezing."""

_TRIED = 7
"""The plan is made again for so many: what promises most at most need not gain most."""

_LEAST_GAIN = 0.001
"""What gains less than this part of the plan's value is not worth cold hands."""


def check_next(state: SeasonState, cancel: threading.Event | None = None) -> tuple[CheckNext, ...]:
    """The batches to squeeze as on ``now``, the largest gain first; none if ``cancel`` is set.

    The same records give the same advice. Touches nothing that others can see.
    """
    state = state.with_book(at_home(state.book, state.crops, state.now))
    projector = Projector.of(state)
    outlook = projector.outlook(state.book, state.now)
    again = tuple(_again(state.book, projector.projection(outlook, state.now)))
    # What a check tells is of use to the plan as it will be made.
    try:
        laid = paid_ground(state, cancel).unhurdled
    except CalledOff:
        return ()
    if laid.prospects is None:
        return again[:MOST_BATCHES]
    found = shadows(laid.problem)
    squeezing = CheckGain(laid, laid.prospects, found, outlook)
    least = _LEAST_GAIN * squeezing.value_minor
    part = told(laid, found.crates)
    lately = checked_lately(state.book, to_hours(state.now))
    line = {batch_id: n for n, batch_id in enumerate(outlook.lines.ids)}
    promises = []
    for batch, batch_id in enumerate(laid.lines.ids):
        if batch_id not in state.book.batches or batch_id in lately:
            continue
        crop = projector.constants.of_batch(state.book.batches[batch_id], state.book)
        promise = squeezing.promise(batch, line[batch_id], crop, least)
        if promise is not None:
            promises.append(promise)
    checks = []
    for promise in _most_promising(promises):
        if cancel is not None and cancel.is_set():
            return ()
        gain_minor = squeezing.gain_minor(promise)
        if gain_minor >= least:
            checks.append(
                _check(laid, promise, part * gain_minor, squeezing.planned(promise), state.zone)
            )
    checks.sort(key=lambda check: -_rounded(check.gain_minor))
    named = {check.batch_id for check in again}
    checks = [check for check in checks if check.batch_id not in named]
    # Last, but not left out: nobody clears fruit that would still have ripened.
    again = again[: max(1, MOST_BATCHES - len(checks))]
    return (*checks[: MOST_BATCHES - len(again)], *again)


def _again(book: Book, projection: Projection) -> Iterator[CheckNext]:
    """What may not ripen, and is to be squeezed again by now."""
    lately = checked_lately(book, projection.at_h)
    for line in np.flatnonzero(projection.squeezed_again_by_now & (projection.left >= 1.0)):
        batch_id, left = projection.batch_ids[line], int(projection.left[line])
        if batch_id in book.batches and batch_id not in lately:
            fruit = min(_SQUEEZED_AGAIN, left)
            yield CheckNext(batch_id, fruit, 0.0, CheckReason.RIPENS, None, None)


def _most_promising(promises: Iterable[GainBounds]) -> Iterator[GainBounds]:
    """The few that promise most, the first of them first; of equal ones the first that is given.

    What one check tells of a cultivar's pace, a second one of that cultivar does not tell again.
    """
    left, taught = list(promises), set[int]()
    for _ in range(_TRIED):
        left = [replace(one, pace_minor=0.0) if one.cultivar in taught else one for one in left]
        best = max(left, key=lambda one: _rounded(one.most_minor), default=None)
        if best is None:
            return
        left = [one for one in left if one is not best]
        if best.pace_minor > 0.0:
            taught.add(best.cultivar)
        yield best


def _rounded(gain_minor: float) -> float:
    """A gain without the digits that hang on the order in which sums are added up."""
    return float(f"{gain_minor:.6g}")


def _check(
    laid: PlanningInput, promise: GainBounds, gain_minor: float, planned: int, zone: ZoneInfo
) -> CheckNext:
    want = laid.problem.ways.want[planned]
    day = None
    if want != NO_WANT and not laid.problem.wants.second[want]:
        day = laid.days[laid.day_of_want[want]].id
    return CheckNext(
        batch_id=laid.lines.ids[promise.batch],
        fruit=promise.fruit,
        gain_minor=gain_minor,
        reason=_reason(laid, promise),
        decides_at=_decides_at(laid, promise, zone),
        market_day_id=day,
    )


def _reason(laid: PlanningInput, promise: GainBounds) -> CheckReason:
    """What differs, mostly, between the way that looks best and those that turn out better; or
    that other batches of the cultivar gain more than this one."""
    if promise.pace_minor > promise.own_minor:
        return CheckReason.PACE
    want = laid.problem.ways.want
    today, others, gain = want[promise.today], want[promise.others], promise.gain
    # Last that of ``NO_WANT``: whoever is sold nowhere is not sold for second grade either.
    second = np.append(laid.problem.wants.second, False)
    same = others == today
    grade = ~same & (second[others] | second[today])
    whether = ~same & ~grade & ((others == NO_WANT) | (today == NO_WANT))
    parts = {
        CheckReason.WHEN: gain[same].sum(),
        CheckReason.WHERE: gain[~same & ~grade & ~whether].sum(),
        CheckReason.WHETHER: gain[whether].sum(),
        CheckReason.GRADE: gain[grade].sum(),
    }
    return max(parts, key=lambda reason: float(parts[reason]))


def _decides_at(laid: PlanningInput, promise: GainBounds, zone: ZoneInfo) -> datetime | None:
    """The first move, or market day of crates that stay, on any of the ways."""
    involved = np.append(promise.others, promise.today)
    ways = laid.problem.ways
    evening = np.where(ways.first >= 0, ways.first, ways.pull)[involved]
    moves_h = np.append(laid.evening_h, np.inf)[evening]
    sold_h = np.append(laid.problem.wants.start_h, np.inf)[ways.want[involved]]
    first_h = float(np.minimum(sold_h, moves_h).min())
    return from_hours(first_h, zone) if np.isfinite(first_h) else None
