"""Plans tried with other set points than today's."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import product

import numpy as np

from ripenroom.records.book import Book
from ripenroom.season.advice.chilled import ChillingAtSale
from ripenroom.season.advice.common_ways import CommonWays
from ripenroom.season.advice.settings import held_at, without_readings_ahead
from ripenroom.season.advice.worth import paid_ground, told, worth
from ripenroom.season.moments import to_hours
from ripenroom.season.projector import Projector
from ripenroom.season.rooms import schedules
from ripenroom.season.state import SeasonState


@dataclass(frozen=True, slots=True)
class Trial:
    """What plans come to at some set points; figures as in
    :class:`~ripenroom.season.advice.advice.Curve`."""

    value_minor: float
    sold_share: float
    chilling_used: float


class Trials:
    """Of one season as on a moment: what is there to plan for, and what plans come to."""

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

    def think_of(self, groups: Sequence[Mapping[str, Sequence[float]]]) -> None:
        """Settle which itineraries are looked at: places and settings (C) that will be tried.

        Worth thinking about is what is so with the first group at all its ends, and every other
        place at one of them.
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
        self._ways = CommonWays(self._state, self._laid, today, anchors)

    def at(self, set_points_c: Mapping[str, float]) -> Trial:
        """What the best plan comes to with places held so from now on."""
        tried = held_at(self.book, self.now, set_points_c)
        problem = self._ways.at(set_points_c)
        found = worth(problem)
        return Trial(
            self._told * found.value_minor,
            found.sold_ready / self._fruit,
            self._chilled.mean_used(replace(self._laid, problem=problem), found.crates, tried),
        )
