"""The plan of a line in words."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from ripenroom.season.plans.plan import PlannedItinerary
from ripenroom.window.queue.plan_words import line_plan_words
from ripenroom.window.queue.scene import Scene
from ripenroom.wording.formats import Formats
from ripenroom.wording.plan.itineraries import crates_words
from tests.window.queue.conftest import line, pulled_line

MakePlanned = Callable[..., Scene]


@pytest.mark.parametrize(
    ("planned", "said"),
    [
        (
            pulled_line("batch-0", 1, crates=3),
            "3 crates for Village market, Sat Sep 26: to Cellar shelf Fri Sep 25, 6:00 PM; "
            "78% ready then.",
        ),
        (
            line("batch-0"),
            "1 crate for Village market, Sat Sep 26: stays: Cold room; 78% ready then.",
        ),
        (
            line("batch-0", pin_id="pin"),
            "1 crate for Village market, Sat Sep 26: stays: Cold room; 78% ready then; pinned.",
        ),
        (
            line("batch-0", pin_id="pin", packed=True),
            "1 crate for Village market, Sat Sep 26: stays: Cold room; 78% ready then; packed.",
        ),
        (
            line("batch-0", crates=2, market_day_id=None),
            "2 crates for no market day: stays: Cold room.",
        ),
        (
            line("batch-0", market_day_id=None, pin_id="pin"),
            "1 crate kept back: stays: Cold room; pinned.",
        ),
        (
            line("batch-0", market_day_id=None, to_place_id=None),
            "1 crate to clear away: from Cold room, its room is needed.",
        ),
        (
            replace(pulled_line("batch-0", 1, second_grade=True), steps=(), market_day_id=None),
            "1 crate to second grade Fri Sep 25: from Cold room.",
        ),
    ],
)
def test_a_line_says_all_that_is_drawn(
    make_planned: MakePlanned, words: Formats, planned: PlannedItinerary, said: str
) -> None:
    told = line_plan_words(make_planned(1, planned), 0, words)
    assert told.replace("\u202f", " ") == said


def test_a_batch_that_is_split_says_each_part(make_planned: MakePlanned, words: Formats) -> None:
    scene = make_planned(1, line("batch-0", market_day_id="day-9"), pulled_line("batch-0", 1))
    first, second = line_plan_words(scene, 0, words).splitlines()
    assert "Village market" in first
    assert "Harvest fair" in second


def test_without_a_plan_nothing_is_said(make_planned: MakePlanned, words: Formats) -> None:
    assert line_plan_words(replace(make_planned(1), planned=None), 0, words) == ""
    assert line_plan_words(make_planned(1), 0, words) == ""


def test_one_crate_is_one() -> None:
    assert [crates_words(n) for n in (1, 2)] == ["1 crate", "2 crates"]
