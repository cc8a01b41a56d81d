"""The page "Today"."""

from PySide6.QtCore import QEvent, Qt, QUrl
from PySide6.QtGui import QFont, QKeySequence, QResizeEvent
from PySide6.QtWidgets import QFrame, QPushButton, QTextBrowser, QVBoxLayout, QWidget

from ripenroom.window.forms.flow import FlowLayout
from ripenroom.window.page import Page
from ripenroom.window.session import Session
from ripenroom.window.theme import ink
from ripenroom.window.today.content import DayPage, day_page
from ripenroom.window.today.html import page_html, pick_text
from ripenroom.window.today.paper import show_preview

_TWO_COLUMNS_EM = 68
"""From this many ems on there is room for two columns of readable sentences."""
_WIDEST_EM = 120
_LARGER = 1.2
"""This page is read from further away than the others."""

_PAGE_OF = {"market": "market_days", "place": "places", "picks": "picks", "queue": "queue"}


class TodayPage(Page):
    """A page to read in the morning; Tab goes from line to line, Enter follows."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self._content: DayPage | None = None
        self._written_in_two: bool | None = None
        self.pick_button = QPushButton(pick_text(), self)
        self.pick_button.setProperty("leading", True)
        self.pick_button.clicked.connect(lambda: self.goTo.emit("picks", None))
        self.print_button = QPushButton(self.tr("Print…"), self)
        self.print_button.setToolTip(self.tr("Print this page, to hang it in the packing shed"))
        self.print_button.setShortcut(QKeySequence.StandardKey.Print)
        self.print_button.clicked.connect(self._print)
        self.text = QTextBrowser(self)
        self.text.setOpenLinks(False)
        self.text.viewport().setAutoFillBackground(False)
        self.text.setFrameShape(QFrame.Shape.NoFrame)
        self.text.setAccessibleName(self.tr("Today"))
        self.text.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.text.anchorClicked.connect(self._follow)
        buttons = FlowLayout()
        buttons.addWidget(self.pick_button)
        buttons.addWidget(self.print_button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 4, 20, 8)
        layout.setSpacing(8)
        layout.addLayout(buttons)
        layout.addWidget(self.text, 1)
        self.setFocusProxy(self.text)

    @property
    def title(self) -> str:
        """The page's name as the user reads it."""
        return self.tr("Today")

    def refresh(self) -> None:
        """Write the page anew; the place where one was reading stays."""
        self._content = day_page(self.session)
        self._write()

    def changeEvent(self, event: QEvent) -> None:
        """Follow palette and text size."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.PaletteChange):
            self._write()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """One column or two, as the width allows."""
        super().resizeEvent(event)
        # The same columns on a page a little wider or narrower only want another margin.
        if self._has_two_columns() == self._written_in_two:
            self._fit()
        else:
            self._write()

    def _em(self) -> int:
        return self.fontMetrics().horizontalAdvance("m")

    def _text_width(self) -> int:
        return min(self.text.width(), _WIDEST_EM * self._em())

    def _has_two_columns(self) -> bool:
        return self._text_width() >= _TWO_COLUMNS_EM * self._em()

    def _write(self) -> None:
        if self._content is None:
            return
        bar = self.text.verticalScrollBar()
        kept = bar.value()
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * _LARGER)
        self.text.document().setDefaultFont(font)
        two = self._written_in_two = self._has_two_columns()
        words, points = self.session.words, font.pointSizeF()
        self.text.setHtml(page_html(self._content, words, ink(self), points, two))
        self._fit()
        bar.setValue(kept)

    def _fit(self) -> None:
        frame = self.text.document().rootFrame()
        shape = frame.frameFormat()
        shape.setRightMargin(max(self.text.width() - self._text_width(), 0))
        frame.setFrameFormat(shape)

    def _follow(self, url: QUrl) -> None:
        kind, _, record_id = url.toString().partition(":")
        if kind == "batch":
            self.openBatch.emit(record_id)
        elif kind in _PAGE_OF:
            self.goTo.emit(_PAGE_OF[kind], record_id or None)

    def _print(self) -> None:
        if self._content is not None:
            show_preview(self._content, self.session, self)
