"""Between hours and pixels: which stretch of time the queue shows, and the days under it."""

from dataclasses import dataclass, replace
from datetime import date, timedelta, tzinfo
from functools import lru_cache
from typing import Final, TypeVar

import numpy as np
import numpy.typing as npt

from ripenroom.season.moments import day_starts, from_hours

NARROWEST_PX_PER_H: Final = 0.12
"""A whole year fits on a wide screen."""
WIDEST_PX_PER_H: Final = 24.0
"""Two days fill a screen; below that the forecast is not that sharp."""
_ROUNDING_PX: Final = 0.5

Hours = TypeVar("Hours", float, npt.NDArray[np.float64])


@dataclass(frozen=True, slots=True)
class TimeView:
    """Hours (since the epoch, UTC) from ``left_h`` on, over ``width_px`` pixels."""

    left_h: float
    px_per_h: float
    width_px: float

    @classmethod
    def showing(cls, first_h: float, last_h: float, width_px: float) -> "TimeView":
        """The view in which ``first_h`` to ``last_h`` fill the width, as far as zoom allows."""
        span_h = max(last_h - first_h, 1.0)
        scale = _within_limits(max(width_px, 1.0) / span_h)
        # Where the limits keep the stretch from filling the width, it stands in the middle.
        spare_h = max(width_px, 1.0) / scale - span_h
        return cls(first_h - spare_h / 2.0, scale, width_px)

    @property
    def right_h(self) -> float:
        """The hour at the right edge."""
        return self.left_h + self.width_px / self.px_per_h

    def x(self, hours: Hours) -> Hours:
        """Pixels from the left edge; ``nan`` stays ``nan``."""
        return (hours - self.left_h) * self.px_per_h

    def hour(self, x_px: float) -> float:
        """The hour at a pixel."""
        return self.left_h + x_px / self.px_per_h

    def zoomed(self, factor: float, about_x: float) -> "TimeView":
        """Hours ``factor`` times as wide, the hour under ``about_x`` staying where it is."""
        scale = _within_limits(self.px_per_h * factor)
        return replace(self, left_h=self.hour(about_x) - about_x / scale, px_per_h=scale)

    def panned(self, dx_px: float) -> "TimeView":
        """The view after its content was moved right by ``dx_px`` pixels."""
        return replace(self, left_h=self.left_h - dx_px / self.px_per_h)

    def resized(self, width_px: float) -> "TimeView":
        """The same hours at the left, over another width."""
        return replace(self, width_px=width_px)

    def kept_between(self, first_h: float, last_h: float) -> "TimeView":
        """The view moved, if need be, so that it never leaves ``first_h`` to ``last_h``."""
        span_h = self.width_px / self.px_per_h
        if span_h >= last_h - first_h:
            return replace(self, left_h=(first_h + last_h - span_h) / 2.0)
        return replace(self, left_h=min(max(self.left_h, first_h), last_h - span_h))

    def with_in_sight(self, hour: float, margin_px: float) -> "TimeView":
        """The view moved just far enough that ``hour`` is ``margin_px`` inside its edges."""
        x_px = self.x(hour)
        inside = min(max(x_px, margin_px), self.width_px - margin_px)
        return self.panned(inside - x_px)


@dataclass(frozen=True, slots=True)
class LineView:
    """Lines of ``line_px`` height seen through ``height_px``, scrolled down by ``top_px``.

    Where only some of them look different, ``only`` these are painted; None: all that can be seen.
    """

    top_px: float
    line_px: float
    height_px: float
    only: frozenset[int] | None = None

    def visible(self, lines: int) -> range:
        """Which of ``lines`` lines can be seen, partly seen ones included."""
        first = max(int(self.top_px // self.line_px), 0)
        last = int(-(-(self.top_px + self.height_px) // self.line_px))
        return range(min(first, lines), min(max(last, 0), lines))

    def painted(self, lines: int) -> list[int]:
        """Those of the visible that are to be painted."""
        return [n for n in self.visible(lines) if self.only is None or n in self.only]

    def y(self, line: int) -> float:
        """Pixels from the top edge to the top of a line."""
        return line * self.line_px - self.top_px

    def line_at(self, y_px: float, lines: int) -> int | None:
        """The line under a pixel, None below the last one."""
        line = int((y_px + self.top_px) // self.line_px)
        return line if 0 <= line < lines else None


def _within_limits(px_per_h: float) -> float:
    return min(max(px_per_h, NARROWEST_PX_PER_H), WIDEST_PX_PER_H)


@dataclass(frozen=True, slots=True)
class QueueDays:
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


def days_in(view: TimeView, zone: tzinfo) -> QueueDays:
    """Every local day of which some part is in sight, whole.

    A day of a clock change is 23 or 25 hours wide, as it is in life.
    """
    first = from_hours(view.left_h, zone).date()
    last = from_hours(view.right_h, zone).date()
    starts = _starts(first, (last - first).days + 2, zone)
    return QueueDays(first, view.x(starts))


def nearest_whole_day(view: TimeView, day: date, zone: tzinfo) -> date:
    """The day nearest to ``day`` of which all is in sight; where none is, that in the middle."""
    days = days_in(view, zone)
    left, right = days.edges_x[:-1], days.edges_x[1:]
    whole = np.flatnonzero((left >= -_ROUNDING_PX) & (right <= view.width_px + _ROUNDING_PX))
    if not whole.size:
        return day_of((view.left_h + view.right_h) / 2.0, zone)
    return min(max(day, days.day(int(whole[0]))), days.day(int(whole[-1])))


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
