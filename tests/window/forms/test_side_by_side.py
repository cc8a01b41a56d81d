"""Several seasons side by side: rows of one name meet, files are only read."""

from dataclasses import replace
from pathlib import Path

from pytestqt.qtbot import QtBot

from ripenroom.records.file import SeasonFile
from ripenroom.records.identity import new_id
from ripenroom.window.forms.side_by_side import SideBySideDialog
from ripenroom.window.session import Session


def head(dialog: SideBySideDialog, row: int) -> str:
    item = dialog.table.verticalHeaderItem(row)
    assert item is not None
    return item.text()


def cell_of(dialog: SideBySideDialog, row: int, column: int) -> str:
    item = dialog.table.item(row, column)
    assert item is not None
    return item.text()


def test_seasons_stand_beside_each_other(qtbot: QtBot, session: Session, tmp_path: Path) -> None:
    book = session.season.book
    rows = [replace(row, name=row.name.replace("Hill", "Top")) for row in book.rows.values()]
    other = tmp_path / "last.ripenroom"
    season = replace(book.season, id=new_id(), name="Last year")
    SeasonFile.create(other, season, book.with_changes(rows).records()).close()
    content = other.read_bytes()
    dialog = SideBySideDialog(session)
    qtbot.addWidget(dialog)
    dialog.show()
    names = [head(dialog, n) for n in range(dialog.table.rowCount())]
    assert "Hill terrace" in names
    cell = cell_of(dialog, names.index("Wall row"), 0)
    assert "bloom Sat 2 May" in cell
    assert "310 counted" in cell
    assert "83 picked" in cell
    dialog.add_season(other)
    qtbot.waitUntil(lambda: dialog.table.columnCount() == 2)
    names = [head(dialog, n) for n in range(dialog.table.rowCount())]
    assert {"Hill terrace", "Top terrace"} <= set(names)
    assert cell_of(dialog, names.index("Top terrace"), 0) == ""
    assert cell_of(dialog, names.index("Wall row"), 1) == cell
    assert other.read_bytes() == content


def test_its_own_file_and_no_season_are_refused(
    qtbot: QtBot, session: Session, tmp_path: Path
) -> None:
    dialog = SideBySideDialog(session)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.add_season(session.season.path)
    qtbot.waitUntil(lambda: "this season itself" in dialog.note.text)
    (tmp_path / "list.txt").write_text("milk")
    dialog.add_season(tmp_path / "list.txt")
    qtbot.waitUntil(lambda: "list.txt" in dialog.note.text)
    assert dialog.table.columnCount() == 1
