"""Plans tried with other set points than today's, and how chilled fruit is when sold."""

import threading
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import product
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.records.book import Book
from ripenroom.science.clock import Clock, SettledPulp
from ripenroom.science.softening import Floats
from ripenroom.season.advice.shared_itineraries import (
    Progress,
    SharedItineraries,
    paid_ground,
    told,
    worth,
)
from ripenroom.season.advice.thermostat_settings import held_at, without_readings_ahead
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.moments import to_hours
from ripenroom.season.plans.input import PlanningInput
from ripenroom.season.projection import Projection
from ripenroom.season.projector import Projector
from ripenroom.season.room_clocks import Schedule, schedules
from ripenroom.season.state import SeasonState


class ChillingAtSale:
    """How much of its chilling allowance fruit has used up when a plan sells it.

    It is made for one season as on a moment, and keeps the clocks of rooms that do not change.

    What was used by now is the projection's; from then on it is read from the clock of every place
    that the plan puts the fruit into, as if they had its temperature at once.
    """

    def __init__(
        self,
        constants: Mapping[CropKind, CropConstants],
        projection: Projection,
        now: datetime,
        zone: ZoneInfo,
    ) -> None:
        self._constants = constants
        self._projection = projection
        self._now_h = to_hours(now)
        self._zone = zone
        self._clocks: dict[tuple[Schedule, CropKind, float], Clock] = {}

    def mean_used(self, laid: PlanningInput, crates: Floats, book: Book) -> float:
        """Mean share used, over the crates that are sold at a market day; 0 if none are."""
        ways = laid.problem.ways
        at_market = np.append(~laid.problem.wants.second, False)[ways.want]
        used = np.flatnonzero((crates > 0.0) & at_market)
        if not used.size:
            return 0.0
        batch = ways.batch[used]
        number = self._projection.line_of
        begun = np.array([self._begun(laid.lines.ids[n], number) for n in batch.tolist()])
        sold_h = laid.problem.wants.start_h[ways.want[used]]
        evening_h = np.append(laid.evening_h, np.inf)
        plans, last_h = schedules(book, self._zone), float(sold_h.max())
        until_h = np.full(used.size, self._now_h)
        share = np.nan_to_num(begun)
        for stay in range(ways.stay_place.shape[1]):
            first, until = ways.stay_from[used, stay], ways.stay_until[used, stay]
            # Where a move is made between two evenings both places count as taken: the first does.
            to_h = np.minimum(evening_h[until], sold_h)
            from_h = np.maximum(np.where(first == 0, self._now_h, evening_h[first]), until_h)
            from_h = np.minimum(from_h, to_h)
            place, kind = ways.stay_place[used, stay], laid.lines.kind[batch]
            # What hands can move counts as a place, in which no fruit chills.
            there = (until > first) & (place < len(laid.lines.place_ids))
            until_h[there] = to_h[there]
            for pair in {(int(p), int(k)) for p, k in zip(place[there], kind[there], strict=True)}:
                own = there & (place == pair[0]) & (kind == pair[1])
                clock = self._clock(
                    plans[laid.lines.place_ids[pair[0]]], laid.lines.kinds[pair[1]], last_h
                )
                share[own] += clock.at(to_h[own]) - clock.at(from_h[own])
        return float(np.average(share, weights=crates[used]))

    def _begun(self, batch_id: str, number: Mapping[str, int]) -> float:
        line = number.get(batch_id)
        return 0.0 if line is None else float(self._projection.chilling_used[line])

    def _clock(self, schedule: Schedule, kind: CropKind, last_h: float) -> Clock:
        key = (schedule, kind, last_h)
        if key not in self._clocks:
            pulp = SettledPulp(schedule.air(), self._now_h, max(last_h, self._now_h + 1.0))
            rate = self._constants[kind].chilling.mid.use_per_day
            self._clocks[key] = pulp.clock(rate)
        return self._clocks[key]


@dataclass(frozen=True, slots=True)
class SetPointTrial:
    """What plans come to at some set points; figures as in
    :class:`~ripenroom.season.advice.advice.WorthCurve`."""

    value_minor: float
    sold_share: float
    chilling_used: float


class SetPointTrials:
    """Plans a season, as on a moment, with rooms set otherwise than today, to say what it gains."""

    def __init__(self, state: SeasonState) -> None:
        self._state = state = state.with_book(without_readings_ahead(state.book, state.now))
        self._laid = laid = paid_ground(state)
        problem, lines = laid.problem, laid.lines
        now_h = to_hours(state.now)
        begun = lines.stays.at(np.full((len(lines.ids), 1), now_h))[:, 0]
        here = lines.stays.place[np.arange(begun.size), begun]
        self.crates_in: Mapping[str, float] = {
            place_id: float(problem.crates[here == number].sum())
            for number, place_id in enumerate(lines.place_ids)
        }
        self.kinds = {lines.kinds[number] for number in lines.kind.tolist()}
        self._fruit = float(problem.crates @ problem.fruit_per_crate)
        self._today = schedules(state.book, state.zone)
        projector = Projector.of(state)
        outlook = projector.outlook(state.book, state.now)
        self._chilled = ChillingAtSale(
            projector.constants,
            projector.projection(outlook, state.now),
            state.now,
            state.zone,
        )

    @property
    def book(self) -> Book:
        """The records that are planned for: readings of later than now are left out."""
        return self._state.book

    @property
    def now(self) -> datetime:
        """The moment that advice is for."""
        return self._state.now

    @property
    def anything_to_plan(self) -> bool:
        """Whether there is fruit, and someone who takes any."""
        return self._fruit > 0.0 and bool(self._laid.problem.wants.fruit.any())

    def today_c(self, place_id: str) -> float:
        """What a place is set to now (C)."""
        return self._today[place_id].set_point_at(to_hours(self.now))

    def think_of(
        self,
        groups: Sequence[Mapping[str, Sequence[float]]],
        cancel: threading.Event | None = None,
        progress: Progress | None = None,
    ) -> None:
        """Settle which itineraries are looked at: places and settings (C) that will be tried.

        Worth thinking about is what is so with the first group at all its ends, and every other
        place at one of them. ``progress`` is told which share of this is done; once ``cancel`` is
        set :class:`~ripenroom.planning.choices.CalledOff` is raised.
        """
        first, *others = groups
        rest = {place_id: settings for group in others for place_id, settings in group.items()}
        anchors = []
        for number, ends in enumerate(product(*({s[0], s[-1]} for s in first.values()))):
            anchor = dict(zip(first, ends, strict=True))
            anchors.append(
                anchor | {key: settings[-(number % 2)] for key, settings in rest.items()}
            )
        today = {place_id: self.today_c(place_id) for group in groups for place_id in group}
        self._told = told(self._laid, worth(self._laid.problem).crates)
        self._ways = SharedItineraries(self._state, self._laid, today, anchors, cancel, progress)

    def at_each(self, cells: Sequence[Mapping[str, float]]) -> Iterator[SetPointTrial]:
        """What the best plan comes to with places held from now on as each of ``cells`` says."""
        first = None
        for set_points_c, problem in zip(cells, self._ways.at_each(cells), strict=True):
            tried = held_at(self.book, self.now, set_points_c)
            found = worth(problem, first)
            # Settings that follow one another use much the same itineraries.
            first = np.flatnonzero(found.crates)
            yield SetPointTrial(
                self._told * found.value_minor,
                found.sold_ready / self._fruit,
                self._chilled.mean_used(replace(self._laid, problem=problem), found.crates, tried),
            )
