"""Months over the days."""

from datetime import date
from itertools import pairwise
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QRectF

from ripenroom.season.moments import day_starts
from ripenroom.window.queue.paint_background import month_names, month_spans
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


LETTER_PX = 7.0
FROM_X, WIDE_PX = 300.0, 700.0


def written(
    starts: date, px_per_h: float, now: tuple[float, float] | None = None
) -> list[tuple[float, str]]:
    """Months as they are named over as many days as there is room for; ``now`` is the left edge of
    its label, and its width."""
    start = float(day_starts(starts, 1, ZONE)[0])
    days = days_in(TimeView(start, px_per_h, WIDE_PX), ZONE)
    box = QRectF() if now is None else QRectF(now[0], 0.0, now[1], 20.0)
    return month_names(
        days, (FROM_X, FROM_X + WIDE_PX), box, lambda text: LETTER_PX * len(text), named
    )


def named(day: date, full: bool) -> str:
    """As a locale might."""
    return day.strftime("%B %Y" if full else "%b")


def test_a_month_is_named_in_full_where_there_is_room() -> None:
    assert [name for _, name in written(date(2026, 11, 4), 1.0)] == ["November 2026", "Dec"]


def test_now_covers_no_month() -> None:
    """Its label stands within the first month's name, and leaves room on its right."""
    at = FROM_X + 50.0
    assert written(date(2026, 12, 1), 1.0, (at, 80.0)) == [(at + 80.0 + 4.0, "December 2026")]
    # Room on the left for the short name alone, none on the right.
    at = FROM_X + WIDE_PX - 80.0
    names = [name for _, name in written(date(2026, 11, 7), 1.0, (at, 80.0))]
    assert names == ["November 2026", "Dec"]
    # No room at all.
    assert [name for _, name in written(date(2026, 11, 4), 1.0, (at, 80.0))] == ["November 2026"]


@given(
    starts=st.dates(date(2026, 1, 1), date(2027, 12, 31)),
    px_per_h=st.floats(0.12, 24.0),
    now=st.none() | st.tuples(st.floats(FROM_X - 1, FROM_X + WIDE_PX - 80), st.just(80.0)),
)
def test_no_name_is_cut_or_covered(
    starts: date, px_per_h: float, now: tuple[float, float] | None
) -> None:
    names = written(starts, px_per_h, now)
    start = float(day_starts(starts, 1, ZONE)[0])
    days = days_in(TimeView(start, px_per_h, WIDE_PX), ZONE)
    edges = FROM_X + days.edges_x
    ends = [(float(edges[first]), float(edges[last])) for first, last in month_spans(days)]
    for x, name in names:
        right = x + LETTER_PX * len(name)
        assert x >= FROM_X
        assert right <= FROM_X + WIDE_PX
        assert any(left <= x and right <= end for left, end in ends)
        if now is not None:
            assert right <= now[0] or x >= now[0] + now[1]
    for (x, name), (after, _) in pairwise(names):
        assert x + LETTER_PX * len(name) < after
    if now is None and px_per_h * 24 >= LETTER_PX * len("December 2026") + 16:
        assert names  # a day with room for a name has one
