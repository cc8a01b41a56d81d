"""Where printed things go: a preview and a printer, or a PDF file."""

import errno
import os
from collections.abc import Callable
from pathlib import Path

from PySide6.QtGui import QPagedPaintDevice, QPageSize, QPdfWriter
from PySide6.QtWidgets import QFileDialog, QPushButton, QWidget

from ripenroom.private_file import private_file, with_ending
from ripenroom.records.refusal import Refusal, refused_by_system
from ripenroom.texts import tr
from ripenroom.window.dialogs import ask, proposed
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice

Paint = Callable[[QPagedPaintDevice], object]
"""Paints all pages on a device."""

_PDF_DPI = 300
_PDF = ".pdf"


def usual_paper(session: Session) -> QPageSize.PageSizeId:
    """Letter where the season is read in US units, else A4."""
    us = session.season.book.season.units == "us"
    return QPageSize.PageSizeId.Letter if us else QPageSize.PageSizeId.A4


def show_preview(
    session: Session, paint: Paint, paper: QPageSize.PageSizeId, parent: QWidget
) -> None:
    """Show the pages before they are printed."""
    # Printing support takes a while to load and is rarely needed.
    from PySide6.QtPrintSupport import QPrinter, QPrintPreviewDialog

    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setPageSize(QPageSize(paper))
    preview = QPrintPreviewDialog(printer, parent)

    def print_or_write(device: "QPrinter") -> None:
        # To a file that was chosen in the print dialog Qt itself would write, over anything.
        if not device.outputFileName():
            paint(device)
            return
        try:
            size = QPageSize(device.pageLayout().pageSize()).id()
            write_pdf(paint, size, with_ending(Path(device.outputFileName()), _PDF))
        except Refusal as refusal:
            session.refuse(refusal)

    preview.paintRequested.connect(print_or_write)
    ask(preview)


def write_pdf(paint: Paint, paper: QPageSize.PageSizeId, path: Path) -> None:
    """Write the pages into a PDF file; raises :class:`Refusal` where that cannot be."""
    try:
        with private_file(path) as unfinished:
            writer = QPdfWriter(str(unfinished))
            writer.setResolution(_PDF_DPI)
            writer.setPageSize(QPageSize(paper))
            writer.setCreator("ripenroom")
            paint(writer)
            # Qt says nothing of a disk that is full.
            if not unfinished.read_bytes().rstrip().endswith(b"%%EOF"):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    except OSError as error:
        raise refused_by_system(path.name, error) from error


def choose_pdf(session: Session, parent: QWidget, name: str) -> Path | None:
    """Ask where to write a PDF; None if nowhere."""
    chosen, _ = QFileDialog.getSaveFileName(
        parent,
        tr("Save as PDF"),
        proposed(session.season.path.parent, name, _PDF),
        tr("PDF files (*.pdf)"),
    )
    return with_ending(Path(chosen), _PDF) if chosen else None


_KEY = "paper"
_PAPERS = {"a4": QPageSize.PageSizeId.A4, "letter": QPageSize.PageSizeId.Letter}


class PaperDialog(FormDialog):
    """Prints what ``paint`` paints; nothing in the season changes.

    ``title`` says what it is; a PDF is called ``name`` unless the user says otherwise.
    """

    def __init__(
        self, session: Session, title: str, name: str, paint: Paint, parent: QWidget | None = None
    ) -> None:
        super().__init__(session, parent)
        self._name = name
        self._paint = paint
        self.setWindowTitle(title)
        self.action_button.setText(tr("&Preview and print…"))
        self.pdf_button = QPushButton(tr("Save as P&DF…"), self)
        self.pdf_button.setAutoDefault(False)
        self.pdf_button.clicked.connect(self.save)
        self.buttons.insertWidget(1, self.pdf_button)
        self.setTabOrder(self.action_button, self.pdf_button)
        self.paper = RecordChoice(24)
        self.paper.set_choices(
            [("a4", tr("A4, 210 × 297 mm")), ("letter", tr("Letter, 8.5 × 11 in"))]
        )
        usual = next(key for key, size in _PAPERS.items() if size == usual_paper(session))
        self.paper.choose(usual)
        self.paper.choose(str(session.settings.value(_KEY, "")))
        self.add("paper", Field(tr("P&aper"), self.paper))
        self.fit()

    def chosen_paper(self) -> QPageSize.PageSizeId:
        """The paper to print on, which is remembered."""
        key = str(self.paper.value())
        self.session.settings.setValue(_KEY, key)
        return _PAPERS[key]

    def carry_out(self) -> None:
        """Show the pages as they will be printed."""
        show_preview(self.session, self._paint, self.chosen_paper(), self)

    def save(self) -> None:
        """Ask where to, and write the pages into a PDF file."""
        self.board.clear()
        path = choose_pdf(self.session, self, self._name)
        if path is not None and self.session.run(
            tr("Saved in {file}").format(file=path.name),
            lambda: write_pdf(self._paint, self.chosen_paper(), path),
            self.board.show,
        ):
            self.reject()  # it is done, and there is nothing to carry out
