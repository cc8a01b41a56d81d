"""What the science expects of batches on journeys that nobody has written down."""

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from ripenroom.planning.itineraries import Journeys, Look
from ripenroom.planning.prospects import Prospects
from ripenroom.records.book import Book
from ripenroom.records.market import MarketDay
from ripenroom.science.softening import Floats
from ripenroom.season.buyers import all_days, when_eaten
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.lines import Lines
from ripenroom.season.moments import column
from ripenroom.season.outlook import Outlook
from ripenroom.season.projector import Projector

_COURSES = 3
"""Openings of a gate that an outlook tells apart."""

SECOND_GRADE_H = 48.0
"""Hours for which fruit that is past still goes for second grade."""


@dataclass(frozen=True, slots=True)
class Sales:
    """When fruit may be sold, in hours, one entry for each sale.

    Fruit is saleable if it was not past at ``past_h``, is picked and has no allowance used up at
    ``sold_h``, and is ready then or, sold at one of the market ``days``, once its buyers eat it.
    """

    sold_h: Floats
    past_h: Floats
    days: tuple[MarketDay, ...] = ()

    @classmethod
    def at_markets(cls, days: Sequence[MarketDay]) -> "Sales":
        """At market days."""
        start_h = column(day.starts_at for day in days)
        return cls(start_h, start_h, tuple(days))

    @classmethod
    def eaten_at_once(cls, sold_h: Floats) -> "Sales":
        """To whoever eats them there and then."""
        return cls(sold_h, sold_h)

    @classmethod
    def of_second_grade(cls, evening_h: Floats) -> "Sales":
        """On evenings, for pulp or freezing."""
        return cls(evening_h, evening_h - SECOND_GRADE_H)

    def eaten_days(self, crops: Sequence[CropConstants]) -> Floats:
        """Within how many days each kind is eaten, (kinds, sales)."""
        if not self.days:
            return np.zeros((len(crops), self.sold_h.size))
        return all_days(self.days, crops)


class Foresight:
    """Looks at journeys of ``lines`` as on ``now``; several threads may look."""

    def __init__(self, projector: Projector, book: Book, now: datetime, lines: Lines) -> None:
        self._projector = projector
        self._book = book
        self._now = now
        self._lines = lines
        self._lock = threading.Lock()
        gated = any(
            projector.constants[lines.kinds[kind]].gate.shut for kind in set(lines.kind.tolist())
        )
        self._courses = _COURSES if gated else 1

    def looking_at(self, sales: Sales) -> Look:
        """Looks at journeys, at some sales."""
        crops = [self._projector.constants[kind] for kind in self._lines.kinds]

        def look(journeys: Journeys) -> Prospects:
            return _prospects(self._outlook(journeys), sales, self._courses, crops)

        return look

    def closes_h(self, journeys: Journeys) -> Floats:
        """When fruit on journeys is past (h); inf if never."""
        closes_h = self._outlook(journeys).eat_by.closes.mid
        return np.where(np.isnan(closes_h), np.inf, closes_h)

    def _outlook(self, journeys: Journeys) -> Outlook:
        lines, batch = self._lines, journeys.batch
        if journeys.first_h is not None and journeys.first_place is not None:
            lines = lines.moved(batch, journeys.first_h, journeys.first_place)
            batch = np.arange(batch.size)
        moved = lines.moved(batch, journeys.move_h, journeys.place)
        with self._lock:
            return self._projector.outlook_along(moved, self._book, self._now)


def _prospects(
    outlook: Outlook, sales: Sales, courses: int, crops: Sequence[CropConstants]
) -> Prospects:
    """Prospects of every line of an outlook at sales."""
    by_past, by_sale = _In(sales.past_h), _In(sales.sold_h)
    eaten_days = sales.eaten_days(crops)
    batches = outlook.batches
    shape = batches.picked_h.size, sales.sold_h.size, courses
    lives = len(outlook.gaining.ripe_life.clocks) if outlook.gaining.ripe_life.known else 0
    at_start, at_horizon, start_rate_sd, horizon_rate_sd = (np.zeros(shape) for _ in range(4))
    ripe_ago = np.zeros((*shape, lives))
    weight = np.zeros((shape[0], 1, courses))
    for course, part in enumerate(outlook.parts()):
        own, start = part.lines, part.outlook.gained(by_past.hours).at_hours(by_past.back)
        at_start[own, :, course] = start.advance
        start_rate_sd[own, :, course] = start.rate_sd
        for life, ago in enumerate(start.ripe_ago):
            ripe_ago[own, :, course, life] = ago
        sold = start
        if sales.sold_h is not sales.past_h:
            sold = part.outlook.gained(by_sale.hours).at_hours(by_sale.back)
        eaten = when_eaten(part, sold, sales.sold_h, eaten_days, crops)
        at_horizon[own, :, course] = eaten.advance
        horizon_rate_sd[own, :, course] = eaten.rate_sd
        weight[own, :, course] = part.weight
    return Prospects(
        mean_age=batches.mean_age[:, None],
        doubt_sd=batches.doubt_sd[:, None],
        fruit_sd=batches.fruit_sd[:, None],
        ready_age=batches.ready_age[:, None],
        too_soft_age=batches.too_soft_age[:, None],
        ripens=batches.ripens[:, None],
        there=outlook.in_supply(sales.sold_h),
        at_start=at_start,
        at_horizon=at_horizon,
        start_rate_sd=start_rate_sd,
        horizon_rate_sd=horizon_rate_sd,
        ripe_ago=ripe_ago,
        weight=weight,
        bands=batches.ages,
    )


class _In:
    """Hours in increasing order, and how to get back from it."""

    def __init__(self, hours: Floats) -> None:
        order = np.argsort(hours, kind="stable")
        self.hours = hours[order]
        self.back = np.argsort(order, kind="stable")
