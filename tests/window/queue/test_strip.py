"""The queue that is only watched."""

import pytest
from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QImage, QPaintEvent
from PySide6.QtWidgets import QApplication, QWidget
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


class _Painted(QObject):
    """How many pixels of a widget were painted, event by event."""

    def __init__(self, widget: QWidget) -> None:
        super().__init__(widget)
        self.pixels: list[int] = []
        widget.installEventFilter(self)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's own name
        if isinstance(event, QPaintEvent):
            rects = list(event.region())  # type: ignore[call-overload]
            self.pixels.append(sum(rect.width() * rect.height() for rect in rects))
        return False


def test_under_a_hand_that_moves_only_lines_that_change_are_painted(
    strip: QueueStrip, session: Session, qapp: QApplication
) -> None:
    strip.refresh()
    season, picture = session.season, strip.picture
    trials = [
        season.preview_set_point(place_id, season.set_point_c(place_id) + warmer_k)
        for place_id in season.book.places
        for warmer_k in (1.0, 4.0)
    ]

    def shown() -> QImage:
        qapp.processEvents()
        return picture.screen().grabWindow(strip.winId()).toImage()

    strip.setProjection(trials[0])
    shown()
    viewport = picture.viewport()
    spy = _Painted(viewport)
    looks, parts = [], []
    for tried in trials[1:]:
        spy.pixels.clear()
        strip.setProjection(tried)
        in_part = shown()
        parts.append(sum(spy.pixels))
        viewport.update()
        assert shown() == in_part
        looks.append(in_part)
    assert 0 < max(parts) < viewport.width() * viewport.height() / 2
    assert looks[0] != looks[1]
