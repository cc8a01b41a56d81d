"""Works out the forecast of every batch: columns and rooms in, a ``Projection`` out."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.science.age_gain import RipeLifeClocks
from ripenroom.science.allowances import AllowanceClocks, AllowanceRange, UsedUp
from ripenroom.science.cooling_lag import lags_of
from ripenroom.science.doubtful_date import DateRange
from ripenroom.science.gate_opening import GateNeed, gate_columns, gated
from ripenroom.science.gated_ageing import AnyAgeing
from ripenroom.science.outlook import BatchAgeing
from ripenroom.science.progress import Arrivals, ClockAdvance
from ripenroom.science.softening import Flags, Floats
from ripenroom.science.unsettled import Unsettled
from ripenroom.season.batch_columns import (
    BatchColumns,
    BatchColumnsMaker,
    BookOutlook,
    with_stays,
)
from ripenroom.season.belief import HasBelief
from ripenroom.season.crop_constants import ConstantsOfCrops
from ripenroom.season.gate_constants import gates_of, own_needs
from ripenroom.season.histories import History, with_histories
from ripenroom.season.moments import CLOCK_SLACK, to_hours
from ripenroom.season.projection import EndCause, FruitState, Projection, Ranged, replaced
from ripenroom.season.room_clocks import ClockCache, HasAir, Schedule, schedules, shelved
from ripenroom.season.state import SeasonState

_HORIZON = timedelta(days=60)
"""How far past the latest thing written down temperatures are followed hour by hour."""

_HOUR = timedelta(hours=1)

_USUAL_LIFE = "ripe_life"
_LIVES = (
    "ripe_life_fast",
    "ripe_life_rather_fast",
    _USUAL_LIFE,
    "ripe_life_rather_slow",
    "ripe_life_slow",
)
"""Clocks of ripe life, from fast to slow."""

_ENDS_OF_LIFE = (_LIVES[0], _USUAL_LIFE, _LIVES[-1])
"""Those that dates and their ranges need; the others are of expected shares."""


_SURE = 0.8
"""Where more of a batch than this can never ripen, that is said (an estimate)."""

_MOST_OF_THE_REST = 0.75
_SQUEEZED_WITHIN_H: Floats = np.arange(0.0, 24.0 * 15.0, 24.0)
"""What may not ripen is squeezed on the first day of the next two weeks on which so much of what
can is ripe: what is still firm then hardly ever is."""


class Projector:
    """Projects a season; keeps what a change did not touch.

    After a change of a set point only the clocks of that place are run again; the lines are built
    once per change of the records. With ``learned`` it counts on what checks taught.
    """

    def __init__(
        self,
        profiles: Mapping[str, CropProfile],
        zone: ZoneInfo,
        learned: HasBelief | None = None,
    ) -> None:
        belief = learned.belief if learned is not None else None
        shifts = belief.slope_shift_kj_mol if belief is not None else {}
        able = belief.able if belief is not None else {}
        ripens_sd = {kind: own.log_odds_sd for kind, own in able.items()}
        lives = belief.lives if belief is not None else {}
        known = {kind: (own.log_days, own.log_days_sd) for kind, own in lives.items()}
        self._constants = ConstantsOfCrops(profiles, shifts, ripens_sd, known)
        self._unsqueezed = frozenset(
            batch_id
            for batch_id, own in (belief.ages.items() if belief is not None else ())
            if not own.squeezed
        )
        self._zone = zone
        self._maker = BatchColumnsMaker(self._constants, belief)
        self._clock_room = ClockCache()
        self._book: Book | None = None
        self._scheduled: tuple[Book, Mapping[str, Schedule]] | None = None
        self._lines: BatchColumns | None = None
        self._travelled: tuple[_Travelled, BatchAgeing] | None = None

    @classmethod
    def of(cls, state: SeasonState) -> "Projector":
        """What projects a season as it is known now."""
        return cls(state.crops, state.zone, state.learned)

    @property
    def constants(self) -> ConstantsOfCrops:
        """Constants of every kind."""
        return self._constants

    def outlook(self, book: Book, now: datetime) -> BookOutlook:
        """The outlook of a book."""
        lines = self._lines_of(book)
        plans = self._schedules(book)
        airs = [plans[key] for key in lines.place_ids]
        return self._look(lines, airs, _span(lines, now), dated=True)

    def lines(self, book: Book) -> BatchColumns:
        """The columns of a book's batches."""
        return self._lines_of(book)

    def travel(self, book: Book, now: datetime) -> tuple[BatchColumns, BatchAgeing]:
        """How every batch ages, without its dates; kept while batches and places stay the same."""
        lines = self._lines_of(book)
        plans = self._schedules(book)
        asked = _Travelled(lines, [plans[key] for key in lines.place_ids], _span(lines, now))
        if self._travelled is None or not asked.same(self._travelled[0]):
            self._travelled = asked, self._travel(*asked)
        return lines, self._travelled[1]

    def with_histories(
        self, lines: BatchColumns, book: Book
    ) -> tuple[BatchColumns, tuple[History, ...]]:
        """Lines of a book whose many stays so far are told as one: see :mod:`.histories`."""
        return with_histories(lines, self._schedules(book))

    def outlook_along(
        self,
        lines: BatchColumns,
        book: Book,
        now: datetime,
        histories: Sequence[History] = (),
        rough: bool = False,
    ) -> BookOutlook:
        """The outlook of hypothetical ``lines``, such as of a batch moved in another way.

        ``histories`` stand for places after all others. A ``rough`` one takes it for known how
        long ripe fruit lasts."""
        plans = self._schedules(book)
        span = _span(self._lines_of(book), now)
        airs: list[HasAir] = [*(plans[key] for key in lines.place_ids), *histories]
        return self._look(lines, airs, span, rough)

    def with_set_point(
        self,
        projection: Projection,
        book: Book,
        now: datetime,
        place_id: str,
        celsius: float,
        in_sight: Collection[str] | None = None,
    ) -> Projection:
        """The projection of a book if a place were held at ``celsius`` (C) from now on.

        Only batches that will be in that place are looked at again; all else is taken from the
        book's own ``projection``. For a frame of a drag only those ``in_sight`` (ids), and of them
        only what a queue draws: the ends of the range of their ready share are its middle.
        """
        lines = self._lines_of(book)
        now_h = to_hours(now)
        number = lines.place_ids.index(place_id)
        there = (lines.stays.place == number) & (lines.stays.end_h > now_h)
        concerned = there.any(axis=1)
        if in_sight is not None:
            seen = [projection.line_of[one] for one in in_sight if one in projection.line_of]
            concerned &= np.bincount(seen, minlength=concerned.size).astype(bool)
        some = np.flatnonzero(concerned)
        if not some.size:
            return projection
        plans = dict(self._schedules(book))
        plans[place_id] = plans[place_id].from_then_on(now_h, celsius)
        span = _span(lines, now)
        own = lines.of(some)
        if in_sight is not None:  # rooms that none of these few is in need no clocks
            own = with_stays(own, own.stays)
        airs = [plans[key] for key in lines.place_ids]
        outlook = self._look(own, airs, span, lives=_ENDS_OF_LIFE, dated=True)
        part = self.projection(outlook, now, drawn_alone=in_sight is not None)
        return replaced(projection, some, part)

    def _schedules(self, book: Book) -> Mapping[str, Schedule]:
        """The schedule of every place; a book never changes, and is asked again and again."""
        if self._scheduled is None or self._scheduled[0] is not book:
            self._scheduled = book, schedules(book, self._zone)
        return self._scheduled[1]

    def _lines_of(self, book: Book) -> BatchColumns:
        known = self._book
        if known is None or self._lines is None or not _same_batches(known, book):
            self._lines = self._maker.lines(book)
        self._book = book
        return self._lines

    def _look(
        self,
        lines: BatchColumns,
        plans: Sequence[HasAir],
        span: tuple[float, float],
        rough: bool = False,
        lives: Sequence[str] = _LIVES,
        dated: bool = False,
    ) -> BookOutlook:
        return BookOutlook.along(lines, self._travel(lines, plans, span, rough, lives, dated))

    def _travel(
        self,
        lines: BatchColumns,
        plans: Sequence[HasAir],
        span: tuple[float, float],
        rough: bool = False,
        lives: Sequence[str] = _LIVES,
        dated: bool = False,
    ) -> BatchAgeing:
        """How lines age. If they will be ``dated``, the ends of all ranges run along with the rest,
        which takes less than to run them once they are asked for."""
        stays = lines.stays
        wanted = [(plans[place], lines.kinds[kind]) for place, kind in lines.rooms]
        clocks = shelved(self._clock_room.clocks(wanted, self._constants, *span))
        arrivals = Arrivals(stays, clocks.knots, lines.room_of_stay)
        airs = [plan.air() for plan in plans]
        table = [self._constants[kind] for kind in lines.kinds]
        processes = [own.processes for own in table]
        if rough:
            unsettled = Unsettled.at_once(stays, lines.kind, airs)
        else:
            unsettled = Unsettled.along(stays, lines.kind, airs, lines.pulp_at_pick_c)

        def along_all(names: Sequence[str]) -> dict[str, ClockAdvance]:
            kinds = [[getattr(own, name) for own in processes] for name in names]
            lags = lags_of(unsettled, kinds)
            return {
                name: ClockAdvance.along(arrivals, clocks.theta[name], lag)
                for name, lag in zip(names, lags, strict=True)
            }

        gates = [own.gate for own in table]
        shut = any(gates[kind].shut for _, kind in lines.rooms)
        lives = (_USUAL_LIFE,) if rough else lives
        names = ["ageing", "slope", "chilling", "storage", "freezing", *lives]
        if shut:
            # When a gate opens at either end of its need is always asked.
            names += ["gate", *([] if rough else _ends_of("gate"))]
        allowances = {
            name: [getattr(own, name) for own in table]
            for name in ("chilling", "storage", "freezing")
        }
        if dated:
            names += [
                end
                for name, allowed in allowances.items()
                if not _on_one_clock(allowed)
                for end in _ends_of(name)
            ]
        along = along_all(names)

        def of_kind(values: Sequence[float]) -> Floats:
            return np.array(values, dtype=float)[lines.kind]

        def used_up(name: str, allowed: Sequence[AllowanceRange]) -> UsedUp:
            soonest, latest = [own.soonest for own in allowed], [own.latest for own in allowed]
            low, high = (of_kind([end.share for end in ends]) for ends in (soonest, latest))
            used_up = UsedUp.on_one_clock(along[name], low, high)
            if rough or _on_one_clock(allowed):
                return used_up

            def ends() -> tuple[ClockAdvance, ClockAdvance]:
                soonest, latest = _ends_of(name)
                run = along if soonest in along else along_all((soonest, latest))
                return run[soonest], run[latest]

            return replace(used_up, run_ends=ends)

        plain = along["ageing"]
        ageing: AnyAgeing = plain
        batches = lines.batches
        need: GateNeed | None = None
        if shut:
            times = own_needs(batches, lines.kind, gates)
            by_clock = used_up("gate", [gate.need for gate in gates]).times(times)
            enough_h = np.array([gate.treated_h for gate in gates])[lines.kind]
            need = GateNeed(by_clock, lines.doses, enough_h * times[:, None])
            ageing, batches = gated(plain, need, batches, gates_of(lines.kind, gates))
        limits = AllowanceClocks(
            ripe_life=RipeLifeClocks(
                tuple(along[name] for name in lives),
                of_kind([own.ripe_life_days for own in table]),
            ),
            **{name: used_up(name, allowed) for name, allowed in allowances.items()},
        )
        return BatchAgeing(airs, batches, ageing, along["slope"], limits, need, unsettled)

    def projection(
        self, outlook: BookOutlook, now: datetime, drawn_alone: bool = False
    ) -> Projection:
        """The columns that the window shows, as on ``now``; ``drawn_alone``: without the range of
        the ready share, which no queue draws."""
        lines, windows = outlook.lines, outlook.eat_by
        at_h = to_hours(now)
        # A season may be looked up years later, when its clocks have long stopped.
        by_h = min(at_h, _span(lines, now)[1])
        at = np.full((len(lines.ids), 1), by_h)
        gate_opens_h, gate_done, gate_times = gate_columns(outlook.ageing, outlook.gate_need, by_h)
        undated = outlook.undated
        opens, best, closes = (
            _hidden(undated, dates) for dates in (windows.opens, windows.best, windows.closes)
        )
        return Projection(
            at_h=at_h,
            batch_ids=lines.ids,
            line_of={batch_id: n for n, batch_id in enumerate(lines.ids)},
            left=lines.left_at(np.array([at_h + CLOCK_SLACK / _HOUR]))[:, 0],
            first_ready_h=_hidden(undated, windows.first_ready),
            opens_h=opens,
            best_h=best,
            closes_h=closes,
            end_cause=np.where(outlook.wont_ripen, np.int8(EndCause.NEVER_READY), windows.cause),
            ready_at_best=_hidden(undated, _ready_at_best(outlook, drawn_alone)),
            wont_ripen=1.0 - outlook.batches.ripens,
            chilling_used=np.maximum(outlook.limits.chilling.used.at(at)[:, 0], 0.0),
            chilling_out_h=windows.chilling_out_h,
            frozen_h=windows.frozen_h,
            state=_state(outlook.wont_ripen, opens, closes, at_h),
            uneven=windows.uneven & np.isfinite(opens.mid),
            gate_opens_h=gate_opens_h,
            gate_done=gate_done,
            gate_times=gate_times,
            squeeze_again_h=self._squeeze_again_h(outlook, np.isnan(gate_opens_h), at_h),
        )

    def _squeeze_again_h(self, outlook: BookOutlook, gateless: Flags, at_h: float) -> Floats:
        """When to squeeze again what may not ripen, (batches,); nan of all else.

        That most of it never will is sure of hard fruit as it was picked, if at all. What a packing
        left seemed firm for buyers who wait so long, and nobody squeezed it since.
        """
        never = 1.0 - outlook.batches.ripens
        unsqueezed = np.array([one in self._unsqueezed for one in outlook.lines.ids], dtype=bool)
        doubted = outlook.wont_ripen & gateless & (unsqueezed | (never < _SURE))
        found = np.full(never.size, np.nan)
        if doubted.any():
            hours = at_h + _SQUEEZED_WITHIN_H
            ripe = np.add(*outlook.shares(hours))[doubted]
            most = ripe >= _MOST_OF_THE_REST * outlook.batches.ripens[doubted, None]
            found[doubted] = np.where(most.any(axis=1), hours[most.argmax(axis=1)], np.inf)
        return found


def _ends_of(name: str) -> tuple[str, str]:
    """The clocks of the low end and of the high end of an allowance or need."""
    return f"{name}_soonest", f"{name}_latest"


def _on_one_clock(allowed: Sequence[AllowanceRange]) -> bool:
    """Whether both ends of all ranges run on the clock of the middle."""
    return all(end.allowance is own.mid for own in allowed for end in (own.soonest, own.latest))


class _Travelled(NamedTuple):
    """What ageing was worked out from, to tell whether it still holds."""

    lines: BatchColumns
    plans: Sequence[Schedule]
    span: tuple[float, float]

    def same(self, other: "_Travelled") -> bool:
        """Whether the same follows; lines that did not change are the same object."""
        return self.lines is other.lines and self[1:] == other[1:]


def _same_batches(one: Book, other: Book) -> bool:
    """Whether two books differ in nothing that lines are made of; books share what is untouched."""
    return one is other or (
        one.batches is other.batches
        and one.moves is other.moves
        and one.places is other.places
        and one.cultivars is other.cultivars
        and one.treatments is other.treatments
        and one.removals is other.removals
    )


def _span(lines: BatchColumns, now: datetime) -> tuple[float, float]:
    """Whole days (h) around everything that was written down, so that clocks can be kept.

    Now is followed too, but not out of all reach of the fruit: an old season may be looked up.
    """
    start_h = lines.stays.start_h
    now_h = to_hours(now)
    first, last = (start_h.min(), start_h.max()) if start_h.size else (now_h, now_h)
    last = max(last, min(now_h, last + _HORIZON / _HOUR)) + _HORIZON / _HOUR
    return float(np.floor(first / 24.0) * 24.0), float(np.ceil(last / 24.0) * 24.0)


def _hidden(where: Flags, dates: DateRange | Ranged) -> Ranged:
    return Ranged(
        np.where(where, np.nan, dates.low),
        np.where(where, np.nan, dates.mid),
        np.where(where, np.nan, dates.high),
    )


def _ready_at_best(outlook: BookOutlook, drawn_alone: bool) -> Ranged:
    """Ready share of all fruit on the best day: if all estimates hold, and its 80 % range, whose
    ends are the estimate where it is ``drawn_alone``.

    nan where there is no best day. The range is that of the share on this very day, which may turn
    out too early or too late; the estimate is its peak, so the range is drawn out to hold it.
    """
    best_h = outlook.eat_by.best.mid
    known = np.isfinite(best_h)
    at_h = np.where(known, best_h, outlook.lines.batches.picked_h)
    estimate = outlook.ready_as_estimated(at_h)
    low, high = (estimate, estimate) if drawn_alone else outlook.ready_range_at(at_h)
    gone = np.where(known, 0.0, np.nan)
    return Ranged(
        np.minimum(low, estimate) + gone, estimate + gone, np.maximum(high, estimate) + gone
    )


def _state(never: Flags, opens: Ranged, closes: Ranged, at_h: float) -> np.ndarray:
    state = np.full(opens.mid.shape, FruitState.HOLDING, dtype=np.int8)
    state[opens.mid <= at_h] = FruitState.READY
    state[closes.mid <= at_h] = FruitState.PAST
    state[never] = FruitState.WONT_RIPEN
    return state
