"""The charts of one crop, beside another."""

import numpy as np
import pyqtgraph as pg
import pytest
from pytestqt.qtbot import QtBot

from ripenroom.season.crop_curves import DrawnCrop, crop_curves
from ripenroom.window.crops.charts import CropCharts
from ripenroom.window.crops.curves import Compared
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.crops.plot import CurvePlot
from ripenroom.window.session import Session


@pytest.fixture
def charts(qtbot: QtBot) -> CropCharts:
    made = CropCharts()
    qtbot.addWidget(made)
    made.resize(600, 500)
    made.show()
    return made


def of(session: Session, key: str) -> DrawnCrop:
    drawn = Compared(key).drawn(session.season)
    assert drawn is not None
    return drawn


def written(plot: CurvePlot) -> set[str]:
    items = plot.plot.getPlotItem().items
    return {item.toPlainText() for item in items if isinstance(item, pg.TextItem)}


def visible(charts: CropCharts) -> list[bool]:
    plots = (charts.softening, charts.ready, charts.cold, charts.gate)
    return [not plot.isHidden() for plot in plots]


@pytest.mark.long
def test_every_shipped_crop_can_be_drawn(
    session: Session, charts: CropCharts, units: Units
) -> None:
    for key, crop in session.season.crops.items():
        charts.draw(of(session, key), of(session, "pawpaw"), 1, units)
        seen = visible(charts)
        assert seen[0] == (crop.judged_by != "nothing")
        assert seen[3] == (crop.gate is not None)
        assert seen[2]


def test_softening_is_named_by_temperature_and_told_in_days(
    session: Session, charts: CropCharts, units: Units
) -> None:
    charts.draw(of(session, "pawpaw"), None, 1, units)
    assert {"20 °C", "10 °C", "0 °C", "ready below", "past below"} <= written(charts.softening)
    pawpaw = session.season.crops["pawpaw"]
    curve = crop_curves(pawpaw).softening[20.0]
    ready = curve.days[np.flatnonzero(curve.firmness <= pawpaw.firmness.ready_n.value)[0]]
    assert f"20 °C {ready:.1f} days" in charts.softening.words.text()
    assert "Pawpaw" in written(charts.ready)


def test_another_crop_is_named_beside_it(
    session: Session, charts: CropCharts, units: Units
) -> None:
    charts.draw(of(session, "pawpaw"), of(session, "peach"), 1, units)
    peach = session.season.crops["peach"].name
    assert f"{peach}, 20 °C" in written(charts.softening)
    assert peach in written(charts.ready)
    assert f"{peach}, storage" in written(charts.cold)


def test_green_surface_and_firmness_are_not_laid_over_each_other(
    session: Session, charts: CropCharts, units: Units
) -> None:
    charts.draw(of(session, "tomato"), of(session, "peach"), 1, units)
    assert not any("Peach" in name for name in written(charts.softening))
    assert "Coloring" in charts.softening.heading.text()


def test_days_to_ready_are_those_of_the_feel(
    session: Session, charts: CropCharts, units: Units
) -> None:
    charts.draw(of(session, "pawpaw"), None, 0, units)
    hard = charts.ready.words.text()
    charts.draw(of(session, "pawpaw"), None, 2, units)
    assert charts.ready.words.text() != hard


def test_needs_are_told_apart(session: Session, charts: CropCharts, units: Units) -> None:
    charts.draw(of(session, "anjou"), of(session, "bosc"), 1, units)
    assert written(charts.gate) == {"cold", "Bosc pear, cold"}
