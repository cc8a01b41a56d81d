"""The days under the queue: where each begins and what is written on it."""

from dataclasses import dataclass
from datetime import date, timedelta, tzinfo
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from ripenroom.season.moments import day_starts, from_hours
from ripenroom.window.queue.geometry import TimeView


@dataclass(frozen=True, slots=True)
class Days:
    """Local days in sight; day ``n`` reaches from ``edges_x[n]`` to ``edges_x[n + 1]`` (pixels)."""

    first: date
    edges_x: npt.NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.edges_x) - 1

    def day(self, n: int) -> date:
        """The date of day ``n``."""
        return self.first + timedelta(days=n)

    @property
    def width_px(self) -> float:
        """The width of an ordinary day."""
        return float(np.median(np.diff(self.edges_x)))


def days_in(view: TimeView, zone: tzinfo) -> Days:
    """Every local day of which some part is in sight, whole.

    A day of a clock change is 23 or 25 hours wide, as it is in life.
    """
    first = from_hours(view.left_h, zone).date()
    last = from_hours(view.right_h, zone).date()
    starts = _starts(first, (last - first).days + 2, zone)
    return Days(first, view.x(starts))


def day_of(hour: float, zone: tzinfo) -> date:
    """The local day in which an hour lies."""
    return from_hours(hour, zone).date()


def span_of(day: date, zone: tzinfo) -> tuple[float, float]:
    """The hours at which a local day begins and ends."""
    start, end = _starts(day, 2, zone)
    return float(start), float(end)


@lru_cache(maxsize=256)
def _starts(first: date, days: int, zone: tzinfo) -> npt.NDArray[np.float64]:
    starts = day_starts(first, days, zone)
    starts.flags.writeable = False
    return starts
