"""What was learned, in words."""

from dataclasses import replace

import pytest

from ripenroom.season.date_shifts import DateShift, NextDate, ShiftedDate
from ripenroom.season.learned import Estimate, LearnedRate
from ripenroom.season.state import zone_of
from ripenroom.window.session import Session
from ripenroom.wording.checks import evidence_words, pace_words, pull_words, taught_words
from ripenroom.wording.formats import Formats
from tests.season.farm import season_record


@pytest.fixture
def words() -> Formats:
    season = season_record()
    return Formats("en", season, zone_of(season))


@pytest.fixture
def rate(session: Session) -> LearnedRate:
    learned = session.season.learn().rates[0]
    return replace(learned, factor=Estimate(1.1, 1.3, 1.5), checks=6, batches=5, taught_by=())


def test_pace_and_what_it_rests_on(rate: LearnedRate, words: Formats) -> None:
    assert pace_words(rate, words) == "1.30 times as fast as usual (1.10 to 1.50)"
    near = replace(rate, factor=Estimate(0.9, 1.01, 1.12))
    assert pace_words(near, words) == "about as fast as usual (0.90 to 1.12 times)"
    assert evidence_words(rate) == "from 6 checks of 5 batches"
    assert evidence_words(replace(rate, checks=1, batches=1)) == "from 1 check"
    told = replace(rate, checks=0, batches=0, taught_by=("2024", "2025"))
    assert evidence_words(told) == "no check of its own yet, started from 2024, 2025"


def dates(before_h: float, after_h: float, ahead: NextDate = NextDate.OPENS) -> DateShift:
    return DateShift(
        ShiftedDate(ahead, before_h - 48.0, before_h, before_h + 48.0),
        ShiftedDate(ahead, after_h - 24.0, after_h, after_h + 24.0),
    )


@pytest.mark.parametrize(
    ("taught", "told"),
    [
        (dates(480.0, 432.0), "It opens 2.0 days earlier than without checks; known to ±1.0 days"),
        (dates(480.0, 504.0), "It opens 1.0 days later than without checks"),
        (dates(480.0, 481.0, NextDate.CLOSES), "It closes on the same day as without checks"),
    ],
)
def test_a_date_against_the_book(taught: DateShift, told: str, words: Formats) -> None:
    assert taught_words(taught, words).startswith(told)
    assert taught_words(taught, words).endswith("(without checks ±2.0).")


def test_checks_that_changed_nothing_are_told_as_that(words: Formats) -> None:
    taught = dates(480.0, 481.0, NextDate.CLOSES)
    taught = replace(taught, after=replace(taught.after, low_h=433.0, high_h=529.0))
    assert taught_words(taught, words) == (
        "The checks changed nothing: it closes as without them, known to ±2.0 days."
    )


@pytest.mark.parametrize(
    ("pull", "counted", "told"),
    [
        (dates(480.0, 432.0), True, "without it: opens 2.0 days later"),
        (dates(480.0, 432.0), False, "with it: opens 2.0 days earlier"),
        (dates(480.0, 504.0), True, "without it: opens 1.0 days earlier"),
        (dates(480.0, 504.0, NextDate.CLOSES), False, "with it: closes 1.0 days later"),
        (dates(480.0, 480.5), True, "without it: same date"),
    ],
)
def test_what_one_check_changes(pull: DateShift, counted: bool, told: str, words: Formats) -> None:
    assert pull_words(pull, counted, words) == told
