"""Starting the window, as the command line does."""

import gc
import os
import subprocess
import sys
import threading
import weakref
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.file import SeasonFile
from ripenroom.window import season_files
from ripenroom.window.app import BAD_USE, DAMAGED_OR_FOREIGN, Garbage, run_window
from ripenroom.window.copies.damaged_dialog import DamagedDialog
from ripenroom.window.main_window import MainWindow
from tests.extremes.seasons import one_stay


@pytest.fixture(autouse=True)
def own_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither the user's settings nor the user's practice season are touched."""
    QSettings.setPath(
        QSettings.Format.IniFormat, QSettings.Scope.UserScope, str(tmp_path / "settings")
    )
    monkeypatch.setattr(season_files, "data_folder", lambda: tmp_path / "data")


def start(path: Path | None, *, demo: bool = False) -> tuple[int, list[str]]:
    """Exit code, and what the window said of the season while it was open."""
    seen: list[str] = []

    def look_and_close() -> None:
        for window in QApplication.topLevelWidgets():
            if isinstance(window, MainWindow) and window.isVisible():
                seen.extend([window.windowTitle(), window.voice.text])
                window.close()  # the last window ends the program

    QTimer.singleShot(0, look_and_close)
    return run_window(path, demo), seen


def test_it_opens_the_season_that_is_named(qapp: QApplication, season_path: Path) -> None:
    code, (title, _) = start(season_path)
    assert code == 0
    assert title.endswith("– ripenroom")


def test_the_window_has_the_icon_of_its_menu_entry(qapp: QApplication, season_path: Path) -> None:
    start(season_path)
    assert not qapp.windowIcon().pixmap(48, 48).isNull()
    assert qapp.desktopFileName() == "ripenroom"


def test_a_foreign_file_is_told_in_one_line_without_a_traceback(
    qapp: QApplication, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("buy crates")
    code, (title, said) = start(path)
    assert code == DAMAGED_OR_FOREIGN
    assert title == "ripenroom"
    assert "notes.txt" in said
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "notes.txt" in told


def test_a_missing_file_is_bad_use(
    qapp: QApplication, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, (title, said) = start(tmp_path / "none.ripenroom")
    assert code == BAD_USE
    assert title == "ripenroom"
    assert "none.ripenroom" in said
    assert capsys.readouterr().err.startswith("ripenroom: none.ripenroom is not in ")


def test_from_a_damaged_file_ways_on_are_offered_at_once(
    qapp: QApplication, season_path: Path
) -> None:
    content = bytearray(season_path.read_bytes())
    middle = len(content) // 2 // 4096 * 4096
    content[middle : middle + 8192] = b"\xa5" * 8192
    season_path.write_bytes(content)
    offered: list[str] = []

    def decline() -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, DamagedDialog):
            offered.append(dialog.windowTitle())
            dialog.reject()
            QTimer.singleShot(0, QApplication.closeAllWindows)
        else:
            QTimer.singleShot(10, decline)

    QTimer.singleShot(0, decline)
    assert run_window(season_path) == DAMAGED_OR_FOREIGN
    assert offered == ["This season file is damaged"]


def test_the_season_that_was_open_last_comes_back(qapp: QApplication, season_path: Path) -> None:
    start(season_path)
    code, (title, said) = start(None)
    assert code == 0
    assert title.endswith("– ripenroom")
    assert season_path.name in said


def test_the_practice_season_is_written_once_and_kept(qapp: QApplication, tmp_path: Path) -> None:
    folder = tmp_path / "data"
    for file in folder.glob("practice season*"):
        file.unlink()
    assert start(None, demo=True)[0] == 0
    (path,) = folder.glob("practice season*")
    written = path.stat().st_ino
    assert start(None, demo=True)[0] == 0
    assert path.stat().st_ino == written
    path.unlink()


CLOSED_AT_WORK = """
import sys, threading
from pathlib import Path
from PySide6.QtCore import QSettings, QTimer
from PySide6.QtWidgets import QApplication
from ripenroom.window.app import run_window

path, settings = sys.argv[1:]
QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, settings)

def close_at_work():
    at_work = [thread for thread in threading.enumerate() if thread.name == "background task"]
    if len(at_work) == 0:
        QTimer.singleShot(1, close_at_work)
        return
    for window in QApplication.topLevelWidgets():
        window.close()
    print("closed", at_work[0].is_alive())

app = QApplication(sys.argv[:1])
QTimer.singleShot(1, close_at_work)
code = run_window(Path(path))
print("ends", code)
sys.exit(code)
"""


@pytest.mark.long
def test_closing_amid_a_long_plan_ends_the_program_at_once(tmp_path: Path) -> None:
    book = one_stay(400)
    path = tmp_path / "large.ripenroom"
    SeasonFile.create(path, book.season, book.records()).close()
    ended = subprocess.run(
        [sys.executable, "-c", CLOSED_AT_WORK, path, tmp_path / "settings"],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
    )
    # It ends before anybody could have waited for the work.
    assert (ended.returncode, ended.stdout) == (0, "closed True\n")
    of_qt = "This plugin does not support propagateSizeHints()"
    assert [line for line in ended.stderr.splitlines() if line != of_qt] == []
    assert list(tmp_path.glob("large*")) == [path], "a lock or a journal is left"
    file = SeasonFile.open(path)
    assert file.read_only_because is None
    assert file.read() == book
    file.close()


class Knot:
    """Holds itself, so that only a search for cycles ends it."""

    def __init__(self) -> None:
        self.itself = self


@pytest.fixture
def garbage() -> Iterator[Garbage]:
    gc.collect()
    keeper = Garbage()
    yield keeper
    keeper.stop()


def ask_for_memory() -> None:
    for _ in range(20):
        _ = [[n] for n in range(20_000)]


def ended_in(knot: Knot) -> list[threading.Thread]:
    threads: list[threading.Thread] = []
    weakref.finalize(knot, lambda: threads.append(threading.current_thread()))
    return threads


def test_a_knot_ends_in_the_windows_thread(qtbot: QtBot, garbage: Garbage) -> None:
    ended = ended_in(Knot())
    work = threading.Thread(target=ask_for_memory)
    work.start()
    work.join()
    assert ended == []
    _ = [[n] for n in range(20_000)]
    qtbot.waitUntil(lambda: bool(ended))
    assert ended == [threading.main_thread()]


def test_when_it_stops_python_goes_on_by_itself(qtbot: QtBot, garbage: Garbage) -> None:
    assert not gc.isenabled()
    garbage.stop()
    assert gc.isenabled()
    ended = ended_in(Knot())
    work = threading.Thread(target=ask_for_memory)
    work.start()
    work.join()
    assert ended == [work]
