"""Dates and times as typed."""

from zoneinfo import ZoneInfo

import pytest

from ripenroom.cli.arguments import parse_moment
from ripenroom.records.refusal import Refusal

LISBON = ZoneInfo("Europe/Lisbon")


@pytest.mark.parametrize(
    ("typed", "moment"),
    [
        ("2026-09-14", "2026-09-14T00:00:00+01:00"),
        ("20260914", "2026-09-14T00:00:00+01:00"),
        ("2026-12-14T08:30", "2026-12-14T08:30:00+00:00"),
        ("2026-09-14 08:30:15", "2026-09-14T08:30:15+01:00"),
        ("2026-09-14T08:30Z", "2026-09-14T08:30:00+00:00"),
        ("2026-09-14T08:30-04:00", "2026-09-14T08:30:00-04:00"),
    ],
)
def test_without_an_offset_it_is_home_time(typed: str, moment: str) -> None:
    assert parse_moment(typed, LISBON, "--at").isoformat() == moment


def test_a_date_alone_can_be_its_noon() -> None:
    noon = parse_moment("2026-09-14", LISBON, "--at", at_noon=True)
    assert noon.isoformat() == "2026-09-14T12:00:00+01:00"
    whole = parse_moment("2026-09-14T00:00", LISBON, "--at", at_noon=True)
    assert whole.isoformat() == "2026-09-14T00:00:00+01:00"


@pytest.mark.parametrize(
    "typed", ["", "soon", "2026-09-31", "31/12/2026", "1969-12-31", "2201-01-01"]
)
def test_anything_else_is_refused_by_its_option(typed: str) -> None:
    with pytest.raises(Refusal) as caught:
        parse_moment(typed, LISBON, "--at")
    assert caught.value.field == "--at"
