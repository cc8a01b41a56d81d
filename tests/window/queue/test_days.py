"""Days are as long as they are: 23 and 25 hours where the clock changes."""

from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from ripenroom.season.moments import day_starts
from ripenroom.window.queue.time_view import TimeView, day_of, days_in, span_of

NEW_YORK = ZoneInfo("America/New_York")


@pytest.mark.parametrize(
    ("day", "hours"),
    [(date(2026, 11, 1), 25.0), (date(2026, 3, 8), 23.0), (date(2026, 9, 24), 24.0)],
)
def test_width_of_a_day_follows_the_clock_change(day: date, hours: float) -> None:
    first_h, last_h = span_of(day, NEW_YORK)
    assert last_h - first_h == hours
    days = days_in(TimeView(first_h - 1.0, 4.0, 120.0), NEW_YORK)
    n = (day - days.first).days
    assert days.edges_x[n + 1] - days.edges_x[n] == pytest.approx(hours * 4.0)


def test_every_day_in_sight_is_there_whole() -> None:
    start = float(day_starts(date(2026, 9, 24), 1, NEW_YORK)[0])
    days = days_in(TimeView(start + 5.0, 2.0, 2.0 * 48.0), NEW_YORK)
    assert [days.day(n) for n in range(len(days))] == [
        date(2026, 9, 24),
        date(2026, 9, 25),
        date(2026, 9, 26),
    ]
    assert days.edges_x[0] == pytest.approx(-10.0)
    assert days.width_px == pytest.approx(48.0)


def test_an_hour_belongs_to_the_local_day() -> None:
    first_h, last_h = span_of(date(2026, 11, 1), NEW_YORK)
    assert day_of(first_h, NEW_YORK) == date(2026, 11, 1)
    assert day_of(last_h - 0.01, NEW_YORK) == date(2026, 11, 1)
    assert day_of(last_h, NEW_YORK) == date(2026, 11, 2)


def test_edges_never_go_back_over_a_year() -> None:
    start = float(day_starts(date(2026, 1, 1), 1, NEW_YORK)[0])
    days = days_in(TimeView(start, 0.12, 0.12 * 24 * 365), NEW_YORK)
    assert np.all(np.diff(days.edges_x) > 0)
