"""A season that can only be read, or whose file is gone: what the window says, and the way on."""

import shutil
import stat
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell.menus import Appearance

pytestmark = pytest.mark.usefixtures("few_batches")


def season_of(window: MainWindow) -> Season:
    assert window.session is not None
    return window.session.season


def note(window: MainWindow, text: str) -> bool:
    """Write a note to a batch, as a form would; whether that was done."""
    assert window.session is not None
    season = window.session.season
    batch = next(iter(season.book.batches.values()))
    return window.session.run(
        "", lambda: season.do(actions.batches.change, replace(batch, note=text))
    )


def notes(path: Path) -> set[str]:
    season = Season.open(path, read_only=True)
    season.close()
    return {batch.note for batch in season.book.batches.values()}


@pytest.fixture
def second(
    qtbot: QtBot, qapp: QApplication, window: MainWindow, season_path: Path, tmp_path: Path
) -> MainWindow:
    """A second window on the season that ``window`` has open for changes."""
    settings = QSettings(str(tmp_path / "second.ini"), QSettings.Format.IniFormat)
    made = MainWindow(settings, Appearance(qapp, settings))
    qtbot.addWidget(made)
    made.show()
    assert made.open_path(season_path)
    return made


def test_once_the_other_window_is_closed_the_season_opens_for_changes(
    window: MainWindow, second: MainWindow
) -> None:
    banner = second.banner.read_only
    assert banner.button.isVisible()
    banner.button.click()
    assert "another ripenroom window" in second.voice.text
    assert season_of(second).read_only_because
    assert note(window, "last words")
    window.close()
    assert second.desk is not None
    second.desk.go_to("places")
    banner.button.click()
    assert season_of(second).read_only_because is None
    assert not banner.isVisible()
    assert second.desk.current == "places"
    assert "last words" in {batch.note for batch in season_of(second).book.batches.values()}
    assert note(second, "mine now")


def test_a_window_that_can_only_read_follows_what_the_other_writes(
    qtbot: QtBot, window: MainWindow, second: MainWindow
) -> None:
    assert note(window, "from over there")
    expected = season_of(window).book
    qtbot.waitUntil(lambda: season_of(second).book == expected, timeout=10_000)
    assert season_of(second).read_only_because is not None


def test_the_window_does_not_lock_itself_out(window: MainWindow, season_path: Path) -> None:
    assert window.open_path(season_path)
    assert season_of(window).read_only_because is None
    assert note(window, "still")


@pytest.mark.parametrize("fate", ["renamed", "deleted", "replaced"])
def test_a_file_that_is_gone_is_said_and_all_that_is_shown_goes_to_a_new_one(
    window: MainWindow,
    season_path: Path,
    tmp_path: Path,
    fate: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert note(window, "written before")
    away = tmp_path / "elsewhere.ripenroom"
    if fate == "renamed":
        season_path.rename(away)
    elif fate == "deleted":
        season_path.unlink()
    else:
        shutil.copyfile(season_path, away)
        away.replace(season_path)
    assert not note(window, "refused")
    assert "moved, renamed, replaced or deleted" in window.voice.text
    assert window.banner.gone.isVisible()
    assert season_path.name in window.banner.gone.text()
    target = tmp_path / "saved.ripenroom"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    window.banner.gone.button.click()
    assert season_of(window).path == target
    assert not window.banner.gone.isVisible()
    assert stat.S_IMODE(target.stat().st_mode) & 0o077 == 0
    assert note(window, "goes on")
    window.close()
    assert notes(target) >= {"goes on"}
    assert "refused" not in notes(target)


def test_a_deleted_season_is_saved_where_it_was(
    window: MainWindow, season_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert note(window, "written before")
    book = season_of(window).book
    season_path.unlink()
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(season_path), ""))
    window.save_copy()
    assert season_of(window).book == book
    assert season_of(window).read_only_because is None
    assert note(window, "goes on")


def test_another_file_is_never_written_over(
    window: MainWindow, season_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = tmp_path / "other.ripenroom"
    other.write_bytes(b"precious")
    season_path.unlink()
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(other), ""))
    window.save_copy()
    assert other.read_bytes() == b"precious"
    assert "already there" in window.voice.text
    assert season_of(window).path == season_path


def test_coming_back_to_the_window_tells_that_the_file_is_gone(
    qtbot: QtBot, window: MainWindow, second: MainWindow, season_path: Path
) -> None:
    second.activateWindow()
    qtbot.waitUntil(second.isActiveWindow)
    season_path.unlink()
    assert not window.banner.gone.isVisible()
    window.activateWindow()
    qtbot.waitUntil(window.banner.gone.isVisible)
