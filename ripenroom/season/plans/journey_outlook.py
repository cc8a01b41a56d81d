"""What the science expects of batches on journeys that nobody has written down."""

import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

import numpy as np

from ripenroom.planning.choices import CalledOff
from ripenroom.planning.itineraries import Journeys, Look
from ripenroom.planning.prospects import Prospects
from ripenroom.records.book import Book
from ripenroom.records.market import MarketDay
from ripenroom.science.age_gain import LIVES
from ripenroom.science.blocks import joined
from ripenroom.science.clock import Indices
from ripenroom.science.eaten import when_eaten
from ripenroom.science.outlook import GateCase
from ripenroom.science.softening import Floats
from ripenroom.season.batch_columns import BatchColumns, BookOutlook
from ripenroom.season.buyers import all_days, kitchens_of
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.moments import column
from ripenroom.season.projector import Projector

_T = TypeVar("_T")

CELLS = 1_200_000
"""Sales of journeys that are looked at in one go, each of them a few numbers ..."""

_PER_STAY = 60
"""... and their stays, each of which takes up as much as so many of these: pulp that settles while
the air swings is followed step by step."""

_COURSES = 3
"""Openings of a gate that an outlook tells apart."""

SECOND_GRADE_H = 48.0
"""Hours for which fruit that is past still goes for second grade."""


@dataclass(frozen=True, slots=True)
class SaleTimes:
    """When fruit may be sold, in hours, one entry for each sale.

    Fruit is saleable if it was not past at ``past_h``, is picked and has no allowance used up at
    ``sold_h``, and is ready then or, sold at one of the market ``days``, once its buyers eat it.
    """

    sold_h: Floats
    past_h: Floats
    days: tuple[MarketDay, ...] = ()

    @classmethod
    def at_markets(cls, days: Sequence[MarketDay]) -> "SaleTimes":
        """At market days."""
        start_h = column(day.starts_at for day in days)
        return cls(start_h, start_h, tuple(days))

    @classmethod
    def eaten_at_once(cls, sold_h: Floats) -> "SaleTimes":
        """To whoever eats them there and then."""
        return cls(sold_h, sold_h)

    @classmethod
    def of_second_grade(cls, evening_h: Floats) -> "SaleTimes":
        """On evenings, for pulp or freezing."""
        return cls(evening_h, evening_h - SECOND_GRADE_H)

    def eaten_days(self, crops: Sequence[CropConstants]) -> Floats:
        """Within how many days each kind is eaten, (kinds, sales)."""
        if not self.days:
            return np.zeros((len(crops), self.sold_h.size))
        return all_days(self.days, crops)


class JourneyOutlook:
    """Looks at journeys of ``lines`` as on ``now``; several threads may look.

    Once ``cancel`` is set, each look raises :class:`~ripenroom.planning.choices.CalledOff`.
    """

    def __init__(
        self,
        projector: Projector,
        book: Book,
        now: datetime,
        lines: BatchColumns,
        cancel: threading.Event | None = None,
    ) -> None:
        self._cancel = cancel
        self._projector = projector
        self._book = book
        self._now = now
        # The stays so far are the same for all journeys of a batch.
        self._lines, self._histories = projector.with_histories(lines, book)
        self._lock = threading.Lock()
        gated = any(
            projector.constants[lines.kinds[kind]].gate.shut for kind in set(lines.kind.tolist())
        )
        self._courses = _COURSES if gated else 1

    def looking_at(self, sales: SaleTimes, rough: bool = False) -> Look:
        """Looks at journeys, at some sales; ``rough`` at a fraction of the cost, as if it were
        known when gates open and how long ripe fruit lasts."""
        crops = [self._projector.constants[kind] for kind in self._lines.kinds]
        lasts = np.array([np.isfinite(crop.ripe_life_days) for crop in crops], dtype=bool)

        def look(journeys: Journeys) -> Prospects:
            # Whether ripe lives count is the same for all that is looked at together.
            lives = LIVES if lasts[self._lines.kind[journeys.batch]].any() else 0
            if rough:
                lives = min(lives, 1)

            def of_block(outlook: BookOutlook) -> Prospects:
                parts = [outlook.as_estimated()] if rough else outlook.parts()
                courses = 1 if rough else self._courses
                return _prospects(outlook, sales, courses, lives, crops, parts, rough)

            return self._in_blocks(journeys, sales.sold_h.size, of_block, rough)

        return look

    def look_on(self) -> None:
        """From now on nothing calls a look off."""
        self._cancel = None

    def closes_h(self, journeys: Journeys) -> Floats:
        """When fruit on journeys is past (h); inf if never."""

        def of_block(outlook: BookOutlook) -> Floats:
            return outlook.past_h

        return self._in_blocks(journeys, 0, of_block)

    def _in_blocks(
        self,
        journeys: Journeys,
        sales: int,
        job: Callable[[BookOutlook], _T],
        rough: bool = False,
    ) -> _T:
        """``job`` for all journeys, so many in one go that memory stays in bounds."""
        along = self._along(journeys)
        cells = _PER_STAY * along.stays.counts() + sales
        answers = []
        for block in blocks_of(cells, CELLS):
            if self._cancel is not None and self._cancel.is_set():
                raise CalledOff
            lines = along.of(np.arange(block.start, block.stop))
            # The projector keeps what it made last, and threads would take it from each other.
            with self._lock:
                outlook = self._projector.outlook_along(
                    lines, self._book, self._now, self._histories, rough
                )
            answers.append(job(outlook))
        return joined(answers)

    def _along(self, journeys: Journeys) -> BatchColumns:
        """Batch columns of batches on their journeys, one for each."""
        lines, batch = self._lines, journeys.batch
        if journeys.first_h is not None and journeys.first_place is not None:
            lines = lines.moved(batch, journeys.first_h, journeys.first_place)
            batch = np.arange(batch.size)
        return lines.moved(batch, journeys.move_h, journeys.place)


def blocks_of(cells: Indices, most: int) -> Iterator[slice]:
    """Slices that together cover lines of so many ``cells``, in order: of one line, or of so many
    that as a rectangle, with as many cells in each line as in its longest, have ``most`` cells.

    Without any line, there is one empty slice.
    """
    first = 0
    while True:
        ahead = np.maximum.accumulate(cells[first : first + most])
        fit = ahead * np.arange(1, ahead.size + 1) <= most
        last = min(first + max(1, int(fit.sum())), cells.size)
        yield slice(first, last)
        if last >= cells.size:
            return
        first = last


def _prospects(
    outlook: BookOutlook,
    sales: SaleTimes,
    courses: int,
    lives: int,
    crops: Sequence[CropConstants],
    parts: Sequence[GateCase],
    rough: bool,
) -> Prospects:
    """Prospects of every line of an outlook at sales."""
    by_past, by_sale = _SortedHours(sales.past_h), _SortedHours(sales.sold_h)
    eaten_days, kitchens = sales.eaten_days(crops), kitchens_of(outlook.lines, crops)
    batches = outlook.batches
    shape = batches.picked_h.size, sales.sold_h.size, courses
    at_start, at_horizon, start_rate_sd, horizon_rate_sd = (np.zeros(shape) for _ in range(4))
    ripe_ago = np.full((*shape, lives), -np.inf)
    weight = np.zeros((shape[0], 1, courses))
    for course, part in enumerate(parts):
        own, start = part.lines, part.outlook.gained(by_past.hours).at_hours(by_past.back)
        at_start[own, :, course] = start.advance
        start_rate_sd[own, :, course] = start.rate_sd
        for life, ago in enumerate(start.ripe_ago):
            ripe_ago[own, :, course, life] = ago
        sold = start
        if sales.sold_h is not sales.past_h:
            sold = part.outlook.gained(by_sale.hours).at_hours(by_sale.back)
        eaten = when_eaten(part, sold, sales.sold_h, eaten_days, kitchens, rough)
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
        ready_sd=np.array([crop.ready_sd for crop in crops])[outlook.lines.kind][:, None],
        ripens_sd=np.array([crop.ripens_sd for crop in crops])[outlook.lines.kind][:, None],
        there=outlook.in_supply(sales.sold_h),
        at_start=at_start,
        at_horizon=at_horizon,
        start_rate_sd=start_rate_sd,
        horizon_rate_sd=horizon_rate_sd,
        ripe_ago=ripe_ago,
        weight=weight,
        bands=batches.ages,
    )


class _SortedHours:
    """``hours`` in increasing order; ``back`` indexes into them to give the order they came in."""

    def __init__(self, hours: Floats) -> None:
        order = np.argsort(hours, kind="stable")
        self.hours = hours[order]
        self.back = np.argsort(order, kind="stable")
