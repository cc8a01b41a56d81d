"""What a room report says."""

from dataclasses import replace

import pytest

from ripenroom.season.room_report import RoomReport, Spell
from ripenroom.window.session import Session
from ripenroom.wording.formats import Formats
from ripenroom.wording.places import report_words, short_report_words


@pytest.fixture
def report(session: Session) -> RoomReport:
    place_id = next(iter(session.season.book.temperature_logs.values())).place_id
    found = session.season.room_report(place_id)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("times", "said"),
    [
        (1.41, "Ages avocado 1.4 times as fast as its thermostat says."),
        (0.82, "Ages avocado 0.82 times as fast as its thermostat says."),
        (1.02, "Ages avocado as fast as its thermostat says."),
    ],
)
def test_ageing(session: Session, report: RoomReport, times: float, said: str) -> None:
    told = replace(report, ageing={"avocado": times})
    assert report_words(told, session.season, session.words).startswith(said)
    assert short_report_words(told, session.season, session.words).startswith(said)


def test_a_place_as_steady_as_its_dial_says_no_more(session: Session, report: RoomReport) -> None:
    calm = replace(report, above_h=0.0, below_h=0.2, warmest=None, gaps=(), ageing={})
    words = report_words(calm, session.season, session.words)
    assert words.startswith("Read ")
    assert words.count(".") - words.count("°") <= 4
    assert "too" not in words
    assert "without readings" not in words


def test_cold_warm_and_gaps_are_told(session: Session, report: RoomReport) -> None:
    start = report.starts_h
    told = replace(
        report,
        above_h=30.0,
        below_h=4.0,
        warmest=Spell(start, start + 9.0, 14.2),
        gaps=((start, start + 3.0), (start + 9.0, start + 23.0)),
    )
    said = report_words(told, session.season, session.words)
    assert "Too warm by more than 2 °C for 30 h." in said
    assert "The longest time: 9 h from " in said
    assert "Too cold by more than 2 °C for 4 h." in said
    assert "There are 2 gaps without readings, the longest of 14 h" in said


def test_in_fahrenheit(session: Session, report: RoomReport) -> None:
    season = replace(session.season.book.season, units="us")
    words = Formats("en_US", season, session.season.zone)
    assert "Too warm by more than 3.6 °F" in report_words(report, session.season, words)
