"""Months over the days."""

from datetime import date
from itertools import pairwise
from zoneinfo import ZoneInfo

from ripenroom.season.moments import day_starts
from ripenroom.window.queue.paint_background import month_spans
from ripenroom.window.queue.time_view import TimeView, days_in

ZONE = ZoneInfo("Europe/Berlin")


def test_months_share_the_days_out() -> None:
    start = float(day_starts(date(2026, 9, 25), 1, ZONE)[0])
    days = days_in(TimeView(start, 1.0, 24.0 * 40), ZONE)
    spans = month_spans(days)
    assert [days.day(first).month for first, _ in spans] == [9, 10, 11]
    assert [days.day(first).day for first, _ in spans] == [25, 1, 1]
    assert spans[0][0] == 0
    assert spans[-1][1] == len(days)
    assert all(end == start for (_, end), (start, _) in pairwise(spans))
