"""Hours since the epoch, and days at home."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from ripenroom.season.moments import column, day_starts, from_hours, start_of_day, to_hours

LISBON = ZoneInfo("Europe/Lisbon")
NEPAL = ZoneInfo("Asia/Kathmandu")


def test_hours_and_back() -> None:
    for zone in (UTC, LISBON, NEPAL):
        moment = datetime(2026, 10, 25, 1, 30, 7, tzinfo=zone)
        assert from_hours(to_hours(moment), zone) == moment
    assert to_hours(datetime(1970, 1, 2, 1, tzinfo=UTC)) == 25.0


def test_the_hour_that_comes_twice_is_two_hours() -> None:
    first = datetime(2026, 10, 25, 1, 30, tzinfo=LISBON)
    second = first.replace(fold=1)
    assert to_hours(second) - to_hours(first) == 1.0
    assert from_hours(to_hours(second), LISBON).isoformat() == "2026-10-25T01:30:00+00:00"


def test_a_naive_moment_is_a_slip() -> None:
    with pytest.raises(ValueError, match="time zone"):
        to_hours(datetime(2026, 9, 14))  # noqa: DTZ001


def test_a_column_is_each_moment() -> None:
    moments = [datetime(2026, 9, n, 7, 15, tzinfo=LISBON) for n in (1, 9)]
    assert column(moments) == pytest.approx([to_hours(m) for m in moments], abs=1e-9)
    assert column([]).shape == (0,)


def test_days_around_a_clock_change() -> None:
    starts = day_starts(date(2026, 10, 24), 4, LISBON)
    assert np.diff(starts).tolist() == [24.0, 25.0, 24.0]
    assert np.diff(day_starts(date(2026, 3, 28), 3, LISBON)).tolist() == [24.0, 23.0]
    assert from_hours(float(starts[2]), LISBON) == start_of_day(date(2026, 10, 26), LISBON)
