"""Plots with names on their curves."""

import numpy as np
import pyqtgraph as pg
import pytest
from pytestqt.qtbot import QtBot

from ripenroom.window.crops.plot import CurvePlot, Line, Mark

X = np.linspace(0.0, 30.0, 61)


@pytest.fixture(params=[False, True], ids=["straight", "logarithm"])
def plot(qtbot: QtBot, request: pytest.FixtureRequest) -> CurvePlot:
    made = CurvePlot("Days", log=request.param)
    made.name_axes("°C", "days")
    qtbot.addWidget(made)
    made.resize(500, 300)
    made.show()
    return made


def names(plot: CurvePlot) -> list[pg.TextItem]:
    return [item for item in plot.plot.getPlotItem().items if isinstance(item, pg.TextItem)]


def test_every_curve_and_mark_has_its_name(plot: CurvePlot) -> None:
    lines = [Line("fast", X, 40.0 - X), Line("slow", X, 50.0 - X, dashed=True)]
    plot.draw(lines, (0.0, 30.0), (1.0, 60.0), "In words.", (Mark("ready", 10.0),))
    assert {item.toPlainText() for item in names(plot)} == {"fast", "slow", "ready"}
    assert plot.plot.accessibleDescription() == "In words."
    assert plot.words.text() == "In words."


def test_names_stand_apart_where_curves_end_together(plot: CurvePlot) -> None:
    lines = [Line("one", X, 40.0 - X), Line("two", X, 40.2 - X)]
    plot.draw(lines, (0.0, 30.0), (1.0, 60.0), "")
    first, second = (item.pos() for item in names(plot))
    assert (first - second).manhattanLength() > 1.0


def test_what_is_not_known_is_not_drawn(plot: CurvePlot) -> None:
    nothing = np.full(X.size, np.nan)
    partly = np.where(X < 10.0, 5.0, np.nan)
    plot.draw([Line("none", X, nothing), Line("part", X, partly)], (0.0, 30.0), (1.0, 60.0), "")
    assert [item.toPlainText() for item in names(plot)] == ["part"]


def test_drawing_again_replaces_what_was_drawn(plot: CurvePlot) -> None:
    line = Line("one", X, 40.0 - X, 30.0 - X / 2, 50.0 - X)
    plot.draw([line], (0.0, 30.0), (1.0, 60.0), "")
    before = len(plot.plot.getPlotItem().items)
    plot.draw([line], (0.0, 30.0), (1.0, 60.0), "")
    assert len(plot.plot.getPlotItem().items) == before


def test_a_range_is_drawn_around_its_curve(plot: CurvePlot) -> None:
    y = np.full(X.size, 20.0)
    plot.draw([Line("one", X, y, y / 2, np.full(X.size, np.nan))], (0.0, 30.0), (1.0, 60.0), "")
    assert any(isinstance(i, pg.FillBetweenItem) for i in plot.plot.getPlotItem().items)
