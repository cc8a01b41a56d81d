"""Pins (decided crates) as fixed itineraries of the planning problem."""

import threading
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ripenroom.planning.itineraries import Journeys
from ripenroom.planning.occupancy import CrateStays, taken
from ripenroom.planning.problem import NO_WANT, Itineraries, Wants, end_to_end
from ripenroom.planning.relaxation import move_cost
from ripenroom.records.market import Pin
from ripenroom.science.blocks import joined
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.moments import to_hours
from ripenroom.season.plans.input import PlanningInput, held_h, unpinned
from ripenroom.season.plans.journey_outlook import SaleTimes
from ripenroom.season.plans.plan import BrokenPin, BrokenPinReason
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import felt_ready, is_away


def ground(state: SeasonState, cancel: threading.Event | None = None) -> PlanningInput:
    """What can be decided as on ``now``: of fruit that is picked or expected, for market days
    ahead, as the pins of the book leave it. ``cancel`` is as in
    :func:`~ripenroom.season.plans.input.unpinned`."""
    return pinned(unpinned(state, cancel), list(state.book.pins.values()))


def pinned(laid: PlanningInput, pins: Sequence[Pin]) -> PlanningInput:
    """The ground with so many crates pinned; it must not have pins already.

    Pins that are no longer possible are listed, and else left out. Those of what is away have
    served.
    """
    followed, broken = _sorted_out(laid, pins)
    if not followed:
        return replace(laid, broken_pins=broken)
    laid = _with_their_wants(laid, followed)
    batch = np.array([laid.lines.ids.index(pin.batch_id) for pin in followed], dtype=np.intp)
    want = np.array([_want_of(laid, pin) for pin in followed], dtype=np.intp)
    # Those that sell come first, as the prospects are of those.
    order = np.argsort(want == NO_WANT, kind="stable")
    followed = [followed[n] for n in order]
    batch, want = batch[order], want[order]
    move_h = np.array(
        [np.nan if pin.pull_at is None else to_hours(pin.pull_at) for pin in followed]
    )
    place = np.array([_place_of(laid, pin, own) for pin, own in zip(followed, batch, strict=True)])
    sold = int((want != NO_WANT).sum())
    share, prospects = np.zeros(batch.size), laid.prospects
    if sold:
        day = laid.day_of_want[want[:sold]]
        journeys = Journeys(batch[:sold], move_h[:sold], place[:sold])
        look = laid.foresight.looking_at(SaleTimes.at_markets(laid.days))
        felt = [felt_ready(pin, laid.book) for pin in followed[:sold]]
        own = look(journeys).at(np.arange(sold), day).known_ready(np.array(felt, dtype=bool))
        share[:sold] = own.expected()[:, 0]
        prospects = own if prospects is None else joined([own, prospects])
    share[sold:] = laid.later.shares(batch[sold:], move_h[sold:], place[sold:])
    ways = _itineraries(laid, followed, batch, want, move_h, place, share)
    base = laid.problem.ways
    front, back = np.arange(sold), np.arange(sold, batch.size)
    problem = replace(laid.problem, ways=end_to_end([ways.of(front), base, ways.of(back)]))
    numbers = [n if n < sold else n + base.size for n in range(batch.size)]
    return replace(
        laid,
        problem=problem,
        prospects=prospects,
        pins=tuple(followed),
        pin_ways=tuple(numbers),
        broken_pins=broken,
    )


def _sorted_out(
    laid: PlanningInput, pins: Sequence[Pin]
) -> tuple[list[Pin], tuple[BrokenPin, ...]]:
    """Pins that can be followed, and those that cannot; what is packed goes first."""
    crates = dict(zip(laid.lines.ids, laid.problem.crates.tolist(), strict=True))
    followed, broken = [], []
    at_home = [pin for pin in pins if not is_away(pin, laid.book, laid.now)]
    for pin in sorted(at_home, key=lambda p: (p.packed_at is None, p.id)):
        reason = _broken(laid, pin, crates.get(pin.batch_id, 0))
        if reason is None:
            crates[pin.batch_id] -= pin.crates
            followed.append(pin)
        else:
            broken.append(BrokenPin(pin.id, reason))
    return followed, tuple(broken)


def _broken(laid: PlanningInput, pin: Pin, crates: int) -> BrokenPinReason | None:
    book, ids = laid.book, laid.lines.ids
    if pin.batch_id not in ids or pin.batch_id in laid.expected:
        return BrokenPinReason.BATCH_GONE
    if not 1 <= pin.crates <= crates:
        return BrokenPinReason.FEWER_CRATES
    day = None
    if pin.market_day_id is not None:
        day = book.market_days.get(pin.market_day_id)
        if day is None or day.starts_at <= laid.now:
            return BrokenPinReason.MARKET_OVER
    if pin.pull_at is None or pin.place_id is None:
        return None
    if pin.place_id not in laid.lines.place_ids:
        return BrokenPinReason.PLACE_GONE
    if pin.pull_at <= laid.now:
        return BrokenPinReason.PULL_OVER
    if day is not None and pin.pull_at >= day.starts_at:
        return BrokenPinReason.PULL_AFTER_MARKET
    if to_hours(pin.pull_at) < laid.lines.stays.start_h[ids.index(pin.batch_id), -1]:
        return BrokenPinReason.MOVED_LATER
    return None


def _with_their_wants(laid: PlanningInput, pins: Sequence[Pin]) -> PlanningInput:
    """The ground with every market day that is pinned to, wanting nothing of the crop if so."""
    days, day_of, crop_of = list(laid.days), laid.day_of_want.tolist(), list(laid.crop_of_want)
    asked = {(days[day].id, crop) for day, crop in zip(day_of, crop_of, strict=False)}
    markets = len(day_of)
    new_crops: list[str] = []
    for pin in pins:
        crop = _crop_of(laid, pin)
        if pin.market_day_id is None or (pin.market_day_id, crop) in asked:
            continue
        asked.add((pin.market_day_id, crop))
        day = laid.book.market_days[pin.market_day_id]
        if day not in days:
            days.append(day)
        day_of.append(days.index(day))
        new_crops.append(crop)
    if not new_crops:
        return laid
    ways, wants = laid.problem.ways, laid.problem.wants

    # Second grade comes after all market days.
    def shifted(want: Indices) -> Indices:
        return np.where(want >= markets, want + len(new_crops), want)

    out = laid.problem.left_out
    start_h = [to_hours(days[day].starts_at) for day in day_of[markets:]]
    none = np.zeros(len(new_crops))

    def put_in(column_of: np.ndarray, values: np.ndarray) -> np.ndarray:
        return np.concatenate([column_of[:markets], values, column_of[markets:]])

    more = Wants(
        put_in(wants.fruit, none),
        put_in(wants.price, none),
        put_in(wants.start_h, np.array(start_h)),
        put_in(wants.second, none.astype(bool)),
        put_in(wants.by_weight, none.astype(bool)),
    )
    return replace(
        laid,
        problem=replace(
            laid.problem,
            wants=more,
            ways=replace(ways, want=shifted(ways.want)),
            left_out=out and replace(out, want=shifted(out.want)),
        ),
        days=tuple(days),
        day_of_want=np.array(day_of, dtype=np.intp),
        crop_of_want=(*crop_of[:markets], *new_crops, *crop_of[markets:]),
    )


def _crop_of(laid: PlanningInput, pin: Pin) -> str:
    crop = int(laid.lines.crop[laid.lines.ids.index(pin.batch_id)])
    return laid.lines.crop_keys[crop]


def _want_of(laid: PlanningInput, pin: Pin) -> int:
    if pin.market_day_id is None:
        return NO_WANT
    crop = _crop_of(laid, pin)
    for want, day in enumerate(laid.day_of_want.tolist()):
        if laid.days[day].id == pin.market_day_id and laid.crop_of_want[want] == crop:
            return want
    raise KeyError(pin.market_day_id)


def _place_of(laid: PlanningInput, pin: Pin, batch: int) -> int:
    if pin.pull_at is None or pin.place_id is None:
        return int(laid.lines.stays.place[batch, -1])
    return laid.lines.place_ids.index(pin.place_id)


def _itineraries(
    laid: PlanningInput,
    pins: Sequence[Pin],
    batch: Indices,
    want: Indices,
    move_h: Floats,
    place: Indices,
    share: Floats,
) -> Itineraries:
    start_h = np.append(laid.problem.wants.start_h, np.nan)[want]
    written_h = laid.lines.stays.start_h[batch, -1]
    ahead_h = np.where(written_h > to_hours(laid.now), written_h, np.nan)
    gone_h = held_h(laid.closes_h[batch], np.fmax(move_h, ahead_h))
    # What is kept for later is not cleared away meanwhile.
    gone_h = np.where(share > 0.0, np.inf, gone_h)
    none = np.full(batch.size, -1)
    never = np.full(batch.size, np.nan)
    stays = taken(
        CrateStays(
            laid.lines.stays,
            batch,
            never,
            none,
            move_h,
            place,
            np.where(want == NO_WANT, gone_h, start_h),
        ),
        laid.evening_h,
        laid.hands,
    )
    return Itineraries(
        batch=batch,
        want=want,
        first_place=none,
        first=none,
        place=place,
        pull=none,
        share=share,
        handling=move_cost(laid.problem) * np.array([pin.pull_at is not None for pin in pins]),
        reserve=np.zeros(batch.size),
        kept=np.zeros(batch.size, bool),
        fixed=np.array([pin.crates for pin in pins], dtype=np.intp),
        stay_place=stays[0],
        stay_from=stays[1],
        stay_until=stays[2],
        # A pin is a fact: it comes to a place whether there is room or not.
        stay_new=np.zeros_like(stays[3]),
    )
