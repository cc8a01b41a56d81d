"""Hours since the epoch, and days at home; weekly markets keep their hour across a clock change."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from ripenroom.records.refusal import Refusal
from ripenroom.season.moments import (
    MOST_WEEKS,
    at_local,
    column,
    day_starts,
    evening_of,
    evenings_between,
    from_hours,
    local_day,
    local_day_numbers,
    selling_ends,
    start_of_day,
    to_hours,
    weekly,
)

LISBON = ZoneInfo("Europe/Lisbon")
BERLIN = ZoneInfo("Europe/Berlin")
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


@pytest.mark.parametrize(
    ("begins", "ends"),
    [
        (time(8), datetime(2026, 10, 24, 18, tzinfo=LISBON)),
        (time(17, 59), datetime(2026, 10, 24, 18, tzinfo=LISBON)),
        (time(18), datetime(2026, 10, 25, tzinfo=LISBON)),
        (time(23), datetime(2026, 10, 25, tzinfo=LISBON)),
    ],
)
def test_a_market_is_over_in_the_evening_and_one_of_the_evening_at_midnight(
    begins: time, ends: datetime
) -> None:
    """18:00 at home, whatever the zone in which the moment is told (common practice)."""
    starts_at = at_local(date(2026, 10, 24), begins, LISBON)
    assert selling_ends(starts_at, LISBON) == ends


def test_days_around_a_clock_change() -> None:
    starts = day_starts(date(2026, 10, 24), 4, LISBON)
    assert np.diff(starts).tolist() == [24.0, 25.0, 24.0]
    assert np.diff(day_starts(date(2026, 3, 28), 3, LISBON)).tolist() == [24.0, 23.0]
    assert from_hours(float(starts[2]), LISBON) == start_of_day(date(2026, 10, 26), LISBON)


def test_a_day_is_that_of_the_place() -> None:
    late = datetime(2026, 9, 24, 20, 30, tzinfo=UTC)
    assert local_day(late, LISBON) == date(2026, 9, 24)
    assert local_day(late, NEPAL) == date(2026, 9, 25)


def test_evenings_lie_after_now_and_before_the_end() -> None:
    def evening(day: int) -> datetime:
        return evening_of(date(2026, 10, day), LISBON)

    assert evening(24).isoformat() == "2026-10-24T18:00:00+01:00"
    assert evening(25).isoformat() == "2026-10-25T18:00:00+00:00"
    noon, early = evening(24).replace(hour=12), evening(26).replace(hour=8)
    assert [*evenings_between(noon, early, LISBON)] == [evening(24), evening(25)]
    # Neither what is now nor what is the end is still to come.
    assert [*evenings_between(evening(24), evening(26), LISBON)] == [evening(25)]
    assert [*evenings_between(early, noon, LISBON)] == []


def test_every_seventh_day_up_to_the_last() -> None:
    days = weekly(date(2026, 10, 10), date(2026, 10, 31))
    assert days == [date(2026, 10, d) for d in (10, 17, 24, 31)]
    assert weekly(date(2026, 10, 10), date(2026, 10, 30)) == days[:3]
    assert weekly(date(2026, 10, 10), date(2026, 10, 10)) == days[:1]


@pytest.mark.parametrize(
    "until", [date(2026, 10, 9), date(2026, 10, 10) + timedelta(weeks=MOST_WEEKS)]
)
def test_a_slip_in_the_last_day_is_refused(until: date) -> None:
    with pytest.raises(Refusal) as refused:
        weekly(date(2026, 10, 10), until)
    assert refused.value.field == "until"


def test_eight_in_the_morning_stays_eight_when_summer_time_ends() -> None:
    summer, winter = (at_local(date(2026, 10, d), time(8), BERLIN) for d in (24, 31))
    assert summer == datetime(2026, 10, 24, 6, tzinfo=UTC)
    assert winter == datetime(2026, 10, 31, 7, tzinfo=UTC)
    assert winter - summer == timedelta(days=7, hours=1)


@pytest.mark.parametrize("zone", [LISBON, BERLIN, NEPAL])
def test_days_of_many_hours_are_those_of_each(zone: ZoneInfo) -> None:
    # Across the end of summer time, to the minute about every midnight.
    begin = to_hours(datetime(2026, 10, 23, 20, tzinfo=UTC))
    hours = np.append(begin + np.arange(0.0, 100.0, 1.0 / 60.0), [np.nan, np.inf])
    numbers = local_day_numbers(hours, zone)
    days = [from_hours(hour, zone).date().toordinal() for hour in hours[:-2].tolist()]
    assert numbers[:-2].tolist() == days
    assert np.isnan(numbers[-2:]).all()
    assert np.isnan(local_day_numbers(np.array([np.nan]), zone)).all()
