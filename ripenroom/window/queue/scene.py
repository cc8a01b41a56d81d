"""All that the queue shows, in one immutable snapshot; nothing in here is a widget."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import tzinfo

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.findings import Supply
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import Projection, differ
from ripenroom.window.queue.batch_order import Facts, Order
from ripenroom.window.queue.expected import Expected
from ripenroom.window.queue.queue_plan import QueueItinerary, QueuePlan
from ripenroom.window.queue.time_view import day_of, span_of


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
    expected: tuple[Expected, ...] = ()
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

    def expected_at(self, line: int) -> Expected | None:
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
