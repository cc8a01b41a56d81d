"""One checker for every record: what it takes, how it refuses, and how far off dates may be."""

import math
from dataclasses import fields, replace
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any, cast, get_args

import pytest

from ripenroom.days import full_day
from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import Record
from ripenroom.records.entry import CheckEntry, PickEntry
from ripenroom.records.market import ExpectedPick, MarketDay
from ripenroom.records.orchard import Row
from ripenroom.records.place import Place, SetPointChange
from ripenroom.records.refusal import Refusal
from ripenroom.records.refusal_words import bare, expected, hints_of, limit_of
from ripenroom.records.season import SeasonDetails
from ripenroom.records.validation import (
    REACH_AFTER,
    REACH_BEFORE,
    checked,
    plain,
    record_from,
    require_within_reach,
)
from tests.season.farm import season_record

AT = datetime(2026, 9, 14, 6, 30, tzinfo=UTC)
PLACE = Place(id="p", name="Walk-in", kind="cold room", half_cooling_h=6.5)
SET = SetPointChange(id="s", place_id="p", at=AT, set_point_c=3.0)
BATCH = Batch(id="b", code="P-0914-1", crop="pawpaw", picked_at=AT, count=20)
GAUGED = replace(BATCH, readings=(20.0, 21.5), reading_unit="N", probe_mm=8.0)
SEASON = SeasonDetails(
    id="x",
    name="2026",
    zone="Europe/Lisbon",
    first_day=date(2026, 8, 1),
    units="metric",
    currency="EUR",
)


def refused(record: Any) -> Refusal:
    with pytest.raises(Refusal) as caught:
        checked(record)
    return caught.value


def test_every_field_of_every_record_says_what_it_may_hold() -> None:
    for kind in (*get_args(Record), PickEntry, CheckEntry):
        for name, hint in hints_of(kind).items():
            if hint is str or hint is int or hint is float or hint is bytes:
                pytest.fail(f"{kind.__name__}.{name} may hold anything")
            # How near a day lies to its season is the business of reach.
            if bare(hint) not in (date, bool, frozenset[str]):
                assert limit_of(hint) or "one of" in expected(hint) or "a list" in expected(hint)


@pytest.mark.parametrize(
    "record", [PLACE, SET, BATCH, GAUGED, SEASON], ids=lambda r: type(r).__name__
)
def test_what_can_be_stays_as_it_is(record: Any) -> None:
    assert checked(record) == record
    assert record_from(type(record), plain(record)) == record


def test_values_take_their_usual_form() -> None:
    place = checked(replace(PLACE, half_cooling_h=6))
    assert isinstance(place.half_cooling_h, float)
    there = timezone(timedelta(hours=-5))
    move = checked(replace(SET, at=datetime(2026, 9, 14, 1, 30, 0, 999_999, tzinfo=there)))
    assert move.at == AT
    assert move.at.utcoffset() == timedelta(0)


@pytest.mark.parametrize(
    ("record", "field", "words"),
    [
        (
            replace(PLACE, half_cooling_h=0.0),
            "half_cooling_h",
            "is 0 h; it must be from 0.1 to 96 h",
        ),
        (replace(PLACE, half_cooling_h=math.nan), "half_cooling_h", "is nan h"),
        (replace(PLACE, half_cooling_h=10**400), "half_cooling_h", "is inf h"),
        (
            replace(PLACE, half_cooling_h=cast(Any, "8")),
            "half_cooling_h",
            "is '8', but must be a number from",
        ),
        (
            replace(PLACE, kind=cast(Any, "silo")),
            "kind",
            "'silo', but must be one of cold room, cool shelf",
        ),
        (replace(PLACE, name="  "), "name", "Give the place a name"),
        (replace(PLACE, name="x" * 201), "name", "has 201 characters; 200 is the most"),
        (replace(PLACE, name="a\nb"), "name", "one line"),
        (replace(PLACE, name="a\u202eb"), "name", "one line"),
        (replace(PLACE, capacity_crates=True), "capacity_crates", "whole number"),
        (replace(SET, set_point_c=80.0), "set_point_c", "80 °C (176 °F)"),
        (replace(SET, at=datetime(2026, 9, 14)), "at", "no time zone"),  # noqa: DTZ001
        (
            replace(SET, at=datetime.min.replace(tzinfo=timezone(timedelta(hours=3)))),
            "at",
            "not a day",
        ),
        (replace(BATCH, count=0), "count", "0 fruit: type a whole number from 1 to"),
        (replace(BATCH, count=None), "count", "How much was picked"),
        (replace(BATCH, feel_counts=(9, 9, 9, 0, 0)), "feel_counts", "add up to 27"),
        (replace(BATCH, feel_counts=(0, 0, 0, 0, 0)), "feel_counts", "All feels are 0"),
        (replace(BATCH, feel_counts=(1, -2, 0, 0, 0)), "feel_counts", "-2 fruit of one feel"),
        (replace(BATCH, note="half \ud83c of a peach"), "note", "cannot be saved"),
        (replace(BATCH, note="a\0b"), "note", "cannot be saved"),
        (replace(BATCH, id="../b"), "id", "must be a text"),
        (replace(BATCH, id=".b"), "id", "must be a text"),
        (replace(GAUGED, readings=(20.0, 0.0)), "readings", "A reading of 0 is not possible"),
        (replace(GAUGED, readings=(1.0,) * 1001), "readings", "1001 gauge readings; 1000"),
        (replace(GAUGED, reading_unit=None), "reading_unit", "in which unit"),
        (replace(GAUGED, feel_counts=(1, 0, 0, 0, 0)), "readings", "not both"),
        (replace(SEASON, zone="Mars/Olympus"), "zone", "no time zone “Mars/Olympus”"),
        (replace(SEASON, first_day=date(1969, 12, 31)), "first_day", "year 1969"),
        (replace(SEASON, currency="euro"), "currency", "three letters"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(record: Any, field: str, words: str) -> None:
    refusal = refused(record)
    assert refusal.field == field
    assert words in refusal.message
    assert len(refusal.message) < 400


def test_a_field_that_is_missing_is_named() -> None:
    with pytest.raises(Refusal) as caught:
        record_from(Row, {"id": "r"})
    assert caught.value.field == "name"


def test_what_a_field_asks_for_is_said_in_words() -> None:
    hints = hints_of(Batch)
    assert expected(hints["count"]) == "a whole number from 1 to 100,000, or nothing"
    assert expected(hints["note"]) == "a text of at most 10,000 characters"
    assert expected(hints["readings"]).startswith("a list of at most 1,000, each a number above 0")
    assert expected(hints["feel_counts"]).startswith("a list of 5, each a whole number from 0")
    assert expected(hints_of(MarketDay)["kind"]).startswith("one of market, festival")
    for kind in get_args(Record):
        for field in fields(kind):
            assert expected(hints_of(kind)[field.name])


@pytest.mark.parametrize("value", [1e308, -1e308])
def test_what_is_beyond_all_figures_is_told_in_a_figure(value: float) -> None:
    with pytest.raises(Refusal) as refused:
        checked(replace(SET, set_point_c=value))
    assert "°F" in refused.value.message
    assert "inf" not in refused.value.message


DETAILS = season_record()
FIRST = datetime.combine(DETAILS.first_day, datetime.min.time(), tzinfo=UTC)
MOVE = Move(id="m", batch_id="b", at=FIRST, place_id="p")
PICK = ExpectedPick(id="e", crop="pawpaw", on=DETAILS.first_day, count=3, place_id="p")
DAY = timedelta(days=1)


@pytest.mark.parametrize("days", [-REACH_BEFORE, timedelta(0), REACH_AFTER])
def test_near_dates_are_taken(days: timedelta) -> None:
    near = (replace(MOVE, at=FIRST + days), replace(PICK, on=DETAILS.first_day + days))
    require_within_reach(DETAILS, near)


@pytest.mark.parametrize("days", [-REACH_BEFORE - DAY, REACH_AFTER + DAY])
def test_far_dates_are_refused_at_their_field(days: timedelta) -> None:
    for record, field in (
        (replace(MOVE, at=FIRST + days), "at"),
        (replace(PICK, on=DETAILS.first_day + days), "on"),
    ):
        with pytest.raises(Refusal, match="too far from the season’s first day") as refused:
            require_within_reach(DETAILS, [record])
        assert refused.value.field == field
        assert full_day(DETAILS.first_day + days) in refused.value.message


def test_a_practice_clock_that_stands_far_off_is_refused() -> None:
    season = season_record(practice_now=FIRST + 2 * REACH_AFTER)
    with pytest.raises(Refusal):
        require_within_reach(season, [season])
