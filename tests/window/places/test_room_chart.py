"""The small chart of a place's thermometer, as it is drawn."""

from dataclasses import replace

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from ripenroom.season.room_report import RoomPicture
from ripenroom.window.places.room_chart import RoomChart
from ripenroom.window.session import Session

HOURS = 497_000.0 + np.arange(48.0)
PICTURE = RoomPicture(HOURS, np.full(48, 7.0), np.full(48, 9.0), np.full(48, 5.0))


@pytest.fixture
def chart(qtbot: QtBot, session: Session) -> RoomChart:
    made = RoomChart(session.words)
    qtbot.addWidget(made)
    made.resize(400, made.sizeHint().height())
    made.show()
    return made


def drawn(chart: RoomChart, picture: RoomPicture, session: Session) -> np.ndarray:
    """How dark each pixel is, without what stands on the left and below."""
    chart.show_picture(picture, session.words)
    image = chart.grab().toImage().convertToFormat(chart.grab().toImage().Format.Format_Grayscale8)
    pixels = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1)
    return pixels[:, : image.width()].astype(int)


def test_the_band_stands_where_it_was_read(chart: RoomChart, session: Session) -> None:
    whole = drawn(chart, PICTURE, session)
    gap = np.where(np.arange(48) < 24, np.nan, 7.0)
    half = drawn(chart, replace(PICTURE, low_c=gap, high_c=gap + 2.0), session)
    left, right = slice(120, 200), slice(300, 380)
    middle = slice(10, 30)
    assert np.abs(whole[middle, right] - half[middle, right]).mean() < 2.0
    assert half[middle, left].mean() > whole[middle, left].mean() + 10.0


def test_it_says_the_same_in_words(chart: RoomChart, session: Session) -> None:
    chart.show_picture(PICTURE, session.words)
    told = chart.accessibleDescription()
    assert "7.0 °C" in told
    assert "9.0 °C" in told
    assert "5.0 °C" in told


def test_nothing_read_is_nothing_drawn(chart: RoomChart, session: Session) -> None:
    chart.show_picture(None, session.words)
    assert not chart.isVisible()


def test_a_steady_place_and_a_single_hour_are_drawn(chart: RoomChart, session: Session) -> None:
    still = RoomPicture(HOURS[:1], np.array([5.0]), np.array([5.0]), np.array([5.0]))
    assert drawn(chart, still, session).min() < 200
