"""Plans tried with other set points than today's."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from ripenroom.records.book import Book
from ripenroom.season.advice.chilled import Chilled
from ripenroom.season.advice.settings import held_at, without_readings_ahead
from ripenroom.season.advice.worth import Asking, worth
from ripenroom.season.moments import to_hours
from ripenroom.season.rooms import schedules


@dataclass(frozen=True, slots=True)
class Trial:
    """What plans come to at some set points; figures as in
    :class:`~ripenroom.season.advice.set_points.Curve`."""

    value_minor: float
    sold_share: float
    chilling_used: float


class Trials:
    """Of one season as on a moment: what is there to plan for, and what plans come to."""

    def __init__(self, asking: Asking, book: Book) -> None:
        self._asking = asking
        self.book = without_readings_ahead(book, asking.now)
        laid = asking.ground(self.book)
        problem, lines = laid.problem, laid.lines
        now_h = to_hours(asking.now)
        begun = lines.stays.at(np.full((len(lines.ids), 1), now_h))[:, 0]
        here = lines.stays.place[np.arange(begun.size), begun]
        self.crates_in: Mapping[str, float] = {
            place_id: float(problem.crates[here == number].sum())
            for number, place_id in enumerate(lines.place_ids)
        }
        self.crops = {lines.crop_keys[number] for number in lines.crop.tolist()}
        self._fruit = float(problem.crates @ problem.fruit_per_crate)
        self._today = schedules(self.book, asking.zone)
        projector = asking.projector()
        outlook = projector.outlook(self.book, asking.now)
        self._chilled = Chilled(
            projector.constants,
            projector.projection(outlook, asking.now),
            asking.now,
            asking.zone,
        )

    @property
    def now(self) -> datetime:
        """The moment that advice is for."""
        return self._asking.now

    @property
    def anything_to_plan(self) -> bool:
        """Whether there is fruit."""
        return self._fruit > 0.0

    def today_c(self, place_id: str) -> float:
        """What a place is set to now (C)."""
        return self._today[place_id].set_point_at(to_hours(self.now))

    def at(self, set_points_c: Mapping[str, float]) -> Trial:
        """What the best plan comes to with places held so from now on."""
        tried = held_at(self.book, self.now, set_points_c)
        laid = self._asking.ground(tried)
        found = worth(laid.problem)
        return Trial(
            found.value_minor,
            found.sold / self._fruit,
            self._chilled.mean_used(laid, found.crates, tried),
        )
