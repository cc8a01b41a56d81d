"""What a check is for, in words, for every kind of design."""

from dataclasses import replace

import pytest

from ripenroom.records.check import Check
from ripenroom.season.advice.advice import CheckDesign, DateKind
from ripenroom.season.state import zone_of
from ripenroom.wording.checks import check_words, design_words
from ripenroom.wording.formats import Formats
from tests.season.farm import NOW, season_record

DESIGN = CheckDesign("b", DateKind.OPENS, (3.0, 2.0, 1.5, 1.2, 1.0, 0.9, 0.85), 5)


@pytest.fixture
def words() -> Formats:
    return wording()


def wording(**facts: object) -> Formats:
    season = season_record(**facts)
    return Formats("en", season, zone_of(season))


@pytest.mark.parametrize(
    ("design", "squeezed", "told"),
    [
        (
            DESIGN,
            0,
            "With 5 fruit you know the day it gets ready, give or take 0.9 days. Now it is give or "
            "take 3.0",
        ),
        (
            DESIGN,
            2,
            "With 5 fruit you know the day it gets ready, give or take 0.9 days. With the 2 "
            "you have it is give or take 1.5 days.",
        ),
        (DESIGN, 5, "5 fruit are enough: you know the day it gets ready, give or take 0.9 days."),
        (DESIGN, 40, "40 fruit are enough: you know the day it gets ready, give or take 0.8 days."),
        (
            replace(DESIGN, date=DateKind.CLOSES),
            0,
            "you know the day it is past, give or take 0.9 days",
        ),
        (
            replace(DESIGN, enough=None),
            0,
            "adds little: you know the day it gets ready, give or take 3.0 days",
        ),
        (None, 3, "no date of this batch any more"),
    ],
)
def test_how_many_to_squeeze(
    words: Formats, design: CheckDesign | None, squeezed: int, told: str
) -> None:
    assert told in design_words(design, squeezed, words)


@pytest.mark.parametrize("known", [None, "well"])
def test_what_the_plan_asks_for_is_not_said_to_add_little(known: str | None) -> None:
    """Today asks for it: the check that it opens says the same."""
    design = None if known is None else replace(DESIGN, enough=None)
    assert "take 8 fruit" in design_words(design, 0, wording(), asked=8)
    assert "take 8 fruit" in design_words(design, 7, wording(), asked=8)
    assert design_words(design, 8, wording(), asked=8) == "8 fruit are enough for the plan."


def test_warmth_is_told_in_the_seasons_unit() -> None:
    warm = replace(DESIGN, date=DateKind.READY_IF_WARM)
    assert "the day it would be ready at 20 °C" in design_words(warm, 0, wording())
    assert "the day it would be ready at 68 °F" in design_words(warm, 0, wording(units="us"))


def test_what_was_found(words: Formats) -> None:
    check = Check(id="c", batch_id="b", at=NOW, feel_counts=(0, 3, 5, 0, 0))
    assert check_words(check, None, words) == "3 slight give, 5 gives"
    gauged = replace(check, feel_counts=None, readings=(2.0, 3.0), reading_unit="kgf")
    assert check_words(gauged, None, words) == "2 readings, 2.5 kgf on average"
    assert check_words(replace(gauged, readings=(2.0,)), None, words) == "1 reading, 2.0 kgf"
