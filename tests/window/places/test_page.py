"""The Places page over a real season."""

import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QTimer, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.place import Place
from ripenroom.season import actions
from ripenroom.season.projection import Projection
from ripenroom.window.forms.place import PlaceDialog
from ripenroom.window.main_window import MainWindow
from ripenroom.window.places.logs.import_dialog import ImportLogDialog
from ripenroom.window.places.page import PlacesPage
from ripenroom.window.plain import PlainLabel
from ripenroom.window.queue.page import QueueStrip
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording import places
from ripenroom.wording.places import trial_words
from tests.records.full_seasons import limited


@pytest.fixture
def page(qtbot: QtBot, session: Session) -> PlacesPage:
    made = PlacesPage(session, QueueStrip(session))
    qtbot.addWidget(made)
    made.resize(900, 600)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    return made


def test_there_is_a_line_for_every_place(page: PlacesPage, session: Session) -> None:
    assert set(page.lines) == set(session.season.book.places)


def test_facts_have_the_whole_width(page: PlacesPage) -> None:
    page.resize(830, 600)
    QApplication.processEvents()
    for line in page.lines.values():
        facts = next(
            label for label in line.findChildren(WrappedLabel, "faint") if " · " in label.text()
        )
        assert facts.width() > 0.9 * line.width()
        assert facts.y() >= line.edit_button.geometry().bottom()


def test_a_place_without_a_thermostat_says_what_its_air_goes_by(
    page: PlacesPage, session: Session
) -> None:
    place = next(p for p in session.season.book.places.values() if p.kind == "field bin")
    line = page.lines[place.id]
    assert not line.control.isVisible()
    assert re.fullmatch(
        "Follows the weather, 1\\.5\u00a0h behind: "
        "now \\d+\u00a0°C, today \\d+\u00a0°C to \\d+\u00a0°C\\.",
        line.air.text(),
    )
    page.show_record(place.id)
    assert QApplication.focusWidget() is line.edit_button
    session.season.do(actions.weather.delete_days, list(session.season.book.weather))
    session.season.do(actions.weather.set_normals, {})
    assert line.air.text() == (
        "Follows the weather, 1.5\u00a0h behind. Today’s weather is not known: 20.0\u00a0°C counts."
    )
    session.season.do(actions.places.save, replace(place, weather_lag_h=None))
    assert line.air.text() == (
        "No thermostat: 20.0\u00a0°C counts as its average. Edit changes that, or lets it follow "
        "the weather."
    )
    assert not line.control.isVisible()
    session.season.do(actions.places.save, replace(place, weather_lag_h=None, kind="cool shelf"))
    assert line.control.isVisible()
    assert not line.air.isVisible()


def test_the_temperature_of_a_place_without_a_thermostat_is_changed_in_its_form(
    qtbot: QtBot, session: Session
) -> None:
    bins = next(p for p in session.season.book.places.values() if p.kind == "field bin")
    form = PlaceDialog(session, bins.id)
    qtbot.addWidget(form)
    assert form.set_point.text() == "20.0"
    form.set_point.setText("17")
    form.action_button.click()
    assert session.season.set_point_c(bins.id) == 17.0
    assert session.season.undo() == "change of Field bins"
    assert session.season.set_point_c(bins.id) == 20.0


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


def test_what_a_temperature_does_is_said_before_it_is_kept(
    qtbot: QtBot, page: PlacesPage, session: Session
) -> None:
    season = session.season
    place = next(place for place in season.book.places.values() if place.name == "Cold room")
    line = page.lines[place.id]
    assert not line.trial.isVisible()
    before = season.projection()
    line.control.slider.setFocus()
    line.control.slider.setValue(line.control.slider.value() + 8)  # half a degree each
    tried = season.preview_set_point(place.id, season.set_point_c(place.id) + 4.0)
    days = [
        [session.words.local(h).date() if h == h else None for h in one.closes_h.mid.tolist()]
        for one in (before, tried)
    ]
    pairs = [
        (was, now)
        for was, now, left in zip(*days, before.left, strict=True)
        if left > 0 and was is not None and now is not None
    ]
    sooner = sum(now < was for was, now in pairs)
    assert sooner > 1
    said = line.trial.text()
    assert said.startswith("Cold room at 8.0 °C: ")
    assert f"{sooner} batches must be eaten " in said
    assert " days sooner" in said
    assert "Ready on Sat 3 Oct: " in said
    QTest.keyClick(line.control.slider, Qt.Key.Key_Escape)
    assert not line.trial.isVisible()


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        (0, 1, "Ready on Sat 3 Oct: 1 batch, not 0."),
        (1, 2, "Ready on Sat 3 Oct: 2 batches, not 1."),
        (1, 1, "Ready on Sat 3 Oct: no change."),
    ],
)
def test_one_batch_that_is_ready_is_one_batch(
    session: Session, monkeypatch: pytest.MonkeyPatch, before: int, after: int, said: str
) -> None:
    counts = iter((before, after))
    monkeypatch.setattr(places, "_ready_at", lambda *_: next(counts))
    projection = session.season.projection()
    assert places._next_market(projection, projection, session) == said


def test_in_a_large_season_what_is_in_sight_follows_the_hand_and_all_else_its_rest(
    qtbot: QtBot, page: PlacesPage, session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ripenroom.window.places.place_panel._AT_ONCE", 0)
    page.strip.resize(page.strip.width(), 120)
    season, seen = session.season, set(page.strip.in_sight())
    whole = season.projection()
    assert 0 < len(seen) < len(whole.batch_ids)
    place = next(place for place in season.book.places.values() if place.name == "Cold room")
    line = page.lines[place.id]
    line.control.slider.setFocus()
    with qtbot.waitSignal(session.previewed) as frame:
        line.control.slider.setValue(line.control.slider.value() + 8)
    assert not line.trial.isVisible()
    moved = np.flatnonzero(frame.args[0].closes_h.mid != whole.closes_h.mid)
    known = np.isfinite(whole.closes_h.mid[moved])
    assert {whole.batch_ids[n] for n in moved[known].tolist()} <= seen
    with qtbot.waitSignal(session.previewed) as rested:
        pass
    tried = season.preview_set_point(place.id, season.set_point_c(place.id) + 4.0)
    assert rested.args[0].closes_h.mid.tolist() == pytest.approx(
        tried.closes_h.mid.tolist(), nan_ok=True, rel=0.0, abs=0.0
    )
    assert line.trial.text().startswith("Cold room at 8.0 °C: ")
    line.control.slider.setValue(line.control.slider.value() + 1)
    QTest.keyClick(line.control.slider, Qt.Key.Key_Escape)
    with qtbot.assertNotEmitted(session.previewed, wait=200):
        pass


def test_a_typed_temperature_out_of_range_says_what_can_be_set(
    qtbot: QtBot, page: PlacesPage, session: Session
) -> None:
    place = next(p for p in session.season.book.places.values() if p.name == "Cold room")
    line, before = page.lines[place.id], session.season.set_point_c(place.id)
    line.control.box.setFocus()
    line.control.box.selectAll()
    QTest.keyClicks(line.control.box, "200")
    QTest.keyClick(line.control.box, Qt.Key.Key_Return)
    qtbot.waitUntil(line.trial.isVisible)
    assert line.trial.text() == "Type a temperature from -2 to 40 °C."
    assert session.season.set_point_c(place.id) == before
    assert line.control.box.value() == before


def test_a_temperature_that_changes_nothing_says_so(session: Session) -> None:
    now = session.season.projection()
    said = trial_words("Cold room", 4.0, now, session)
    assert said == "Cold room at 4.0 °C: no batch changes by a day."


def test_undo_drops_what_is_tried_before_it_takes_back_what_was_kept(
    qtbot: QtBot, window: MainWindow
) -> None:
    session, desk = window.session, window.desk
    assert session is not None
    assert desk is not None
    desk.go_to("places")
    page = desk.page("places")
    assert isinstance(page, PlacesPage)
    kept, tried = [line for line in page.lines.values() if not line.control.isHidden()][:2]
    kept.control.slider.setFocus()
    QTest.keyClick(kept.control.slider, Qt.Key.Key_Right)
    QTest.keyClick(kept.control.slider, Qt.Key.Key_Return)
    set_c = session.season.set_point_c(kept.place_id)

    def press_undo() -> None:
        QTest.keyClick(tried.control.slider, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)

    for undo in (press_undo, window.menus.undo.trigger):
        tried.control.slider.setFocus()
        QTest.keyClick(tried.control.slider, Qt.Key.Key_Right)
        assert session.is_previewing
        undo()
        assert not session.is_previewing
        assert not tried.control.is_trying
        assert tried.trial.isHidden()
        assert session.season.set_point_c(kept.place_id) == set_c
    window.menus.undo.trigger()
    assert session.season.set_point_c(kept.place_id) != set_c


def test_undo_where_one_typed_takes_the_temperature_back(qtbot: QtBot, window: MainWindow) -> None:
    session, desk = window.session, window.desk
    assert session is not None
    assert desk is not None
    desk.go_to("places")
    page = desk.page("places")
    assert isinstance(page, PlacesPage)
    place_id, line = next(iter(page.lines.items()))
    before, field = session.season.set_point_c(place_id), line.control.box.lineEdit()
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "9")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert session.season.set_point_c(place_id) == 9.0
    QTest.keyClick(field, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
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


def logged(tmp_path: Path, session: Session) -> Path:
    """A file of a thermometer, up to now."""
    now = session.season.now()
    rows = (f"{now - timedelta(minutes=n):%Y-%m-%d %H:%M};{6 + n % 9 / 10}\n" for n in range(90))
    path = tmp_path / "probe.csv"
    path.write_text("time;air °C\n" + "".join(rows), "utf-8")
    return path


def test_a_file_dropped_on_a_place_is_shown_for_it(
    qtbot: QtBot, page: PlacesPage, session: Session, tmp_path: Path
) -> None:
    place_id, line = next(iter(page.lines.items()))
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(logged(tmp_path, session)))])
    spot = line.mapTo(page, QPoint(20, 12))
    copy, left, plain = (
        Qt.DropAction.CopyAction,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    enter = QDragEnterEvent(spot, copy, data, left, plain)
    page.dragEnterEvent(enter)
    assert enter.isAccepted()

    def accept_once_read() -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, ImportLogDialog) and dialog.action_button.isEnabled():
            dialog.accept()

    # The dialog has an event loop of its own, so only a timer comes by.
    hand = QTimer(page)
    hand.timeout.connect(accept_once_read)
    hand.start(30)
    with qtbot.waitSignal(session.said, timeout=5000):
        page.dropEvent(QDropEvent(QPointF(spot), copy, data, left, plain))
    hand.stop()
    (log,) = session.season.ask.logs_of_place(place_id)
    assert log.name == "probe.csv"
    assert line.report.isVisible()
    assert line.chart.isVisible()
    session.season.undo()
    assert not line.report.isVisible()


def test_the_place_with_a_thermometer_tells_what_its_dial_hides(
    page: PlacesPage, session: Session
) -> None:
    (log,) = session.season.book.temperature_logs.values()
    line = page.lines[log.place_id]
    assert re.search(r"1\.[2-6] times as fast as its thermostat says", line.report.text())
    assert sum(other.report.isVisibleTo(page) for other in page.lines.values()) == 1


def test_without_a_place_there_is_none_to_log(qtbot: QtBot, session: Session) -> None:
    page = PlacesPage(session, QueueStrip(session))
    qtbot.addWidget(page)
    session.season.do(actions.batches.delete, list(session.season.book.batches))
    for pick_id in list(session.season.book.expected_picks):
        session.season.do(actions.ahead.delete_expected_pick, pick_id)
    for log_id in list(session.season.book.temperature_logs):
        session.season.do(actions.places.delete_log, log_id)
    for place_id in list(session.season.book.places):
        session.season.do(actions.places.delete, place_id)
    page.show()
    assert not page.log_button.isVisible()


def test_a_place_too_many_is_refused_in_its_form(
    qtbot: QtBot, session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = session.season.book
    limited(monkeypatch, Place, len(before.places))
    dialog = PlaceDialog(session)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.name.setText("One more")
    dialog.accept()
    assert dialog.isVisible()
    said = " ".join(label.text() for label in dialog.findChildren(PlainLabel) if label.isVisible())
    assert "The season has too many places" in said
    assert session.season.book == before


def test_the_window_puts_the_queue_beside_the_places(window: MainWindow) -> None:
    assert window.desk is not None
    assert window.session is not None
    window.desk.go_to("places")
    page = window.desk.page("places")
    assert isinstance(page, PlacesPage)
    assert isinstance(page.strip, QueueStrip)
    as_it_is = page.strip.picture.scene
    assert as_it_is is not None
    place = next(iter(window.session.season.book.places.values()))
    window.session.preview_set_point(place.id, 15.0)
    assert page.strip.picture.scene is not as_it_is
    window.session.end_preview()
    assert page.strip.picture.scene is as_it_is
