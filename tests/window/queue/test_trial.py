"""A decision that is tried: how it is drawn and said."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.records.market import Pin
from ripenroom.season.moments import to_hours
from ripenroom.window.queue.queue_plan import ItineraryEnd
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.trial import DecisionTrial, chosen_in, trial_scene, trial_words
from ripenroom.wording.formats import Formats
from tests.window.queue.conftest import NOW, line, pulled_line

MakePlanned = Callable[..., Scene]
LATER = (NOW + timedelta(days=3)).replace(hour=18)


@pytest.fixture
def scene(make_planned: MakePlanned) -> Scene:
    return make_planned(
        2, pulled_line("batch-0", 1, crates=3), line("batch-0", market_day_id="day-9")
    )


@pytest.fixture
def trial(scene: Scene) -> DecisionTrial:
    way = scene.ways_of(0)[0]
    was = Pin(
        id="pin",
        batch_id="batch-0",
        crates=3,
        pull_at=way.line.pull_at,
        place_id="shelf",
        market_day_id="day-2",
    )
    pin = replace(was, pull_at=LATER, market_day_id="day-9")
    return DecisionTrial(0, way, was, pin, "costs 14.20 USD", by_key=True)


def test_the_tried_way_stands_in_place_of_the_planned_one(
    scene: Scene, trial: DecisionTrial
) -> None:
    tried = trial_scene(scene, trial)
    first, second = tried.ways_of(0)
    assert second is scene.ways_of(0)[1]
    assert first is chosen_in(tried, trial)
    assert first.pull_h == first.waits[1][0] == to_hours(LATER)
    assert first.waits[1][1] == "Cell."
    assert first.ends_h == next(b.starts_h for b in scene.bands if b.market_day_id == "day-9")
    assert scene.ways_of(0)[0] is trial.way  # the scene itself is as it was


def test_what_is_as_planned_is_drawn_as_planned(scene: Scene, trial: DecisionTrial) -> None:
    same = replace(trial, pin=trial.was)
    assert trial_scene(scene, same) is scene
    assert chosen_in(scene, same) is trial.way


def test_crates_that_are_kept_back_have_no_market(scene: Scene, trial: DecisionTrial) -> None:
    back = replace(trial.was, pull_at=None, place_id=None, market_day_id=None)
    tried = trial_scene(scene, replace(trial, pin=back))
    assert tried.ways_of(0)[0].fate is ItineraryEnd.LEFT
    assert len(tried.ways_of(0)[0].waits) == 1


def test_a_trial_says_what_is_tried_and_what_it_costs(
    scene: Scene, trial: DecisionTrial, words: Formats
) -> None:
    assert [one.replace("\u202f", " ") for one in trial_words(scene, trial, words)] == [
        "3 crates: moved Sun Sep 27, 6:00 PM to Cellar shelf",
        "Harvest fair, Sat Oct 3",
        "costs 14.20 USD",
        "Enter pins it, Esc leaves it",
    ]
    by_mouse = replace(trial, by_key=False, pin=trial.was)
    assert trial_words(scene, by_mouse, words)[-1] == "as planned"
    back = replace(trial.was, pull_at=None, place_id=None, market_day_id=None)
    assert trial_words(scene, replace(trial, pin=back), words)[0] == "3 crates: not moved"
