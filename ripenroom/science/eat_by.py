"""The eat-by window of every batch: when it opens, is best and closes, and what closes it.

Two kinds of spread are kept apart. *Dates* of the batch follow from how its fruit differ: the
eat-by window opens when half of the fruit that can ripen is ready, and closes when one fifth is
past. The *range* of a date follows only from what is not known: the batch's mean age and the rate.
Shares that are to be counted on (supply) include both.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri

from ripenroom.science.batches import Batches
from ripenroom.science.blocks import in_blocks, joined
from ripenroom.science.clock import Indices
from ripenroom.science.gate import AnyAgeing, GatedAgeing
from ripenroom.science.progress import Progress
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80, advance_at_quantile
from ripenroom.science.way import Way, way_of

FIRST_SHARE = 0.1
OPEN_SHARE = 0.5
PAST_SHARE = 0.2
"""Shares of the fruit that can ripen: first ready, ready at the opening, past at the closing."""

_NEVER_H = 1e7

TOO_SOFT, RIPE_LIFE, CHILLING, STORAGE_LIFE = range(4)
"""Causes of closing, as numbers in :attr:`EatBy.cause`."""


@dataclass(frozen=True, slots=True)
class Limits:
    """Clocks beside softening that can end a batch.

    ``ripe_life`` counts days of ripe life since pick, ``ripe_days`` how many a fruit has once
    ready (inf: softening alone decides) with 80 % range. ``chilling`` and ``storage`` count used
    shares; the ``low`` and ``high`` columns are the shares of the middle allowance at which the
    80 % range of the allowance begins and ends.
    """

    ripe_life: Progress
    ripe_days: tuple[Floats, Floats, Floats]
    chilling: Progress
    chilling_share: tuple[Floats, Floats]
    storage: Progress
    storage_share: tuple[Floats, Floats]

    def of(self, lines: Indices | slice) -> "Limits":
        """The limits of some batches only."""
        low, mid, high = self.ripe_days
        return Limits(
            self.ripe_life.of(lines),
            (low[lines], mid[lines], high[lines]),
            self.chilling.of(lines),
            (self.chilling_share[0][lines], self.chilling_share[1][lines]),
            self.storage.of(lines),
            (self.storage_share[0][lines], self.storage_share[1][lines]),
        )


@dataclass(frozen=True, slots=True)
class DateRange:
    """Hours of a date: 80 % range and best estimate, shape (batches,); nan where it never comes."""

    low: Floats
    mid: Floats
    high: Floats


@dataclass(frozen=True, slots=True)
class EatBy:
    """Eat-by windows of all batches; see the module text for what each date means.

    ``way`` holds the doubts that their ranges follow from.
    """

    first_ready: DateRange
    opens: DateRange
    best: DateRange
    closes: DateRange
    cause: npt.NDArray[np.int8]
    chilling_out_h: Floats
    uneven: npt.NDArray[np.bool_]
    way: Way


def eat_by(batches: Batches, ageing: AnyAgeing, slope: Progress, limits: Limits) -> EatBy:
    """Eat-by windows. ``slope`` counts ``d theta / d activation energy`` along the same stays.

    Cost: some twenty interpolations per batch; nothing depends on the length of the season.
    """

    def of_block(lines: slice) -> EatBy:
        return _eat_by(batches.of(lines), ageing.of(lines), slope.of(lines), limits.of(lines))

    return joined(in_blocks(batches.picked_h.size, of_block))


def _eat_by(batches: Batches, ageing: AnyAgeing, slope: Progress, limits: Limits) -> EatBy:
    ready, soft = batches.ready_age, batches.too_soft_age

    # Each date is when the mean age of the batch has come so far that a share of its fruit, so many
    # sds from the mean, has passed a mark.
    off = ndtri(np.array([FIRST_SHARE, OPEN_SHARE, 0.5, PAST_SHARE, PAST_SHARE]))
    marks = np.column_stack([ready, ready, (ready + soft) / 2.0, soft, ready])
    ages = marks + batches.fruit_sd[:, None] * off
    middle_h = ageing.when((ages - batches.mean_age[:, None]) / batches.rate_per_day[:, None])
    way = way_of(batches, middle_h[:, 1], ageing, slope)
    if batches.checked is not None:
        middle_h = ageing.when(_days_to(ages, batches, way))
    first, opens, best, closes, fifth_ready = _dates(ages, middle_h, batches, ageing, way, off)
    cause = np.full(opens.mid.shape, TOO_SOFT, np.int8)
    if np.isfinite(limits.ripe_days[1]).any():
        # The fifth that is past first are those that were ready first.
        used_up = _later(limits.ripe_life, fifth_ready, limits.ripe_days)
        half_life = tuple(days / 2.0 for days in limits.ripe_days)
        best = _earlier(best, _later(limits.ripe_life, opens, half_life))[0]
        closes, cause = _close(closes, cause, used_up, RIPE_LIFE)

    uneven = closes.mid < opens.mid
    if uneven.any():
        opens, closes = _meet(uneven, best, opens), _meet(uneven, best, closes)

    # Of fruit that differs much, most may be ready only after a fifth is past: too late for advice.
    best = _earlier(best, closes)[0]

    whole = np.ones(opens.mid.shape)
    chilled = _allowance_out(limits.chilling, limits.chilling_share, whole)
    stored = _allowance_out(limits.storage, limits.storage_share, whole)
    closes, cause = _close(closes, cause, chilled, CHILLING)
    closes, cause = _close(closes, cause, stored, STORAGE_LIFE)

    out = np.minimum(chilled.mid, stored.mid)
    ended = DateRange(
        np.minimum(chilled.low, stored.low), out, np.minimum(chilled.high, stored.high)
    )
    best = _earlier(best, ended)[0]
    return EatBy(
        first_ready=_unless_ended(first, ended),
        opens=_unless_ended(opens, ended),
        best=_unless_ended(best, ended, opens),
        closes=_finite(closes),
        cause=cause,
        chilling_out_h=np.where(np.isfinite(chilled.mid), chilled.mid, np.nan),
        uneven=uneven,
        way=way,
    )


def _days_to(ages: Floats, batches: Batches, way: Way) -> Floats:
    """Reference days since pick at which the mean age reaches ``ages``, if all estimates hold."""
    advance = (ages - way.age[:, None]) / batches.rate_per_day[:, None]
    return np.asarray(advance + way.from_days[:, None])


def _dates(
    ages: Floats, middle_h: Floats, batches: Batches, ageing: AnyAgeing, way: Way, off: Floats
) -> list[DateRange]:
    """The range of each date in ``middle_h``, when the mean age reaches ``ages``, from all doubt.

    Both have shape (batches, dates). ``off`` (dates,) says how many sds of the fruit ``ages`` are
    from a mark.
    """
    column = slice(None), None
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
        reached = _days_to(ages, batches, way)
        early, late = (opened.when(reached) for opened in ageing.at_either_end())
        picked_h = batches.picked_h[column]
        comes = np.isfinite(middle_h)
        low = np.where(comes, np.maximum(_moved(middle_h, low, early, -1.0), picked_h), low)
        high = np.where(comes, _moved(middle_h, high, late, 1.0), high)
    return [DateRange(low[:, n], middle_h[:, n], high[:, n]) for n in range(ages.shape[1])]


def _moved(middle_h: Floats, one_h: Floats, other_h: Floats, way: float) -> Floats:
    """``middle_h`` moved as far as two independent doubts, each given as a date, reach together."""
    at = np.where(np.isfinite(middle_h), middle_h, 0.0)
    return np.asarray(at + way * np.hypot(one_h - at, other_h - at))


def _later(clock: Progress, start: DateRange, days: tuple[Floats, ...]) -> DateRange:
    """When a clock has run the given days on from a date; inf for a date that never comes."""
    begin = np.column_stack([start.low, start.mid, start.high])
    # A date that never comes stands at inf; any far hour keeps the clock's arithmetic finite.
    end = clock.when(clock.at(np.minimum(begin, _NEVER_H)) + np.column_stack(days))
    return DateRange(*np.where(np.isfinite(begin), end, np.inf).T)


def _earlier(one: DateRange, other: DateRange) -> tuple[DateRange, npt.NDArray[np.bool_]]:
    """Whichever comes first, and where that is the other."""
    sooner = other.mid < one.mid
    return (
        DateRange(
            np.minimum(one.low, other.low),
            np.minimum(one.mid, other.mid),
            np.minimum(one.high, other.high),
        ),
        sooner,
    )


def _close(
    closes: DateRange, cause: npt.NDArray[np.int8], other: DateRange, named: int
) -> tuple[DateRange, npt.NDArray[np.int8]]:
    earlier, sooner = _earlier(closes, other)
    return earlier, np.where(sooner, np.int8(named), cause)


def _meet(where: npt.NDArray[np.bool_], at: DateRange, dates: DateRange) -> DateRange:
    """``at`` where the mask holds: a batch too uneven for an eat-by window has only a best day."""
    return DateRange(
        np.where(where, at.low, dates.low),
        np.where(where, at.mid, dates.mid),
        np.where(where, at.high, dates.high),
    )


def _allowance_out(used: Progress, share: tuple[Floats, Floats], whole: Floats) -> DateRange:
    return DateRange(*used.when(np.column_stack([share[0], whole, share[1]])).T)


def _unless_ended(date: DateRange, ended: DateRange, gate: DateRange | None = None) -> DateRange:
    """nan where the fruit ends before the date (before ``gate`` if given) comes."""
    never = (gate or date).mid >= ended.mid
    kept = _finite(date)
    return DateRange(
        np.where(never, np.nan, kept.low),
        np.where(never, np.nan, kept.mid),
        np.where(never, np.nan, kept.high),
    )


def _finite(date: DateRange) -> DateRange:
    """nan for what never comes; a date that never comes has no range either."""
    never = ~np.isfinite(date.mid)
    low, mid, high = (
        np.where(never | ~np.isfinite(edge), np.nan, edge)
        for edge in (date.low, date.mid, date.high)
    )
    return DateRange(low, mid, high)
