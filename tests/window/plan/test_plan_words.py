"""Plans in sentences."""

from dataclasses import replace
from datetime import timedelta

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.crop.crop_names import fruit_noun
from ripenroom.season.plans.delays import Delay
from ripenroom.season.plans.plan import PlannedItinerary
from ripenroom.window.session import Session
from ripenroom.wording.plan.itineraries import (
    by_words,
    crates_words,
    day_words,
    fruit_of,
    if_left_words,
    market_words,
    share_words,
    what_words,
)
from tests.window.planned import planned, todays_move


@pytest.fixture
def line(qtbot: QtBot, session: Session) -> PlannedItinerary:
    planned(qtbot, session)
    return todays_move(session)


def test_one_crate_is_not_many() -> None:
    assert crates_words(1) == "1 crate"
    assert crates_words(3) == "3 crates"


def test_days_are_told_as_people_do(session: Session) -> None:
    now = session.season.now()
    assert day_words(now, session) == "today"
    assert day_words(now + timedelta(days=1), session) == "tomorrow"
    assert day_words(now + timedelta(days=2), session) == "Sat 3 Oct"
    evening = now.replace(hour=18, minute=0)
    assert by_words(evening, session).startswith("by ")
    assert by_words(evening + timedelta(days=1), session).startswith("tomorrow by ")


def test_crop_feel_and_count_come_before_the_code(session: Session, line: PlannedItinerary) -> None:
    book = session.season.book
    batch = book.batches[line.batch_id]
    felt = session.season.ask.last_felt(batch.id)
    assert felt is not None
    fruit = session.words.number(line.fruit)
    noun = fruit_noun(session.season.crops[batch.crop], line.fruit)
    crates = crates_words(line.crates)
    assert what_words(line, session) == f"{fruit} {noun}, {felt}: {crates} of {batch.code}"
    half = replace(line, crates=2, fruit=2.0 * line.fruit)
    assert what_words(half, session, 1).startswith(f"{fruit} {noun}")


def test_the_share_is_that_of_its_market_day(session: Session, line: PlannedItinerary) -> None:
    said = share_words(line, session)
    assert market_words(line.market_day_id, session) in said
    assert session.words.share(line.expected_ready_share) in said
    assert share_words(replace(line, market_day_id=None), session) == ""


@pytest.mark.parametrize(
    ("left", "expected"),
    [
        (Delay(0.41, 0.2), "if left here 20 %"),
        (Delay(None, 0.2), "if left here 20 %"),
        (Delay(0.78, 0.2), "if left here 20 %"),
        (Delay(0.78, 0.78), "as good here, but the room is needed"),
        (None, ""),
    ],
)
def test_what_is_lost_by_waiting(
    session: Session, line: PlannedItinerary, left: Delay | None, expected: str
) -> None:
    assert if_left_words(replace(line, expected_ready_share=0.78), left, session) == expected


def test_what_is_gone_has_no_name(session: Session, line: PlannedItinerary) -> None:
    assert market_words("no such day", session) == ""
    assert fruit_of(replace(line, batch_id="no such batch"), session) == ""


def test_expected_picks_are_told_by_their_day(session: Session, line: PlannedItinerary) -> None:
    pick = next(iter(session.season.book.expected_picks.values()))
    told = fruit_of(replace(line, batch_id="", expected_pick_id=pick.id), session)
    assert told == f"the pick expected {session.words.day(pick.on)}"
