"""Several seasons side by side: rows of one name meet, files are only read."""

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from ripenroom.records.book import new_id
from ripenroom.records.file import SeasonFile
from ripenroom.window.forms.compare_seasons import CompareSeasonsDialog
from ripenroom.window.session import Session


def names_of(dialog: CompareSeasonsDialog) -> list[str]:
    """The rows of trees, by line."""
    vertical = Qt.Orientation.Vertical
    return [str(dialog.model.headerData(n, vertical)) for n in range(dialog.model.rowCount())]


def cell_of(dialog: CompareSeasonsDialog, name: str, season: int) -> str:
    """What is said of a row in a season."""
    return str(dialog.model.index(names_of(dialog).index(name), season).data())


def test_seasons_stand_beside_each_other(qtbot: QtBot, session: Session, tmp_path: Path) -> None:
    book = session.season.book
    rows = [replace(row, name=row.name.replace("Hill", "Top")) for row in book.rows.values()]
    other = tmp_path / "last.ripenroom"
    season = replace(book.season, id=new_id(), name="Last year")
    SeasonFile.create(other, season, book.with_changes(rows).records()).close()
    content = other.read_bytes()
    dialog = CompareSeasonsDialog(session)
    qtbot.addWidget(dialog)
    dialog.show()
    assert "Hill terrace" in names_of(dialog)
    cell = cell_of(dialog, "Wall row", 0)
    assert "bloom Sat 2 May" in cell
    assert "310 counted" in cell
    assert "83 picked" in cell
    dialog.add_season(other)
    qtbot.waitUntil(lambda: dialog.model.columnCount() == 2)
    assert {"Hill terrace", "Top terrace"} <= set(names_of(dialog))
    assert cell_of(dialog, "Top terrace", 0) == ""
    assert cell_of(dialog, "Wall row", 1) == cell
    assert other.read_bytes() == content
    assert not dialog.learned.isVisible()
    dialog.take_button.click()
    lessons = session.season.book.tree_lessons.values()
    assert {lesson.cultivar for lesson in lessons} >= {"Late pawpaws", "Middle pawpaws"}
    assert {lesson.taught_by for lesson in lessons} == {"Last year"}
    assert "Late pawpaws, 3 walks of Last year" in dialog.learned.text()
    dialog.forget_button.click()
    assert session.season.book.tree_lessons == {}
    assert dialog.take_button.isEnabled()


def test_its_own_file_and_no_season_are_refused(
    qtbot: QtBot, session: Session, tmp_path: Path
) -> None:
    dialog = CompareSeasonsDialog(session)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.add_season(session.season.path)
    qtbot.waitUntil(lambda: "this season itself" in dialog.note.text)
    (tmp_path / "list.txt").write_text("milk")
    dialog.add_season(tmp_path / "list.txt")
    qtbot.waitUntil(lambda: "list.txt" in dialog.note.text)
    assert dialog.model.columnCount() == 1
