"""What the File menu writes and compares, beside the window."""

import shutil
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from ripenroom.exchange.season_json import read_json
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.window.copies.merge_dialog import MergeDialog
from ripenroom.window.import_table.dialog import TableInDialog
from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell import file_actions

pytestmark = pytest.mark.usefixtures("few_batches")

KINDS = {".xlsx": "export_workbook", ".json": "export_json", ".ics": "export_calendar"}


def export(window: MainWindow, monkeypatch: pytest.MonkeyPatch, suffix: str, to: Path) -> Path:
    """Choose a file for everything; what was proposed."""
    proposed: list[str] = []

    def choose(_parent: object, _title: str, path: str, _kinds: str) -> tuple[str, str]:
        proposed.append(path)
        return str(to), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", choose)
    getattr(window.files, KINDS[suffix])()
    return Path(proposed[0])


@pytest.mark.parametrize("suffix", KINDS)
def test_everything_is_written_beside_the_window(
    qtbot: QtBot,
    window: MainWindow,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    suffix: str,
) -> None:
    proposed = export(window, monkeypatch, suffix, tmp_path / "out")
    assert proposed == tmp_path / f"season{suffix}"
    qtbot.waitUntil(lambda: window.voice.text.startswith("Saved in "))
    written = tmp_path / f"out{suffix}"
    assert str(written) in window.voice.text
    if suffix == ".xlsx":
        assert "picks" in openpyxl.load_workbook(written).sheetnames
    elif suffix == ".json":
        assert window.session is not None
        assert read_json(written) == window.session.season.book
    proposed.touch()
    assert export(window, monkeypatch, suffix, tmp_path / "again") == tmp_path / f"season 2{suffix}"
    qtbot.waitUntil((tmp_path / f"again{suffix}").exists)


def test_an_ending_that_is_added_takes_no_other_file(
    qtbot: QtBot, window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "out.json").write_text("precious")
    export(window, monkeypatch, ".json", tmp_path / "out")
    qtbot.waitUntil((tmp_path / "out 2.json").exists)
    assert (tmp_path / "out.json").read_text() == "precious"


@pytest.mark.parametrize("to", ["season.ripenroom", "SEASON.JSON", "out.json", "copies"])
def test_the_open_season_is_never_written_over(
    qtbot: QtBot,
    empty_window: MainWindow,
    season_path: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    to: str,
) -> None:
    called = season_path.rename(tmp_path / "season.json")
    (tmp_path / "out.json").symlink_to(called)
    assert empty_window.open_path(called)
    before = called.read_bytes()
    target = tmp_path / to
    if to == "copies":
        from ripenroom.paths import copies_folder

        target = copies_folder() / "out.json"
        target.parent.mkdir(parents=True, exist_ok=True)
    export(empty_window, monkeypatch, ".json", target)
    if to == "season.ripenroom":
        qtbot.waitUntil((tmp_path / "season.ripenroom.json").exists)
    else:
        qtbot.waitUntil(lambda: "choose another name" in empty_window.voice.text)
    assert called.read_bytes() == before


def test_a_folder_that_is_not_there_is_said(
    qtbot: QtBot, window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    export(window, monkeypatch, ".json", tmp_path / "none" / "out.json")
    qtbot.waitUntil(lambda: "No such file" in window.voice.text)


def test_another_copy_is_compared_beside_the_window(
    qtbot: QtBot, window: MainWindow, season_path: Path, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    shed = tmp_path / "shed.ripenroom"
    shutil.copyfile(season_path, shed)
    other = Season.open(shed)
    batch = next(iter(other.book.batches.values()))
    other.do(actions.batches.change, replace(batch, note="in the shed"))
    other.close()
    asked: list[MergeDialog] = []
    monkeypatch.setattr(file_actions, "ask", asked.append)
    window.files.merge_with(shed)
    qtbot.waitUntil(lambda: bool(asked))
    qtbot.addWidget(asked[0])
    assert batch.code in asked[0].text.toPlainText()
    window.files.merge_with(tmp_path / "none.ripenroom")
    qtbot.waitUntil(lambda: "none.ripenroom" in window.voice.text)


def test_a_table_is_read_beside_the_window(
    qtbot: QtBot, window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[TableInDialog] = []
    monkeypatch.setattr(file_actions, "ask", asked.append)
    table = tmp_path / "walk.csv"
    table.write_text("Pick date;Fruit;Hard;Where\n2026-09-14;Pawpaw;3;Cold room\n")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(table), ""))
    window.files.bring_in_table()
    qtbot.waitUntil(lambda: bool(asked))
    qtbot.addWidget(asked[0])
    assert asked[0].model.rowCount() == 1
    table.unlink()
    window.files.bring_in_table()
    qtbot.waitUntil(lambda: "walk.csv" in window.voice.text)
