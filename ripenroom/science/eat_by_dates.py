"""The eat-by window of every batch: when it opens, is best and closes, and what closes it.

Two kinds of spread are kept apart. *Dates* of the batch follow from how its fruit differ, and are
read off one curve, that of the ready share if all estimates hold: the eat-by window opens when half
of the fruit that can ripen is ready, or on its best day if that is sooner, is best when most of it
is ready, and closes when one fifth is past, though not before its best day. The *range* of a date
follows only from what is not known: the batch's mean age and the rate. Shares that are to be
counted on (supply) include both.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ripenroom.science.age_gain import Gaining, RipeLifeClocks
from ripenroom.science.allowances import AllowanceClocks
from ripenroom.science.batches import BatchAges
from ripenroom.science.blocks import in_blocks, joined
from ripenroom.science.doubtful_date import DateRange
from ripenroom.science.gated_ageing import GatedAgeing
from ripenroom.science.progress import ClockAdvance
from ripenroom.science.ready import best_h
from ripenroom.science.reference_point import ReferencePoint, on_way
from ripenroom.science.softening import Flags, Floats
from ripenroom.science.spread import TAIL_80, advance_at_quantile

_NEVER_H = 1e7
_FARTHEST_H = 24.0 * 365.0 * 3.0

TOO_SOFT, RIPE_LIFE, CHILLING, STORAGE_LIFE, FREEZING = range(5)
"""Causes of closing, as numbers in :attr:`EatBy.cause`."""

_SAME_H = 1.0
"""Of two ends that come within this, the one further up in the list of causes is named: which of
them is earlier by a rounding says nothing."""


@dataclass(frozen=True, slots=True)
class EatBy:
    """Eat-by windows of all batches; see the module text for what each date means.

    Dates that never come are nan.
    """

    first_ready: DateRange
    opens: DateRange
    best: DateRange
    closes: DateRange
    cause: npt.NDArray[np.int8]
    chilling_out_h: Floats
    frozen_h: Floats
    uneven: Flags


def eat_by(batches: BatchAges, gaining: Gaining, limits: AllowanceClocks) -> EatBy:
    """Eat-by windows of batches that gain age as ``gaining`` says, on its ways.

    Cost: a hundred interpolations per batch; nothing depends on the length of the season.
    """

    def of_block(lines: slice) -> EatBy:
        return _eat_by(batches.of(lines), gaining.of(lines), limits.of(lines))

    return joined(in_blocks(batches.picked_h.size, of_block))


def _eat_by(batches: BatchAges, gaining: Gaining, limits: AllowanceClocks) -> EatBy:
    ready, soft = batches.ready_age, batches.too_soft_age
    # Each date is when the mean age of the batch has come so far that fruit older than all but a
    # share has passed a mark.
    first, half, fifth = batches.ages.oldest_sds.T
    youngest = batches.ages.youngest_sds()
    off = -np.column_stack([first, half, fifth, fifth, half, youngest, youngest])
    marks = np.column_stack([ready, ready, soft, ready, soft, ready, soft])
    ages = marks + batches.fruit_sd[:, None] * off
    middle_h = gaining.ageing.when(_days_to(ages, batches, gaining.way))
    first_ready, opens, softened, fifth_ready, half_soft, last_ready, last_soft = _dates(
        ages, middle_h, batches, gaining, off
    )
    # The fifth that is past first are those that were ready first.
    used_up, (half_used_h, all_used_h) = _ripe_lives_after(
        fifth_ready, (opens.mid, last_ready.mid), limits.ripe_life
    )
    closes = softened.or_earlier(used_up)
    by_life = used_up.mid < softened.mid - _SAME_H
    cause = np.where(by_life, RIPE_LIFE, TOO_SOFT).astype(np.int8)
    uneven = closes.mid < opens.mid

    outs = [allowance.out() for allowance in limits.allowances]
    ended = outs[0].or_earlier(outs[1]).or_earlier(outs[2])
    # A curve with one top has it before half of the fruit is past; of several bands the last may
    # make the highest.
    several = batches.ages.several()
    begin_h = np.where(several, batches.picked_h, first_ready.mid)
    half_past_h = np.minimum(half_soft.mid, half_used_h)
    all_past_h = np.minimum(last_soft.mid, all_used_h)
    over_h = np.minimum(np.where(several, all_past_h, half_past_h), ended.mid)
    comes = np.isfinite(first_ready.mid) & (first_ready.mid < ended.mid)
    best = _best(batches, gaining, comes, begin_h, over_h)
    best = DateRange(best.low, best.mid, np.minimum(best.high, ended.high))

    never_opens = ~(opens.mid < ended.mid)
    opens = opens.or_earlier(best)
    first_ready = first_ready.or_earlier(opens)
    # What never opens has nothing to close: it lasts until an allowance ends it.
    endless = np.where(never_opens, np.inf, 0.0)
    closes = closes.or_later(best)
    ripened_high_h = closes.high
    closes = closes.or_later(DateRange(endless, endless, endless))
    closes, cause = _ended(closes, cause, outs)
    # If the allowance turns out to be large enough, the fruit lasts until it is past as usual.
    high = np.where(np.isfinite(closes.high), closes.high, ripened_high_h)
    closes = DateRange(closes.low, closes.mid, high)
    low = np.where(never_opens, closes.low, np.maximum(closes.low, best.low))
    closes = DateRange(low, closes.mid, closes.high)
    return EatBy(
        first_ready=first_ready.ordered().known(first_ready.mid >= ended.mid),
        opens=opens.ordered().known(never_opens),
        best=best.ordered().known(never_opens),
        closes=closes.ordered().known(),
        cause=cause,
        chilling_out_h=np.where(np.isfinite(outs[0].mid), outs[0].mid, np.nan),
        frozen_h=np.where(np.isfinite(outs[2].mid), outs[2].mid, np.nan),
        uneven=uneven,
    )


def _days_to(ages: Floats, batches: BatchAges, way: ReferencePoint) -> Floats:
    """Reference days since pick at which the mean age reaches ``ages``, if all estimates hold."""
    advance = (ages - way.age[:, None]) / batches.rate_per_day[:, None]
    return np.asarray(advance + way.from_days[:, None])


def _dates(
    ages: Floats,
    middle_h: Floats,
    batches: BatchAges,
    gaining: Gaining,
    off: Floats,
) -> list[DateRange]:
    """The range of each date in ``middle_h``, when the mean age reaches ``ages``, from all doubt.

    All have shape (batches, dates). ``off`` says how many sds of the fruit ``ages`` are from a
    mark.
    """
    column, way, ageing = (slice(None), None), gaining.way, gaining.ageing
    mean, rate, begun = way.age[column], batches.rate_per_day[column], way.from_days[column]
    doubt, log_sd = way.doubt_sd[column], way.rate_sd[column]
    if batches.checked is not None:
        in_spread = batches.checked.spread_sd * batches.fruit_sd
        doubt = np.hypot(doubt, in_spread[column] * off)
    least = np.minimum(-begun * rate, 0.0)
    sooner = advance_at_quantile(TAIL_80, ages, mean, doubt, log_sd, least)
    later = advance_at_quantile(-TAIL_80, ages, mean, doubt, log_sd, least)
    days = np.hstack([sooner, later]) / rate + begun
    low, high = np.hsplit(ageing.when(days), 2)
    if isinstance(ageing, GatedAgeing):
        own = ageing.behind
        reached = _days_to(ages, batches, way)[own]
        opened_early, opened_late = ageing.of(own).at_either_end()
        soonest, latest = np.hsplit(days[own], 2)
        early_h, earliest_h = np.hsplit(opened_early.when(np.hstack([reached, soonest])), 2)
        late_h, latest_h = np.hsplit(opened_late.when(np.hstack([reached, latest])), 2)
        middle, comes = middle_h[own], np.isfinite(middle_h[own])
        early = _moved(middle, low[own], early_h, earliest_h)
        late = _moved(middle, high[own], late_h, latest_h)
        low[own] = np.where(comes, np.maximum(early, batches.picked_h[own, None]), low[own])
        high[own] = np.where(comes, late, high[own])
    return [DateRange(low[:, n], middle_h[:, n], high[:, n]) for n in range(ages.shape[1])]


def _moved(middle_h: Floats, one_h: Floats, other_h: Floats, both_h: Floats) -> Floats:
    """``middle_h`` moved as far as two independent doubts, each given as a date, reach together.

    That is no further than ``both_h``, the date by the ends of both: where hardly any of a gate
    opens, the middle may be months away and either doubt as long as that, which two of them are
    not.
    """
    at = np.where(np.isfinite(middle_h), middle_h, 0.0)
    farthest = np.hypot(one_h - at, other_h - at)
    return np.asarray(np.clip(both_h, at - farthest, at + farthest))


def _best(
    batches: BatchAges, gaining: Gaining, comes: Flags, begin_h: Floats, over_h: Floats
) -> DateRange:
    """The best day: with the largest ready share from ``begin_h`` until ``over_h``; inf where none
    ``comes``."""
    picked_h = batches.picked_h
    begin_h = np.where(comes, begin_h, picked_h)
    end_h = np.minimum(over_h, begin_h + _FARTHEST_H)
    way = gaining.way
    at_h = best_h(on_way(batches, way), gaining, begin_h, np.where(comes, end_h, picked_h))
    # Other rates and ages lead to the same mean age of the batch on its best day.
    ages = way.age[:, None] + gaining.advance_at(at_h[:, None])
    (best,) = _dates(ages, at_h[:, None], batches, gaining, np.zeros_like(ages))
    best = DateRange(np.minimum(best.low, at_h), at_h, np.maximum(best.high, at_h))
    return DateRange(*(np.where(comes, edge, np.inf) for edge in (best.low, best.mid, best.high)))


def _ripe_lives_after(
    start: DateRange, others_h: tuple[Floats, ...], life: RipeLifeClocks
) -> tuple[DateRange, list[Floats]]:
    """When a ripe life that begins on a date is used up, and usual ones that begin at other hours,
    each (batches,); inf for a date that never comes, and where ripe fruit lasts for ever."""
    lasts = np.isfinite(life.days)[:, None]

    def used_up(clock: ClockAdvance, *begin_h: Floats) -> list[Floats]:
        begins_h = np.column_stack(begin_h)
        comes = np.isfinite(begins_h) & lasts
        # A date that never comes stands at inf; any far hour keeps the clock's arithmetic finite.
        begun = clock.at(np.where(comes, np.minimum(begins_h, _NEVER_H), 0.0))
        end_h = clock.when(begun + np.where(comes, life.days[:, None], 0.0))
        return list(np.where(comes, end_h, np.inf).T)

    if not life.known:
        never = np.full(start.mid.shape, np.inf)
        return DateRange(never, never, never), [never for _ in others_h]
    fast, usual, slow = life.ends
    mid, *others = used_up(usual, start.mid, *others_h)
    (low,), (high,) = used_up(fast, start.low), used_up(slow, start.high)
    return DateRange(low, mid, high), others


def _ended(
    closes: DateRange, cause: npt.NDArray[np.int8], outs: list[DateRange]
) -> tuple[DateRange, npt.NDArray[np.int8]]:
    """Closing dates cut short by allowances that are gone, and what is named as their cause."""
    named = cause
    for out, own in zip(outs, (CHILLING, STORAGE_LIFE, FREEZING), strict=True):
        named = np.where(out.mid < closes.mid - _SAME_H, np.int8(own), named)
        closes = closes.or_earlier(out)
    return closes, named
