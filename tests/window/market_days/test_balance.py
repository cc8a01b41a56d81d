"""Wanted against ready: verdict, words, bar."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from ripenroom.season.plans.plan import LikelyFruit, PlannedMarket, Risk
from ripenroom.season.projection import Supply, Verdict
from ripenroom.window.market_days.wants_cell import paint_balance
from ripenroom.window.palette import LIGHT
from ripenroom.wording.formats import Formats
from ripenroom.wording.market_days import (
    planned_words,
    risk_words,
    supply_words,
    verdict_words,
)


def supply(wanted: int, low: float, ready: float, high: float) -> Supply:
    return Supply("day", "pawpaw", wanted, ready, low, high)


@pytest.fixture
def words(words_in: Callable[[str], Formats]) -> Formats:
    return words_in("en_US")


@pytest.mark.parametrize(
    ("found", "expected", "said"),
    [
        (supply(60, 10, 20, 42), Verdict.SHORT, "18–50 short"),
        (supply(60, 48, 64, 90), Verdict.TIGHT, "up to 12 short"),
        # Less than half a fruit is none.
        (supply(12, 11.7, 13, 15), Verdict.TIGHT, "enough"),
        (supply(60, 60, 64, 90), Verdict.ENOUGH, "enough"),
        (supply(60, 80, 100, 120), Verdict.SPARE, "20–60 to spare"),
        (supply(0, 0, 0, 0), Verdict.ENOUGH, "enough"),
    ],
)
def test_verdicts(words: Formats, found: Supply, expected: Verdict, said: str) -> None:
    assert found.verdict is expected
    assert verdict_words(found, words) == said


def test_both_sides_with_the_range(words: Formats) -> None:
    assert supply_words(supply(60, 50.2, 71.8, 90.4), words) == "60 wanted · good 72 (50–90)"


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


def market(risk: float) -> PlannedMarket:
    return PlannedMarket("day", "pawpaw", 40, 47.6, LikelyFruit(20.0, 35.0, 44.0), 5.0, risk)


@pytest.mark.parametrize(
    ("share", "risk", "said"),
    [
        (0.0, Risk.LITTLE, ""),
        (0.09, Risk.LITTLE, ""),
        (0.1, Risk.SOME, "10% risk of too few"),
        (0.49, Risk.SOME, "49% risk of too few"),
        (0.5, Risk.GREAT, "50% risk of too few"),
        (0.994, Risk.GREAT, "99% risk of too few"),
        (1.0, Risk.GREAT, "sure to be too few"),
    ],
)
def test_risk_is_said_once_it_counts(words: Formats, share: float, risk: Risk, said: str) -> None:
    assert market(share).at_risk is risk
    assert risk_words(market(share), words) == said


def test_what_a_plan_brings_is_judged_by_what_of_it_will_be_ready(words: Formats) -> None:
    ready = market(0.2).supply
    assert (ready.wanted, ready.low, ready.ready, ready.high) == (40, 20.0, 35.0, 44.0)
    assert ready.verdict is Verdict.TIGHT
    assert planned_words(market(0.2), words) == "planned 48"
