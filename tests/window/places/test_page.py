"""The Places page over a real season."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.season.projection import Projection
from ripenroom.window.places.page import PlacesPage
from ripenroom.window.places.place_dialog import PlaceDialog
from ripenroom.window.session import Session


@pytest.fixture
def page(qtbot: QtBot, session: Session) -> PlacesPage:
    made = PlacesPage(session)
    qtbot.addWidget(made)
    made.resize(900, 600)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    return made


def test_there_is_a_line_for_every_place(page: PlacesPage, session: Session) -> None:
    assert set(page.lines) == set(session.season.book.places)


def test_dragging_previews_and_escape_ends_it(
    qtbot: QtBot, page: PlacesPage, session: Session
) -> None:
    place_id, line = next(iter(page.lines.items()))
    before = session.season.set_point_c(place_id)
    slider = line.control.slider
    slider.setFocus()
    with qtbot.waitSignal(session.previewed) as previewed:
        QTest.keyClick(slider, Qt.Key.Key_PageUp)
    assert isinstance(previewed.args[0], Projection)
    with qtbot.waitSignal(session.previewed) as previewed:
        QTest.keyClick(slider, Qt.Key.Key_Escape)
    assert previewed.args == [None]
    assert session.season.set_point_c(place_id) == before


def test_enter_sets_from_now_on_and_undo_brings_it_back(
    qtbot: QtBot, page: PlacesPage, session: Session
) -> None:
    place_id, line = next(iter(page.lines.items()))
    before = session.season.set_point_c(place_id)
    line.control.slider.setFocus()
    QTest.keyClick(line.control.slider, Qt.Key.Key_Right)
    with qtbot.waitSignal(session.said):
        QTest.keyClick(line.control.slider, Qt.Key.Key_Return)
    assert session.season.set_point_c(place_id) == before + 0.5
    session.season.undo()
    assert session.season.set_point_c(place_id) == before
    assert line.control.box.value() == before


def test_leaving_the_page_drops_a_trial(qtbot: QtBot, page: PlacesPage, session: Session) -> None:
    place_id, line = next(iter(page.lines.items()))
    before = session.season.set_point_c(place_id)
    line.control.slider.setFocus()
    QTest.keyClick(line.control.slider, Qt.Key.Key_Right)
    page.hide()
    assert not line.control.is_trying
    assert session.season.set_point_c(place_id) == before


def test_a_new_place_begins_with_what_is_usual(qtbot: QtBot, session: Session) -> None:
    dialog = PlaceDialog(session)
    qtbot.addWidget(dialog)
    dialog.name.setText("Second fridge")
    dialog.kind.choose("cool shelf")
    dialog.kind.activated.emit(dialog.kind.currentIndex())
    dialog.accept()
    place = next(p for p in session.season.book.places.values() if p.name == "Second fridge")
    assert session.season.set_point_c(place.id) == 13.0
    assert place.half_cooling_h == 8.0


def test_a_taken_name_is_refused_beside_the_name(qtbot: QtBot, session: Session) -> None:
    taken = next(iter(session.season.book.places.values())).name
    dialog = PlaceDialog(session)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.name.setText(taken)
    dialog.accept()
    assert dialog.board.fields["name"].note.isVisible()
    dialog.set_point.setText("cold")
    dialog.accept()
    assert dialog.board.fields["set_point_c"].note.isVisible()


def test_an_untouched_edit_changes_nothing(qtbot: QtBot, session: Session) -> None:
    for place_id, place in list(session.season.book.places.items()):
        dialog = PlaceDialog(session, place_id)
        qtbot.addWidget(dialog)
        dialog.accept()
        assert session.season.book.places[place_id] == place


def test_a_place_that_holds_fruit_is_not_deleted(qtbot: QtBot, session: Session) -> None:
    projection = session.projection()
    place = session.season.place_of(projection.batch_ids[0])
    assert place is not None
    dialog = PlaceDialog(session, place.id)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.delete_button.click()
    assert dialog.isVisible()
    assert place.id in session.season.book.places
