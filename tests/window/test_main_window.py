"""The window as a whole: opening, moving about, undo, and what it says."""

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtGui import QAction
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.season import Season
from ripenroom.window.main_window import MainWindow
from ripenroom.window.season_files import copy_season
from ripenroom.window.shell.menus import Appearance
from ripenroom.window.shell.page_stack import PAGES, PageStack
from tests.draws import first_every_day

pytestmark = pytest.mark.usefixtures("few_batches")


def desk_of(window: MainWindow) -> PageStack:
    assert window.desk is not None
    return window.desk


def season_of(window: MainWindow) -> Season:
    assert window.session is not None
    return window.session.season


def press(qtbot: QtBot, window: MainWindow, key: Qt.Key, modifier: str = "Control") -> None:
    target = QApplication.focusWidget() or window
    QTest.keyClick(target, key, getattr(Qt.KeyboardModifier, f"{modifier}Modifier"))


def test_without_a_season_it_says_how_to_begin(empty_window: MainWindow) -> None:
    assert empty_window.welcome.isVisible()
    assert all(button.isVisible() for button in empty_window.welcome.buttons)
    assert not empty_window.menus.undo.isEnabled()


def test_a_season_opens_on_its_pages(window: MainWindow, season_path: Path) -> None:
    assert not window.welcome.isVisible()
    assert season_of(window).book.season.name in window.windowTitle()
    assert window.recent.paths() == [season_path.resolve()]
    assert season_path.name in window.voice.text


def test_alt_and_a_number_go_to_each_page(qtbot: QtBot, window: MainWindow) -> None:
    desk = desk_of(window)
    for number, name in enumerate(PAGES):
        key = Qt.Key(Qt.Key.Key_1 + number)
        press(qtbot, window, key, "Alt")
        assert desk.current == name
        assert desk.page(name).isVisible()


def test_the_practice_season_says_where_its_clock_stands(window: MainWindow) -> None:
    assert "Practice season" in window.banner.practice.text()
    assert "1 Oct 2026" in window.banner.practice.text()
    assert not window.banner.read_only.isVisible()


def test_a_second_window_is_read_only_and_says_why(
    qtbot: QtBot, qapp: QApplication, window: MainWindow, season_path: Path, tmp_path: Path
) -> None:
    settings = QSettings(str(tmp_path / "other.ini"), QSettings.Format.IniFormat)
    other = MainWindow(settings, Appearance(qapp, settings))
    qtbot.addWidget(other)
    other.show()
    assert other.open_path(season_path)
    reason = season_of(other).read_only_because
    assert reason
    assert reason.rstrip(".") in other.banner.read_only.text()
    desk = desk_of(other)
    for name in PAGES:
        desk.go_to(name)
    desk.go_to("picks")
    adding = [b for b in desk.page("picks").findChildren(QPushButton) if b.property("leading")]
    assert adding
    assert not any(button.isEnabled() for button in adding)


@pytest.mark.parametrize("content", [b"", b"not a season", b"SQLite format 3\x00" + b"x" * 4000])
def test_a_file_that_is_no_season_is_said_in_one_line(
    empty_window: MainWindow, tmp_path: Path, content: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "photo.ripenroom"
    path.write_bytes(content)
    offered: list[Path] = []
    monkeypatch.setattr(empty_window, "show_ways_on", lambda path, why: offered.append(path))
    assert not empty_window.open_path(path)
    problem = empty_window.problem
    assert problem is not None
    assert offered == [path]
    assert "photo.ripenroom" in empty_window.voice.text
    assert empty_window.welcome.isVisible()


def test_a_file_that_cannot_be_opened_leaves_the_open_season_alone(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(window, "show_ways_on", lambda path, why: None)
    name = season_of(window).book.season.name
    assert not window.open_path(tmp_path / "missing.ripenroom")
    assert "missing.ripenroom" in window.voice.text
    assert season_of(window).book.season.name == name


def test_undo_is_written_out_where_there_is_room(window: MainWindow) -> None:
    season, desk = season_of(window), desk_of(window)
    label = "first places and cultivars, and some more of them"
    season.do(lambda state: Action(label, (replace(state.book.season, name="Other"),)))
    for width, whole in ((1024, True), (1366, True), (640, False)):
        window.resize(width, 700)
        desk.go_to("today")
        QApplication.processEvents()
        assert (desk.undo_button.text() == f"Undo: {label}") is whole
        assert desk.help_button.mapTo(desk, desk.help_button.rect().topRight()).x() < desk.width()


def test_undo_and_redo_are_named_and_work_by_keyboard(qtbot: QtBot, window: MainWindow) -> None:
    season = season_of(window)
    batch_id, batch = next(iter(season.book.batches.items()))
    desk = desk_of(window)
    desk.go_to("places")
    season.do(actions.batches.delete, [batch_id])
    assert batch.code in desk.undo_button.toolTip()
    assert window.menus.undo.text() == f"Undo: {season.undo_label}"
    press(qtbot, window, Qt.Key.Key_Z)
    assert batch_id in season.book.batches
    assert batch.code in window.voice.text
    assert window.menus.redo.text() == f"Redo: {season.redo_label}"
    target = QApplication.focusWidget() or window
    both = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    QTest.keyClick(target, Qt.Key.Key_Z, both)
    assert batch_id not in season.book.batches


def test_units_change_how_it_reads_and_can_be_undone(window: MainWindow) -> None:
    assert window.session is not None
    window.menus.units["us"].trigger()
    assert window.session.words.temperature(0.0) == "32.0 °F"
    assert window.menus.units["us"].isChecked()
    window.undo()
    assert window.session.words.temperature(0.0) == "0.0 °C"
    assert window.menus.units["metric"].isChecked()


def test_page_and_draft_come_back_with_the_next_window(
    qtbot: QtBot, qapp: QApplication, window: MainWindow, season_path: Path, settings: QSettings
) -> None:
    desk = desk_of(window)
    desk.go_to("picks")
    page = desk.page("picks")
    page.form.fields.feel.set_text("3 9 6")  # type: ignore[attr-defined]
    desk.go_to("places")
    desk.go_to("picks")
    assert page.form.fields.feel.line.text() == "3 9 6"  # type: ignore[attr-defined]
    window.close()
    again = MainWindow(settings, Appearance(qapp, settings))
    qtbot.addWidget(again)
    again.show()
    assert again.open_path(season_path)
    assert desk_of(again).current == "picks"
    kept = desk_of(again).page("picks")
    assert kept.form.fields.feel.line.text() == "3 9 6"  # type: ignore[attr-defined]


def test_a_copy_is_a_season_file_of_its_own(window: MainWindow, tmp_path: Path) -> None:
    season = season_of(window)
    copy_season(season.path, tmp_path / "copy.ripenroom")
    copied = Season.open(tmp_path / "copy.ripenroom")
    assert copied.book == season.book
    assert copied.read_only_because is None
    copied.close()


def test_a_narrow_window_folds_the_column_into_a_button(qtbot: QtBot, window: MainWindow) -> None:
    desk = desk_of(window)
    window.resize(1024, 700)
    QApplication.processEvents()
    assert desk.navigation.isVisible()
    assert not desk.navigation.menu_button.isVisible()
    window.resize(800, 600)
    QApplication.processEvents()
    assert not desk.navigation.isVisible()
    assert desk.navigation.menu_button.isVisible()
    key = Qt.Key(Qt.Key.Key_1.value + list(PAGES).index("places"))
    press(qtbot, window, key, "Alt")
    assert desk.current == "places"
    assert "Places" in desk.navigation.menu_button.text()


@pytest.mark.parametrize("size", first_every_day([(800, 600), (1024, 700)]))
def test_no_button_is_cut_off_in_a_small_window(
    window: MainWindow, subtests: pytest.Subtests, size: tuple[int, int]
) -> None:
    window.resize(*size)
    for name in PAGES:
        desk_of(window).go_to(name)
        QApplication.processEvents()
        with subtests.test(page=name):
            assert (window.width(), window.height()) == size
            for button in window.findChildren(QPushButton):
                inside_a_scroller = button.visibleRegion().isEmpty()
                if not button.isVisible() or inside_a_scroller:
                    continue
                corner = button.mapTo(window, button.rect().bottomRight())
                assert corner.x() <= window.width(), button.text()
                assert corner.y() <= window.height(), button.text()
                needed = button.fontMetrics().horizontalAdvance(button.text().replace("&", ""))
                assert button.width() >= needed, button.text()


def test_no_two_menu_entries_share_keys(window: MainWindow) -> None:
    keys = [
        action.shortcut().toString()
        for action in window.findChildren(QAction)
        if not action.shortcut().isEmpty()
    ]
    assert len(keys) == len(set(keys))
    assert {"Ctrl+Z", "Ctrl+Shift+Z", "F1", "Ctrl+O", "Ctrl+N"} <= set(keys)
