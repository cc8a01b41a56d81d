"""A large season is opened beside the window; a small one, as ever, in it."""

import shutil
import threading
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.file import FileRefusal, SeasonFile
from ripenroom.records.file import soundness as soundness_module
from ripenroom.records.file.lock import WriterLock
from ripenroom.records.place import Place
from ripenroom.season import actions
from ripenroom.season.batch_columns import BookOutlook
from ripenroom.season.projector import Projector
from ripenroom.window import season_files
from ripenroom.window.main_window import MainWindow
from ripenroom.window.season_files import OpeningDialog

pytestmark = pytest.mark.usefixtures("worked_out_anew")


@pytest.fixture
def another(season_path: Path, tmp_path: Path) -> Path:
    """A season that is not open yet."""
    return Path(shutil.copyfile(season_path, tmp_path / "another.ripenroom"))


@pytest.fixture
def read_in(monkeypatch: pytest.MonkeyPatch) -> list[threading.Thread]:
    """The threads in which the rows of seasons are read."""
    threads: list[threading.Thread] = []
    all_rows = soundness_module.all_rows

    def noted(*arguments: object) -> object:
        threads.append(threading.current_thread())
        return all_rows(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(soundness_module, "all_rows", noted)
    return threads


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> threading.Event:
    """Reading goes on once this is set."""
    go_on, all_rows = threading.Event(), soundness_module.all_rows

    def waits(*arguments: object) -> object:
        assert go_on.wait(60.0)
        return all_rows(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(soundness_module, "all_rows", waits)
    return go_on


def while_it_opens(task: Callable[[OpeningDialog], None]) -> None:
    """Do something once the dialog is there."""

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, OpeningDialog):
            task(dialog)
        else:
            QTimer.singleShot(10, look)

    QTimer.singleShot(0, look)


def test_a_small_season_is_opened_at_once(
    empty_window: MainWindow, another: Path, read_in: list[threading.Thread]
) -> None:
    assert another.stat().st_size < season_files.BESIDE_FROM_BYTES
    assert empty_window.open_path(another)
    assert set(read_in) == {threading.main_thread()}


def test_a_large_season_is_opened_beside_the_window_and_then_is_its_own(
    monkeypatch: pytest.MonkeyPatch,
    empty_window: MainWindow,
    another: Path,
    read_in: list[threading.Thread],
) -> None:
    monkeypatch.setattr(season_files, "BESIDE_FROM_BYTES", 0)
    assert empty_window.open_path(another)
    assert read_in
    assert threading.main_thread() not in read_in
    assert empty_window.session is not None
    season = empty_window.session.season
    assert season.read_only_because is None
    batch = next(iter(season.book.batches.values()))
    season.do(actions.batches.change, replace(batch, note="changed here"))
    assert season.book.batches[batch.id].note == "changed here"
    season.undo()
    assert season.book.batches[batch.id] == batch


def test_what_is_shown_first_is_worked_out_there_too(
    monkeypatch: pytest.MonkeyPatch, empty_window: MainWindow, another: Path
) -> None:
    monkeypatch.setattr(season_files, "BESIDE_FROM_BYTES", 0)
    threads: list[threading.Thread] = []
    outlook = Projector.outlook

    def noted(*arguments: Any) -> BookOutlook:
        threads.append(threading.current_thread())
        return outlook(*arguments)

    monkeypatch.setattr(Projector, "outlook", noted)
    assert empty_window.open_path(another)
    assert empty_window.session is not None
    empty_window.session.projection()
    empty_window.session.season.supply()
    assert len(threads) == 1
    assert threading.main_thread() not in threads


def test_meanwhile_the_window_acts_on_nothing(
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    window: MainWindow,
    another: Path,
    held: threading.Event,
) -> None:
    monkeypatch.setattr(season_files, "BESIDE_FROM_BYTES", 0)
    assert window.session is not None
    before = window.session
    found: list[object] = []

    def meanwhile(dialog: OpeningDialog) -> None:
        for key in (Qt.Key.Key_Z, Qt.Key.Key_N, Qt.Key.Key_O, Qt.Key.Key_E):
            QTest.keyClick(QApplication.focusWidget() or window, key, _CONTROL)
        found.append(window.session)
        found.append(QApplication.activeModalWidget())
        assert window.session is before
        assert before.season.file_is_here
        held.set()

    while_it_opens(meanwhile)
    assert window.open_path(another)
    assert found[0] is before
    assert isinstance(found[1], OpeningDialog)
    assert window.session is not before
    assert window.session.season.path == another


def test_cancel_leaves_what_was_open_and_lets_go_of_the_file(
    monkeypatch: pytest.MonkeyPatch, window: MainWindow, another: Path, held: threading.Event
) -> None:
    monkeypatch.setattr(season_files, "BESIDE_FROM_BYTES", 0)
    before = window.session

    def cancel(dialog: OpeningDialog) -> None:
        QTest.keyClick(dialog, Qt.Key.Key_Escape)
        assert dialog.isVisible()  # until the file is let go of
        held.set()

    while_it_opens(cancel)
    assert not window.open_path(another)
    assert window.session is before
    assert window.problem is None
    WriterLock(another).release()
    assert not [side for side in another.parent.iterdir() if "another.ripenroom-" in side.name]


def test_a_damaged_one_is_told_as_ever(
    monkeypatch: pytest.MonkeyPatch, empty_window: MainWindow, another: Path
) -> None:
    monkeypatch.setattr(season_files, "BESIDE_FROM_BYTES", 0)
    another.write_bytes(another.read_bytes()[:-1])
    empty_window.hide()  # or it would offer ways on
    assert not empty_window.open_path(another)
    assert empty_window.problem is not None
    assert empty_window.problem.damaged
    assert "cut short" in empty_window.voice.text


def test_how_far_an_opening_is_grows_to_all_of_it(another: Path) -> None:
    shares: list[float] = []
    with closing(SeasonFile.open(another, heed=shares.append)) as file:
        shelf = Place(id="more", name="One more", kind="cool shelf", half_cooling_h=5.0)
        file.write("Add a place", [shelf])
    assert shares[0] == 0.0
    assert shares == sorted(shares)
    assert 0.9 < shares[-1] <= 1.0
    assert len(shares) > 20


def test_what_ends_an_opening_early_lets_go_of_the_file(another: Path) -> None:
    def enough(share: float) -> None:
        if share > 0.5:
            raise KeyError(share)

    with pytest.raises(KeyError):
        SeasonFile.open(another, heed=enough)
    try:
        SeasonFile.open(another).close()
    except FileRefusal as refusal:  # pragma: no cover
        pytest.fail(refusal.message)
    assert not Path(f"{another}.lock").exists()


_CONTROL = Qt.KeyboardModifier.ControlModifier
