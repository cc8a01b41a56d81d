"""A line in words: every forecast with its range."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.plans.plan import PlannedItinerary
from ripenroom.season.projection import EndCause
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.words import (
    line_and_plan,
    line_plan_words,
    line_words,
    on_day,
)
from ripenroom.wording.batch_forecast import batch_forecast
from ripenroom.wording.batch_states_and_ends import end_cause_name
from ripenroom.wording.formats import Formats
from ripenroom.wording.plan.itineraries import crates_words
from tests.window.queue.conftest import line, pulled_line

MakeScene = Callable[..., Scene]


def test_a_line_in_one_sentence(make_scene: MakeScene, words: Formats) -> None:
    scene = make_scene([(1.0, 5.0)], spread_days=1.0)
    assert line_words(scene, 0, words) == (
        "20 pawpaws, P-0921-1, Cold room: may be ready now, probably from Fri Sep 25 "
        "(Sep 24–26), best Sun Sep 27, too soft after Tue Sep 29 (Sep 28–30); "
        "on the best day 80% are ready at once (70–90%); 2 won't ripen"
    )


def test_what_is_behind_us_is_told_as_such(make_scene: MakeScene, words: Formats) -> None:
    said = line_words(make_scene([(-6.0, -3.0)]), 0, words)
    assert "ready since Fri Sep 18" in said
    assert "too soft since Mon Sep 21" in said


def test_uneven_fruit_says_so(make_scene: MakeScene, words: Formats) -> None:
    scene = make_scene([(1.0, 5.0)])
    uneven = replace(scene, projection=replace(scene.projection, uneven=np.array([True])))
    assert line_words(uneven, 0, words).endswith("never half of it ready at once")


def test_fruit_that_never_opens(make_scene: MakeScene, words: Formats) -> None:
    scene = make_scene([(float("nan"), float("nan"))])
    assert "won't ripen" in line_words(scene, 0, words)
    assert "nan" not in line_words(scene, 0, words)


def test_fruit_that_the_cold_ends_first(make_scene: MakeScene, words: Formats) -> None:
    scene = make_scene([(float("nan"), 5.0)], spread_days=1.0)
    cold = replace(scene.projection, end_cause=np.array([EndCause.CHILLING], dtype=np.int8))
    scene = replace(scene, projection=cold)
    assert line_words(scene, 0, words).endswith(
        "not ready in time: spoiled by the cold after Tue Sep 29 (Sep 28–30); move it somewhere "
        "warmer"
    )
    assert on_day(scene, 0, date(2026, 9, 27), words).endswith("not ready yet")
    assert on_day(scene, 0, date(2026, 9, 29), words).endswith("not ready, or already past")
    assert on_day(scene, 0, date(2026, 10, 1), words).endswith("past")


def test_fruit_whose_range_has_begun_may_be_ready(make_scene: MakeScene, words: Formats) -> None:
    """Half of it is ready tomorrow at best knowledge, but from last night to Saturday as sure."""
    scene = make_scene([(1.0, 5.0)], spread_days=1.5)
    assert ": may be ready now, probably from Fri Sep 25 (Sep 23–26), best" in line_words(
        scene, 0, words
    )
    assert on_day(scene, 0, date(2026, 9, 24), words) == "Thu Sep 24: may be ready"
    later = make_scene([(2.0, 5.0)], spread_days=1.5)
    assert "may be ready" not in line_words(later, 0, words)


def test_nothing_left(make_scene: MakeScene, words: Formats) -> None:
    said = line_words(make_scene([(1.0, 5.0)], left=[0.0]), 0, words)
    assert said.endswith("none of it is left here")


@pytest.mark.parametrize("cause", list(EndCause))
def test_every_end_has_a_name(make_scene: MakeScene, words: Formats, cause: EndCause) -> None:
    scene = make_scene([(1.0, 5.0)])
    ended = replace(
        scene, projection=replace(scene.projection, end_cause=np.array([cause], dtype=np.int8))
    )
    assert f"{end_cause_name(cause)} after Tue Sep 29 (Sep 28–29)" in line_words(ended, 0, words)


@pytest.mark.parametrize(
    ("day", "state"),
    [
        (date(2026, 9, 20), "not picked yet"),
        (date(2026, 9, 24), "not ready yet"),
        (date(2026, 9, 25), "may be ready"),
        (date(2026, 9, 27), "ready"),
        (date(2026, 9, 29), "ready, or just past"),
        (date(2026, 10, 1), "past"),
    ],
)
def test_what_it_is_on_a_day(make_scene: MakeScene, words: Formats, day: date, state: str) -> None:
    scene = make_scene([(1.0, 5.0)], spread_days=0.5)
    assert on_day(scene, 0, day, words) == f"{words.day(day)}: {state}"


def test_fruit_that_ends_before_its_cold_is_done_is_told_the_way_out(
    make_scene: MakeScene, words: Formats
) -> None:
    scene = make_scene([(float("nan"), 5.0)])
    gate = shipped_profiles()["anjou"].gate
    assert gate is not None
    gate = replace(gate, ethylene_days=None)
    scene = replace(
        scene,
        facts=replace(scene.facts, gates=(gate,)),
        projection=replace(scene.projection, gate_opens_h=np.full(1, np.inf)),
    )
    said = batch_forecast(scene.projection, 0, scene.facts.gates[0], words)
    assert said.startswith("not ready in time: ")
    assert said.endswith("; needs cold first: move it to a cold room")
    assert "warmer" not in said


def test_the_plan_comes_between_the_forecast_and_the_day(
    make_planned: MakeScene, words: Formats
) -> None:
    scene = make_planned(1, line("batch-0", crates=2))
    said = line_and_plan(scene, 0, date(2026, 9, 26), words).splitlines()
    assert said[0].startswith("20 pawpaws, P-0921-1")
    assert said[1].startswith("2 crates for Village market, Sat Sep 26: stays: Cold room")
    assert said[2] == "Village market, Sat Sep 26: ready."
    unplanned = line_and_plan(replace(scene, planned=None), 0, None, words)
    assert unplanned == f"{line_words(scene, 0, words)}."


MakePlanned = Callable[..., Scene]


@pytest.mark.parametrize(
    ("planned", "said"),
    [
        (
            pulled_line("batch-0", 1, crates=3),
            "3 crates for Village market, Sat Sep 26: to Cellar shelf Fri Sep 25, 6:00 PM; "
            "78% good to sell, as these buyers eat it within 3 days.",
        ),
        (
            line("batch-0"),
            "1 crate for Village market, Sat Sep 26: stays: Cold room; 78% good to sell, "
            "as these buyers eat it within 3 days.",
        ),
        (
            line("batch-0", pin_id="pin"),
            "1 crate for Village market, Sat Sep 26: stays: Cold room; 78% good to sell, "
            "as these buyers eat it within 3 days; pinned.",
        ),
        (
            line("batch-0", pin_id="pin", packed=True),
            "1 crate for Village market, Sat Sep 26: stays: Cold room; 78% good to sell, "
            "as these buyers eat it within 3 days; packed.",
        ),
        (
            line("batch-0", market_day_id="day-9"),
            "1 crate for Harvest fair, Sat Oct 3: stays: Cold room; 78% good to sell, "
            "as these buyers eat it the same day.",
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
            "1 crate to second grade Fri Sep 25: until then in Cold room.",
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
