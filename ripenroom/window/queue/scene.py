"""All that the queue shows, in one immutable snapshot, and how it is made of a season.

Nothing in here is a widget.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, tzinfo
from typing import TYPE_CHECKING

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import Projection, Supply, differ
from ripenroom.window.queue.batch_order import Facts, Filter, Order, SortBy, arrange, facts_of
from ripenroom.window.queue.queue_plan import QueueItinerary, QueuePlan, planned_of
from ripenroom.window.queue.time_view import day_of, span_of
from ripenroom.window.session import Session
from ripenroom.wording.names import crop_name

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import Plan


@dataclass(frozen=True, slots=True)
class ExpectedPickLine:
    """One expected pick: how many fruit of what, from which hour on (noon of its day) and where."""

    pick_id: str
    on: date
    crop_key: str
    crop: str
    cultivar: str
    place: str
    count: int
    picked_h: float


def expected_of(
    book: Book, today: date, crops: Mapping[str, CropProfile], keep: Filter, zone: tzinfo
) -> tuple[ExpectedPickLine, ...]:
    """Expected picks from today on that the filter lets through, the next first."""
    found = []
    for pick in sorted(book.expected_picks.values(), key=lambda one: (one.on, one.crop, one.id)):
        cultivar = book.cultivars.get(pick.cultivar_id or "")
        crop = crop_name(crops, pick.crop)
        place = book.places[pick.place_id].name if pick.place_id in book.places else ""
        if pick.on < today or (keep.crop or crop) != crop or (keep.place or place) != place:
            continue
        if pick.nothing_more:
            continue
        first_h, last_h = span_of(pick.on, zone)
        found.append(
            ExpectedPickLine(
                pick_id=pick.id,
                on=pick.on,
                crop_key=pick.crop,
                crop=crop,
                cultivar=cultivar.name if cultivar else "",
                place=place,
                count=pick.count,
                picked_h=(first_h + last_h) / 2.0,
            )
        )
    return tuple(found)


@dataclass(frozen=True, slots=True)
class MarketBand:
    """One market day across the queue: the hours of its local day, and what it wants and gets."""

    market_day_id: str
    name: str
    starts_h: float
    first_h: float
    last_h: float
    supplies: tuple[Supply, ...]
    tried: bool = False
    """Only what is wanted holds; what will be ready depends on a set point being tried."""


@dataclass(frozen=True, slots=True)
class Scene:
    """Lines in order, market days by time, and the moment that is now."""

    projection: Projection
    facts: Facts
    order: Order
    bands: tuple[MarketBand, ...]
    zone: tzinfo
    crops: Mapping[str, CropProfile]
    ghost: Projection | None = None
    """What the lines were before the set point that is being tried."""
    planned: QueuePlan | None = None
    """What is planned; None while there is no plan."""
    expected: tuple[ExpectedPickLine, ...] = ()
    """Picks that are expected, below all batches."""

    @property
    def now_h(self) -> float:
        """The moment that the snapshot describes as now."""
        return self.projection.at_h

    @property
    def rows(self) -> int:
        """How many lines are shown: batches, and below them expected picks."""
        return len(self.order) + len(self.expected)

    def line_at(self, row: int) -> int:
        """The line shown in a row; those from ``len(projection.batch_ids)`` on are expected."""
        if row < len(self.order):
            return int(self.order[row])
        return len(self.facts.batch_ids) + row - len(self.order)

    def row_of(self, line: int) -> int | None:
        """The row in which a line is shown, None if it is not."""
        beyond = line - len(self.facts.batch_ids)
        if beyond >= 0:
            return len(self.order) + beyond if beyond < len(self.expected) else None
        found = (self.order == line).nonzero()[0]
        return int(found[0]) if found.size else None

    def expected_at(self, line: int) -> ExpectedPickLine | None:
        """The expected pick of a line, None if it is a batch."""
        beyond = line - len(self.facts.batch_ids)
        return self.expected[beyond] if 0 <= beyond < len(self.expected) else None

    def ways_of(self, line: int) -> tuple[QueueItinerary, ...]:
        """How the crates of a line are planned to go; nothing while there is no plan."""
        if self.planned is None:
            return ()
        pick = self.expected_at(line)
        if pick is not None:
            return self.planned.expected_ways.get(pick.pick_id, ())
        return self.planned.ways.get(self.facts.batch_ids[line], ())

    def trying(self, projection: Projection) -> "Scene":
        """This scene under a set point that is only tried.

        Lines keep their places, so that the eye can follow one while the set point moves. What
        will be ready on market days is not worked out for a trial, so it is not shown either; nor
        is the plan.
        """
        bands = tuple(replace(band, tried=True) for band in self.bands)
        return replace(
            self, projection=projection, bands=bands, ghost=self.projection, planned=None
        )

    def rows_unlike(self, other: "Scene", rows: Sequence[int]) -> list[int] | None:
        """Which of ``rows`` look different in another scene; None where more than lines does."""
        same = self.projection.at_h == other.projection.at_h and all(
            getattr(self, one) is getattr(other, one)
            for one in ("facts", "order", "crops", "ghost", "planned")
        )
        mine, its = ((one.bands, one.zone, one.expected) for one in (self, other))
        if not same or mine != its:
            return None
        batches = [row for row in rows if row < len(self.order)]
        unlike = differ(self.projection, other.projection, self.order[batches])
        return [row for row, differs in zip(batches, unlike.tolist(), strict=True) if differs]

    def span_h(self) -> tuple[float, float]:
        """The hours from the first to the last thing that there is to see, with room around."""
        last = self.projection.closes_h.high[self.order]
        first = self.facts.picked_h[self.order]
        hours = [self.now_h - 48.0, self.now_h + 14 * 24.0]
        hours += [float(np.nanmin(first)), float(np.nanmax(first))] if first.size else []
        hours += [float(np.nanmax(last))] if np.isfinite(last).any() else []
        hours += [hour for band in self.bands for hour in (band.first_h, band.last_h)]
        hours += [pick.picked_h for pick in self.expected]
        return min(hours) - 24.0, max(hours) + 72.0


def bands_of(book: Book, supplies: Sequence[Supply], zone: tzinfo) -> tuple[MarketBand, ...]:
    """The market days of a book, earliest first."""
    bands = []
    for day in sorted(book.market_days.values(), key=lambda day: (day.starts_at, day.name)):
        starts_h = to_hours(day.starts_at)
        first_h, last_h = span_of(day_of(starts_h, zone), zone)
        of_day = tuple(supply for supply in supplies if supply.market_day_id == day.id)
        bands.append(MarketBand(day.id, day.name, starts_h, first_h, last_h, of_day))
    return tuple(bands)


class SceneMaker:
    """Scenes of one session's season."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._facts: Facts | None = None
        self._facts_of: tuple[Book, float] | None = None
        self._planned: QueuePlan | None = None
        self._planned_of: tuple[Plan, Book] | None = None

    def scene(self, sort_by: SortBy, keep: Filter) -> Scene:
        """The season as it is now."""
        season = self._session.season
        projection = season.projection()
        read_at = (season.book, projection.at_h)
        if self._facts is None or self._facts_of != read_at:
            self._facts = facts_of(season.book, projection.batch_ids, season.now(), season.crops)
            self._facts_of = read_at
        plan = self._session.plans.plan
        if plan is None:
            self._planned = None
        elif self._planned_of is None or any(
            mine is not now for mine, now in zip(self._planned_of, (plan, season.book), strict=True)
        ):
            self._planned = planned_of(plan, season.book, season.ask.buyers_days)
            self._planned_of = plan, season.book
        return Scene(
            projection=projection,
            facts=self._facts,
            order=arrange(projection, self._facts, sort_by, keep),
            bands=bands_of(season.book, season.supply(), season.zone),
            zone=season.zone,
            crops=season.crops,
            planned=self._planned,
            expected=expected_of(season.book, season.now().date(), season.crops, keep, season.zone),
        )
