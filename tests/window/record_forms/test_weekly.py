"""Weekly markets keep their hour across a clock change."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from ripenroom.records.refusal import Refusal
from ripenroom.window.record_forms.weekly import MOST_WEEKS, at_local, weekly

BERLIN = ZoneInfo("Europe/Berlin")


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
