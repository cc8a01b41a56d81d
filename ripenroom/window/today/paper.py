"""The day page on paper: black on white whatever the screen looks like."""

from PySide6.QtGui import QFont, QPagedPaintDevice, QTextDocument

from ripenroom.window.inks import HIGH_CONTRAST
from ripenroom.window.session import Session
from ripenroom.window.today.content import DayPage
from ripenroom.window.today.html import page_html

_POINTS = 11.0


def print_on(device: QPagedPaintDevice, page: DayPage, session: Session, font: QFont) -> None:
    """Print the page on a printer or into a PDF."""
    document = QTextDocument()
    paper_font = QFont(font)
    paper_font.setPointSizeF(_POINTS)
    document.setDefaultFont(paper_font)
    document.setHtml(page_html(page, session.words, HIGH_CONTRAST, _POINTS))
    document.print_(device)
