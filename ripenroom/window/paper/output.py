"""What papers are made with, and where they go.

Lines of text that are measured in millimetres, and QR codes (ISO/IEC 18004); a preview and a
printer, or a PDF file.
"""

import errno
import os
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QFont,
    QFontMetricsF,
    QPagedPaintDevice,
    QPageSize,
    QPainter,
    QPdfWriter,
    QTextDocument,
)
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

POINTS = 12.0
"""Size of the text on lists."""

_PDF_DPI = 300
_PDF = ".pdf"


def print_rich_text(device: QPagedPaintDevice, html: str, font: QFont) -> None:
    """Print rich text on a printer or into a PDF."""
    document = QTextDocument()
    paper_font = QFont(font)
    paper_font.setPointSizeF(POINTS)
    document.setDefaultFont(paper_font)
    document.setHtml(html)
    document.print_(device)


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

    def loses_typed(self) -> bool:
        """Nothing of it would be kept."""
        return False

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


_SMALLEST_MM = 6.0 * 25.4 / 72.0
"""Six points: smaller print is no help to anybody."""

_FINE = 20.0
"""Fonts are measured in units of a twentieth millimetre: Qt rounds the size of tiny fonts."""


def write_line(
    painter: QPainter,
    place: QRectF,
    text: str,
    font: QFont,
    *,
    bold: bool = False,
    align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
) -> None:
    """One line, as large as its place allows in height and width, elided if it still is longer.

    One unit of the painter is a millimetre.
    """
    fitting = QFont(font)
    fitting.setBold(bold)
    pixels = place.height() * 0.78 * _FINE
    smallest = min(_SMALLEST_MM * _FINE, pixels)
    while True:
        fitting.setPixelSize(max(int(pixels), 1))
        wide = QFontMetricsF(fitting).horizontalAdvance(text)
        if wide <= place.width() * _FINE or pixels <= smallest:
            break
        pixels = max(smallest, min(pixels - 1, pixels * place.width() * _FINE / wide))
    metrics = QFontMetricsF(fitting)
    shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, place.width() * _FINE)
    spare = place.width() * _FINE - metrics.horizontalAdvance(shown)
    shift = {Qt.AlignmentFlag.AlignRight: spare, Qt.AlignmentFlag.AlignHCenter: spare / 2}
    painter.save()
    painter.translate(place.topLeft())
    painter.scale(1 / _FINE, 1 / _FINE)
    painter.setFont(fitting)
    painter.drawText(QPointF(shift.get(align, 0.0), metrics.ascent()), shown)
    painter.restore()


def lines_of(text: str, width_mm: float, height_mm: float, font: QFont, *, bold: bool) -> list[str]:
    """A text broken between words into lines that :func:`write_line` need not shrink."""
    full = QFont(font)
    full.setBold(bold)
    full.setPixelSize(max(int(height_mm * 0.78 * _FINE), 1))
    metrics = QFontMetricsF(full)
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and metrics.horizontalAdvance(longer) > width_mm * _FINE:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


QUIET_MODULES = 4
"""Empty modules around the code, as the standard asks for."""


@lru_cache(maxsize=256)
def modules(text: str) -> tuple[tuple[bool, ...], ...]:
    """The code's rows of modules, dark ones True, without the quiet zone."""
    import segno

    code = segno.make_qr(text, error="m")
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)


def paint_qr(painter: QPainter, square: QRectF, text: str) -> None:
    """Paint the code of ``text`` with its quiet zone into a square."""
    rows = modules(text)
    step = square.width() / (len(rows) + 2 * QUIET_MODULES)
    painter.save()
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(Qt.GlobalColor.black)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    for y, row in enumerate(rows):
        start = None
        # Neighbours as one bar: between two rectangles a printer may leave a hairline.
        for x, dark in enumerate((*row, False)):
            if dark and start is None:
                start = x
            elif not dark and start is not None:
                painter.drawRect(
                    QRectF(
                        square.left() + (QUIET_MODULES + start) * step,
                        square.top() + (QUIET_MODULES + y) * step,
                        (x - start) * step,
                        step,
                    )
                )
                start = None
    painter.restore()
