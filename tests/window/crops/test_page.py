"""The Crops page over a real season."""

import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QTimer, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.file import SeasonFile
from ripenroom.records.orchard import OwnCrop
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.window.crops.copy_dialog import CopyCropDialog
from ripenroom.window.crops.figure_dialog import FigureDialog
from ripenroom.window.crops.page import CropsPage
from ripenroom.window.session import Session


@pytest.fixture
def page(qtbot: QtBot, session: Session) -> CropsPage:
    made = CropsPage(session)
    qtbot.addWidget(made)
    made.resize(1000, 600)
    made.show()
    return made


def facts_of(page: CropsPage, key: str) -> tuple[str, ...]:
    return next(entry.facts for entry in page._entries() if entry.key == key)


def drop(page: CropsPage, path: Path) -> bool:
    """Drag a file over the page and let it go; whether the page would take it."""
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path))])
    action, left = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton
    none = Qt.KeyboardModifier.NoModifier
    over = QDragEnterEvent(QPoint(5, 5), action, mime, left, none)
    over.ignore()
    page.dragEnterEvent(over)
    if over.isAccepted():
        page.dropEvent(QDropEvent(QPointF(5, 5), action, mime, left, none))
    return over.isAccepted()


def test_every_crop_is_listed_with_what_to_know_first(page: CropsPage, session: Session) -> None:
    assert page.list.list.count() == len(session.season.crops)
    assert facts_of(page, "tomato")[0] == "by color · built in"
    session.season.do(actions.crops.save, session.season.crop_text("tomato"))
    assert facts_of(page, "tomato")[0] == "by color · own"


def test_a_crop_is_found_by_a_cultivar_and_a_kind(page: CropsPage) -> None:
    page.list.finder.setText("fuyu")
    assert page.list.current() == "persimmon"
    page.list.finder.setText("sharon")
    assert page.list.current() == "persimmon_astringent"


def test_choosing_shows_the_crop(page: CropsPage) -> None:
    page.show_record("pear")
    assert page.view.key == "pear"
    assert page.list.current() == "pear"


def test_a_wide_window_cuts_no_name_and_no_source_short(
    qtbot: QtBot, page: CropsPage, session: Session
) -> None:
    page.resize(1700, 900)
    QApplication.processEvents()
    assert page.list.list.viewport().width() >= page.list.list.sizeHintForColumn(0)
    assert page.list.width() >= page.list.natural_width()
    for key in session.season.crops:
        page.show_record(key)
        tree = page.view.figures.tree
        assert tree.columnWidth(2) >= tree.sizeHintForColumn(2), key
        origins = (tree.topLevelItem(n) for n in range(tree.topLevelItemCount()))
        cut = [item.text(2) for item in origins if item is not None and "…" in item.text(2)]
        assert cut == [], key


def test_in_a_narrow_window_the_crop_keeps_two_thirds(page: CropsPage) -> None:
    page.resize(830, 600)
    QApplication.processEvents()
    assert page.view.width() >= 0.6 * page.width()


def test_a_copy_is_made_and_shown(page: CropsPage, session: Session) -> None:
    page.show_record("pawpaw")

    def answer() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, CopyCropDialog)
        dialog.accept()

    QTimer.singleShot(0, answer)
    page.view.copy_button.click()
    assert page.list.current() == "pawpaw_own"
    assert page.view.key == "pawpaw_own"


def test_an_edited_figure_is_shown_and_undone(page: CropsPage, session: Session) -> None:
    page.show_record("pawpaw")
    page.view.figures.select(("firmness", "ready"))
    shipped = page.view.figures.current()
    assert shipped is not None

    def answer() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, FigureDialog)
        dialog.numbers["value"].setText("9")
        dialog.source.source.choose("estimate")
        dialog.source.note.setPlainText("By my own gauge.")
        dialog.accept()

    QTimer.singleShot(0, answer)
    page.view.figures.edit_button.click()
    line = page.view.figures.current()
    assert line is not None
    assert line.text.startswith("9.0 N")
    assert facts_of(page, "pawpaw")[0].endswith("own")
    session.season.undo()
    line = page.view.figures.current()
    assert line is not None
    assert line.text == shipped.text


def test_own_figures_are_deleted_back_to_the_shipped_ones(
    page: CropsPage, session: Session
) -> None:
    session.season.do(actions.crops.save, session.season.crop_text("pawpaw"))
    page.show_record("pawpaw")
    page.view.delete_button.click()
    assert session.season.own_crop_keys == frozenset()
    assert not page.view.delete_button.isVisible()


def test_a_dropped_profile_is_imported_and_shown(
    page: CropsPage, session: Session, tmp_path: Path
) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(session.season.crop_text("plum").replace('"Plum"', '"My plum"'), "utf-8")
    said: list[str] = []
    session.said.connect(said.append)
    assert drop(page, path)
    assert session.season.crops["plum"].name == "My plum"
    assert page.list.current() == "plum"
    assert "My plum" in said[-1]
    session.season.undo()
    assert session.season.own_crop_keys == frozenset()


def test_a_dropped_file_that_is_no_profile_is_refused(
    page: CropsPage, session: Session, tmp_path: Path
) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("key = 1", "utf-8")
    refused: list[Exception] = []
    session.refused.connect(refused.append)
    assert drop(page, bad)
    assert str(bad) in str(refused[0])
    photo = tmp_path / "photo.jpg"
    photo.write_bytes(b"")
    assert not drop(page, photo)


def test_a_profile_is_exported(page: CropsPage, session: Session, tmp_path: Path) -> None:
    page.export_file("pawpaw", tmp_path / "out.toml")
    assert (tmp_path / "out.toml").read_text("utf-8") == session.season.crop_text("pawpaw")
    refused: list[Exception] = []
    session.refused.connect(refused.append)
    page.export_file("pawpaw", tmp_path / "none" / "out.toml")
    assert len(refused) == 1


def test_an_own_crop_that_cannot_be_read_says_why_and_can_be_deleted(
    qtbot: QtBot, season_path: Path, session: Session
) -> None:
    session.season.close()
    file = SeasonFile.open(season_path)
    file.write("import", [OwnCrop(id="own", key="medlar", text="key = 1")])
    file.close()
    damaged = Session(Season.open(season_path), session.settings)
    page = CropsPage(damaged)
    qtbot.addWidget(page)
    page.show()
    assert facts_of(page, "medlar") == ("cannot be read",)
    page.show_record("medlar")
    assert "medlar" in page.view.problem.text()
    assert not page.view.tabs.isVisible()
    page.view.delete_button.click()
    assert "medlar" not in [entry.key for entry in page._entries()]
    damaged.close()


def test_a_season_that_is_only_read_changes_no_crop(
    qtbot: QtBot, season_path: Path, session: Session
) -> None:
    second = Session(Season.open(season_path, read_only=True), session.settings)
    page = CropsPage(second)
    qtbot.addWidget(page)
    page.show()
    for button in (page.import_button, page.view.copy_button, page.view.figures.edit_button):
        assert not button.isEnabled()
    assert page.view.export_button.isEnabled()
    second.close()


def test_the_page_is_shown_without_importing_charts() -> None:
    script = (
        "import sys, ripenroom.window.crops.page;"
        "print([m for m in ('pyqtgraph', 'pandas') if m in sys.modules])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=60
    )
    assert ran.stdout.strip() == "[]"
