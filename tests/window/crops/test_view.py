"""One crop on the page."""

from dataclasses import replace

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.records.crop.document import CropDocument
from ripenroom.season import actions
from ripenroom.window.crops.view import CropView
from ripenroom.window.session import Session


@pytest.fixture
def view(qtbot: QtBot, session: Session) -> CropView:
    made = CropView(session)
    qtbot.addWidget(made)
    made.resize(700, 600)
    made.show()
    return made


def test_about_and_cautions_come_first(view: CropView, session: Session) -> None:
    view.show_crop("pawpaw")
    for caution in session.season.crops["pawpaw"].cautions:
        assert caution in view.about.text()
    view.show_crop("banana")
    assert "Only dates are published" in view.about.text()


def test_a_crop_that_is_off_says_so(view: CropView, session: Session) -> None:
    document = CropDocument(session.season.crop_text("pawpaw"))
    found = {"median_pct": 44, "tenth_pct": 90, "worst_pct": 95}
    document.put(("left_out",), {"sources": 5, "statements": 9, "in_range": 7, **found})
    session.season.do(actions.crops.save, document.text)
    view.show_crop("pawpaw")
    assert "at most 44\u00a0% off" in view.about.text()


def test_own_figures_can_be_given_up_and_shipped_ones_not(
    qtbot: QtBot, view: CropView, session: Session
) -> None:
    view.show_crop("pawpaw")
    assert not view.delete_button.isVisible()
    session.season.do(actions.crops.save, session.season.crop_text("pawpaw"))
    view.show_crop("pawpaw")
    assert view.delete_button.isVisible()
    assert "built-in" in view.delete_button.text()
    with qtbot.waitSignal(view.deleteAsked) as asked:
        view.delete_button.click()
    assert asked.args == ["pawpaw"]


def test_the_gauges_unit_is_kept(view: CropView, session: Session) -> None:
    view.show_crop("pawpaw")
    assert " N (" in str(view.figures.current())
    view.figures.unitChosen.emit("kgf")
    assert " kgf (" in str(view.figures.current())
    season = session.season
    session.settings.remove("crops/force_unit")
    season.do(actions.season.save, replace(season.book.season, units="us"))
    assert view.units.force == "lbf"


def test_curves_are_drawn_when_they_are_looked_at(view: CropView) -> None:
    view.show_crop("pawpaw")
    assert view.curves.charts is None
    view.tabs.setCurrentWidget(view.curves)
    assert view.curves.charts is not None
