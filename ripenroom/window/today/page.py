"""The page "Today"."""

from dataclasses import replace

from PySide6.QtCore import QEvent, QRect, Qt, QUrl
from PySide6.QtGui import QFont, QKeySequence, QPagedPaintDevice, QResizeEvent, QTextDocument
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from ripenroom.season.day_sheet import DayTask, DayTaskKind
from ripenroom.texts import tr
from ripenroom.window.dialogs import ask
from ripenroom.window.forms.expected_picks import ExpectedPicksDialog
from ripenroom.window.page import Page
from ripenroom.window.palette import HIGH_CONTRAST
from ripenroom.window.plain import PlainLabel, set_hint, set_margins
from ripenroom.window.plan_status import PlanStatus
from ripenroom.window.session import Session
from ripenroom.window.style_sheet import DAY_TIMES
from ripenroom.window.theme import ink
from ripenroom.window.today.rich_text import (
    GrownText,
    date_words,
    outlook_html,
    page_html,
    pick_text,
    stays_html,
    tasks_html,
)
from ripenroom.window.today.sheet import Sheet
from ripenroom.window.today.stays import StaysList
from ripenroom.window.today.ticking import SteadyOrder, Ticking, line_of
from ripenroom.window.widgets.layouts import FlowLayout, tab_as_laid_out
from ripenroom.wording.today.page import DayPage, day_page

_POINTS = 11.0


def print_on(device: QPagedPaintDevice, page: DayPage, session: Session, font: QFont) -> None:
    """Print the page on a printer or into a PDF."""
    document = QTextDocument()
    paper_font = QFont(font)
    paper_font.setPointSizeF(_POINTS)
    document.setDefaultFont(paper_font)
    document.setHtml(page_html(page, session.words, HIGH_CONTRAST, _POINTS))
    document.print_(device)


_TWO_COLUMNS_EM = 68
"""From this many ems on there is room for two columns of readable sentences."""
_WIDEST_EM = 120

_ASKED = (DayTaskKind.CHECK, DayTaskKind.SETTLE, DayTaskKind.PACK)
"""Tasks whose lines lead to a form."""

_PAGE_OF = {
    "market": "market_days",
    "place": "places",
    "picks": "picks",
    "queue": "queue",
    "rows": "rows",
}


class TodayPage(Page):
    """The day sheet to tick, and what else to know in the morning.

    Tab goes from box to box and from link to link, Space or Enter ticks, Enter follows a link.
    """

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._content: DayPage | None = None
        self._in_two: bool | None = None
        self._put_off = False
        self._doing = Ticking(session, self)
        self._order = SteadyOrder()
        self.pick_button = QPushButton(pick_text(), self)
        self.pick_button.setProperty("leading", True)
        self.pick_button.clicked.connect(lambda: self.goTo.emit("picks", None))
        self.print_button = QPushButton(tr("Print…"), self)
        set_hint(self.print_button, tr("Print this page to hang in the packing shed"))
        self.print_button.setShortcut(QKeySequence.StandardKey.Print)
        self.print_button.clicked.connect(self._print)
        inner = self._inner = QWidget(self)
        self.date = PlainLabel(parent=inner)
        # The style sheet gives its size: it would undo a font set here whenever it is put on.
        self.date.setObjectName("dayDate")
        self.date.setWordWrap(True)
        self.status = PlanStatus(session, inner)
        self.sheet = Sheet(self._why_not, lambda task: line_of(task, session.season.book), inner)
        self.sheet.tickAsked.connect(self._on_tick)
        self.sheet.followed.connect(self._follow_link)
        self.tasks_text = GrownText(tr("What else to do, and places"), inner)
        self.outlook_text = GrownText(tr("Next market day and week"), inner)
        self.stays = StaysList(inner)
        self.stays.followed.connect(self._follow)
        self.stays.looked_at.connect(lambda rect: self._keep_in_sight(self.stays.text, rect))
        for text in (self.tasks_text, self.outlook_text):
            text.anchorClicked.connect(self._follow)
            text.looked_at.connect(lambda rect, text=text: self._keep_in_sight(text, rect))
        self._holders = (self.sheet, self.tasks_text, self.outlook_text, self.stays.text)
        for holder in self._holders:
            holder.letGo.connect(self._catch_up)
        self._grid = QGridLayout(inner)
        set_margins(self._grid, 0, 0, 8, 16)
        self._grid.setHorizontalSpacing(32)
        self._grid.setVerticalSpacing(10)
        self.scroller = QScrollArea(self)
        self.scroller.setWidgetResizable(True)
        self.scroller.setFrameShape(QFrame.Shape.NoFrame)
        self.scroller.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.scroller.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.scroller.setWidget(inner)
        buttons = FlowLayout()
        buttons.addWidget(self.pick_button)
        buttons.addWidget(self.print_button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 4, 20, 8)
        layout.setSpacing(8)
        layout.addLayout(buttons)
        layout.addWidget(self.scroller, 1)
        session.plans.planned.connect(self.show_again)
        session.plans.advised.connect(self.show_again)

    @property
    def title(self) -> str:
        """The page's name as the user reads it."""
        return tr("Today")

    def refresh(self) -> None:
        """Write the page again; the place where one was reading stays.

        While a key or the mouse is down on a line that is put off: what is pressed would be gone
        before it is let go.
        """
        self._put_off = self._is_held()
        if self._put_off:
            return
        sheet = self._doing.sheet()
        tasks = self._order.of(sheet.tasks, self.session.season.book)
        self._content = day_page(self.session, replace(sheet, tasks=tasks))
        self._write()

    def changeEvent(self, event: QEvent) -> None:
        """Follow palette and text size."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.PaletteChange):
            self._put_off = self._put_off or self._is_held()
            if not self._put_off:
                self._write()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """One column or two, as the width allows."""
        super().resizeEvent(event)
        self._arrange()

    def _is_held(self) -> bool:
        return any(holder.held for holder in self._holders)

    def _catch_up(self) -> None:
        if self._put_off:
            self._put_off = False
            self.show_again()

    def _em(self) -> int:
        return self.fontMetrics().horizontalAdvance("m")

    def _write(self) -> None:
        page = self._content
        if page is None:
            return
        bar = self.scroller.verticalScrollBar()
        kept = bar.value()
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * DAY_TIMES)
        colours, words, points = ink(self), self.session.words, font.pointSizeF()
        self.date.setText(f"{date_words(page, words)} · {page.season_name}")
        for widget in (self.status, self.sheet):
            widget.setVisible(page.batches > 0)
        self.sheet.show_tasks(page.sheet, page.no_tasks, words, colours, font)
        stays = stays_html(page, words, colours, points)
        self.stays.show_stays(stays, page.crates_staying, font)
        self.tasks_text.write(tasks_html(page, words, colours, points), font)
        self.outlook_text.write(outlook_html(page, words, colours, points), font)
        self._arrange()
        if (laid_out := self.layout()) is not None:
            tab_as_laid_out(laid_out)
        bar.setValue(kept)

    def _arrange(self) -> None:
        """Put what is to be done left and the look ahead right, or all of it in one column."""
        width = min(self.width(), _WIDEST_EM * self._em())
        two = width >= _TWO_COLUMNS_EM * self._em()
        set_margins(self._grid, 0, 0, max(self.width() - width, 0) + 8, 16)
        if two == self._in_two:
            return
        self._in_two = two
        left = (
            self.date,
            self.status,
            self.sheet,
            self.stays,
            self.tasks_text,
        )
        # Removed, not taken: an item that lives on keeps its widget's news from the next one.
        for placed in (*left, self.outlook_text):
            self._grid.removeWidget(placed)
        for row, widget in enumerate(left):
            self._grid.addWidget(widget, row, 0, 1, 2 if two and row < 1 else 1)
        if two:
            self._grid.addWidget(self.outlook_text, 1, 1, len(left), 1, Qt.AlignmentFlag.AlignTop)
        else:
            self._grid.addWidget(self.outlook_text, len(left), 0)
        self._grid.setColumnStretch(0, 4)
        self._grid.setColumnStretch(1, 3 if two else 0)
        self._grid.setRowStretch(len(left) + 1, 1)

    def _keep_in_sight(self, text: GrownText, rect: QRect) -> None:
        spot = text.viewport().mapTo(self._inner, rect.center())
        self.scroller.ensureVisible(spot.x(), spot.y(), 0, 3 * self.fontMetrics().height())

    # What is done

    def _why_not(self, task: DayTask) -> str:
        """Why a task's box cannot be changed; empty where it can."""
        read_only = self.session.season.read_only_because
        if read_only:
            return read_only
        if task.carrying is not None and not all(one.batch_id for one in task.carrying.lines):
            return tr("Enter the pick first")
        if task.done and not self._doing.can_untick(task):
            return tr("Done; Ctrl+Z takes the last change back")
        return ""

    def _on_tick(self, task: DayTask, done: bool) -> None:
        if done:
            self._doing.tick(task)
        else:
            self._doing.untick(task)
        # A refused or cancelled tick must not stay in the box.
        self.refresh()

    def _follow(self, url: QUrl) -> None:
        self._follow_link(url.toString())

    def _follow_link(self, link: str) -> None:
        kind, _, record_id = link.partition(":")
        if kind == "batch":
            self.openBatch.emit(record_id)
        elif kind in _ASKED and self.session.season.read_only_because:
            self.session.say(self.session.season.read_only_because)
        elif kind == DayTaskKind.CHECK:
            self._doing.open_check(record_id)
        elif kind == DayTaskKind.SETTLE:
            self._doing.open_settling(record_id)
        elif kind == "expected":
            ask(ExpectedPicksDialog(self.session, self))
        elif kind == DayTaskKind.PACK:
            self._doing.open_packing(record_id)
        elif kind in _PAGE_OF:
            self.goTo.emit(_PAGE_OF[kind], record_id or None)

    def _print(self) -> None:
        if self._content is not None:
            from ripenroom.window.paper.output import PaperDialog

            content, font = self._content, self.font()
            dialog = PaperDialog(
                self.session,
                tr("Print today’s page"),
                f"{self.session.season.now():%Y-%m-%d}",
                lambda device: print_on(device, content, self.session, font),
                self,
            )
            ask(dialog)
