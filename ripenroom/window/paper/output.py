"""Where printed things go: a preview and a printer, or a PDF file."""

import errno
import os
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QCoreApplication
from PySide6.QtGui import QPagedPaintDevice, QPageSize, QPdfWriter
from PySide6.QtWidgets import QFileDialog, QWidget

from ripenroom.private_file import private_file, with_ending
from ripenroom.records.refusal import Refusal, refused_by_system
from ripenroom.window.dialogs import ask
from ripenroom.window.proposed import proposed
from ripenroom.window.session import Session

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
        QCoreApplication.translate("Paper", "Save as PDF"),
        proposed(session.season.path.parent, name, _PDF),
        QCoreApplication.translate("Paper", "PDF files (*.pdf)"),
    )
    return with_ending(Path(chosen), _PDF) if chosen else None
