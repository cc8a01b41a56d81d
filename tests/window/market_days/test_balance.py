"""Wanted against ready: verdict, words, bar."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from ripenroom.season.findings import Supply
from ripenroom.window.inks import LIGHT
from ripenroom.window.market_days.balance import (
    Verdict,
    paint_balance,
    supply_words,
    verdict,
    verdict_words,
)
from ripenroom.window.wording import Wording


def supply(wanted: int, low: float, ready: float, high: float) -> Supply:
    return Supply("day", "pawpaw", wanted, ready, low, high)


@pytest.fixture
def words(words_in: Callable[[str], Wording]) -> Wording:
    return words_in("en_US")


@pytest.mark.parametrize(
    ("found", "expected", "said"),
    [
        (supply(60, 10, 20, 42), Verdict.SHORT, "18–50 short"),
        (supply(60, 48, 64, 90), Verdict.TIGHT, "up to 12 short"),
        (supply(60, 60, 64, 90), Verdict.ENOUGH, "enough"),
        (supply(60, 80, 100, 120), Verdict.SPARE, "20–60 to spare"),
        (supply(0, 0, 0, 0), Verdict.ENOUGH, "enough"),
    ],
)
def test_verdicts(words: Wording, found: Supply, expected: Verdict, said: str) -> None:
    assert verdict(found) is expected
    assert verdict_words(found, words) == said


def test_both_sides_with_the_range(words: Wording) -> None:
    assert supply_words(supply(60, 50.2, 71.8, 90.4), words) == "wants 60 · ready 72 (50–90)"


def test_the_bar_reads_without_colour(qtbot: QtBot) -> None:
    shown = QImage(200, 20, QImage.Format.Format_RGB32)
    shown.fill(LIGHT.paper)
    painter = QPainter(shown)
    paint_balance(painter, QRectF(0, 0, 200, 20), supply(150, 40, 70, 100), 200.0, LIGHT)
    painter.end()

    def grey(count: int, y: int = 9) -> int:
        return shown.pixelColor(count, y).lightness()

    sure, maybe, nothing = grey(20), grey(85), grey(120)
    assert sure < maybe - 60 < nothing - 60
    assert grey(70) < maybe - 60  # the best estimate is a mark in the light part
    assert grey(150, 1) < 100  # the stake stands above the bar
    assert grey(150, 18) < 100  # and below
    assert grey(100, 1) > 200
