"""The queue that is only watched."""

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.season.projection import FruitState
from ripenroom.window.queue.page import QueueStrip
from ripenroom.window.session import Session


@pytest.fixture
def strip(qtbot: QtBot, session: Session) -> QueueStrip:
    made = QueueStrip(session)
    qtbot.addWidget(made)
    made.resize(800, 300)
    made.show()
    return made


def test_shows_what_is_still_good(strip: QueueStrip) -> None:
    strip.refresh()
    scene = strip.picture.scene
    assert scene is not None
    assert len(scene.order) > 0
    assert not (scene.projection.state[scene.order] == FruitState.PAST).any()


def test_a_projection_is_tried_and_taken_back(strip: QueueStrip, session: Session) -> None:
    strip.refresh()
    place_id = next(iter(session.season.book.places))
    tried = session.season.preview_set_point(place_id, 12.0)
    strip.setProjection(tried)
    scene = strip.picture.scene
    assert scene is not None
    assert scene.projection is tried
    assert scene.ghost is session.projection()
    strip.setProjection(None)
    scene = strip.picture.scene
    assert scene is not None
    assert scene.ghost is None


def test_a_trial_before_anything_was_shown_shows_the_season_first(
    strip: QueueStrip, session: Session
) -> None:
    strip.setProjection(None)
    assert strip.picture.scene is not None
    assert strip.picture.scene.projection is session.projection()
