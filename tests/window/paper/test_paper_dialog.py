"""The dialog that prints a page or saves it as a PDF."""

from pathlib import Path

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtGui import QPagedPaintDevice, QPageSize, QPainter
from PySide6.QtPrintSupport import QPrintPreviewDialog
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from ripenroom.window.paper.output import PaperDialog
from ripenroom.window.session import Session


class Painted:
    """Paints a word and remembers on what."""

    def __init__(self) -> None:
        self.papers: list[QPageSize.PageSizeId] = []

    def __call__(self, device: QPagedPaintDevice) -> None:
        self.papers.append(device.pageLayout().pageSize().id())
        painter = QPainter(device)
        painter.drawText(100, 100, "word")
        painter.end()


@pytest.fixture
def painted() -> Painted:
    return Painted()


@pytest.fixture
def dialog(session: Session, painted: Painted, qtbot: QtBot) -> PaperDialog:
    made = PaperDialog(session, "Print it", "it", painted)
    qtbot.addWidget(made)
    made.show()
    return made


def test_it_is_saved_on_the_chosen_paper_and_that_is_remembered(
    dialog: PaperDialog,
    painted: Painted,
    session: Session,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "page"), ""))
    dialog.paper.choose("letter")
    with qtbot.waitSignal(session.said) as said:
        dialog.pdf_button.click()
    assert said.args is not None
    assert "page.pdf" in said.args[0]
    assert painted.papers == [QPageSize.PageSizeId.Letter]
    assert (tmp_path / "page.pdf").read_bytes().startswith(b"%PDF-")
    assert not dialog.isVisible()
    again = PaperDialog(session, "Print it", "it", painted)
    qtbot.addWidget(again)
    assert again.chosen_paper() == QPageSize.PageSizeId.Letter


def test_where_nothing_can_be_written_the_dialog_stays_and_says_why(
    dialog: PaperDialog, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "no such folder" / "page.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    dialog.pdf_button.click()
    assert dialog.isVisible()
    assert "page.pdf" in dialog._note.text


def test_the_preview_shows_the_page(dialog: PaperDialog, painted: Painted) -> None:
    shown: list[bool] = []

    def look() -> None:
        preview = QApplication.activeModalWidget()
        assert isinstance(preview, QPrintPreviewDialog)
        preview.grab()  # paints it
        shown.append(preview.isVisible())
        preview.reject()

    QTimer.singleShot(0, look)
    dialog.paper.choose("a4")
    dialog.action_button.click()
    assert shown == [True]
    assert painted.papers[0] == QPageSize.PageSizeId.A4
