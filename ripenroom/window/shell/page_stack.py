"""The pages of one open season, with the head line above them."""

from collections.abc import Callable

from PySide6.QtCore import (
    QSignalBlocker,
    QSize,
    Qt,
    QTimer,
    Signal,
    SignalInstance,
)
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.page import Page
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.session import Session
from ripenroom.window.shell.menus import redo_text, undo_text
from ripenroom.window.shell.navigation import Navigation
from ripenroom.window.widgets.layouts import tab_as_laid_out

# A page's modules are imported when it is first gone to: the window starts with one page only.


def _today(session: Session) -> Page:
    from ripenroom.window.today.page import TodayPage

    return TodayPage(session)


def _rows(session: Session) -> Page:
    from ripenroom.window.rows.page import RowsPage

    return RowsPage(session)


def _picks(session: Session) -> Page:
    from ripenroom.window.picks.page import PicksPage

    return PicksPage(session)


def _queue(session: Session) -> Page:
    from ripenroom.window.queue.page import QueuePage

    return QueuePage(session)


def _plan(session: Session) -> Page:
    from ripenroom.window.plan.page import PlanPage

    return PlanPage(session)


def _market_days(session: Session) -> Page:
    from ripenroom.window.market_days.page import MarketDaysPage

    return MarketDaysPage(session)


def _places(session: Session) -> Page:
    from ripenroom.window.places.page import PlacesPage
    from ripenroom.window.queue.page import QueueStrip

    return PlacesPage(session, QueueStrip(session))


def _crops(session: Session) -> Page:
    from ripenroom.window.crops.page import CropsPage

    return CropsPage(session)


def _review(session: Session) -> Page:
    from ripenroom.window.review.page import ReviewPage

    return ReviewPage(session)


PAGES: dict[str, Callable[[Session], Page]] = {
    "today": _today,
    "rows": _rows,
    "picks": _picks,
    "queue": _queue,
    "plan": _plan,
    "market_days": _market_days,
    "review": _review,
    "places": _places,
    "crops": _crops,
}
_COLUMN_EMS = 58
"""Narrower than this many letters, the window has no room for the column of page names."""


class PageStack(QWidget):
    """Navigation, head line and pages; a page is made when it is first gone to."""

    openBatch = Signal(str)  # noqa: N815 - named as Qt names signals
    undoAsked = Signal()  # noqa: N815
    redoAsked = Signal()  # noqa: N815
    helpAsked = Signal()  # noqa: N815

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self._pages: dict[str, Page] = {}
        self.current = ""
        self._painted = False
        self.navigation = Navigation(list(page_titles()), self)
        self.addActions(list(self.navigation.actions_by_name.values()))
        self.navigation.chosen.connect(self.go_to)
        self._title = PlainLabel(parent=self)
        self._title.setObjectName("pageTitle")
        self.undo_button = self._head_button(self.undoAsked)
        self.redo_button = self._head_button(self.redoAsked)
        self.help_button = self._head_button(self.helpAsked)
        self.help_button.setText("?")
        self.help_button.setAccessibleName(tr("Help on this page"))
        set_hint(self.help_button, tr("What this page is for (F1)"))
        head = self._head = QHBoxLayout()
        head.setContentsMargins(20, 12, 20, 4)
        head.setSpacing(10)
        head.addWidget(self.navigation.menu_button)
        head.addWidget(self._title)
        head.addStretch(1)
        head.addWidget(self.undo_button)
        head.addWidget(self.redo_button)
        head.addWidget(self.help_button)
        self._stack = QStackedWidget(self)
        right = QVBoxLayout()
        right.setContentsMargins(0, 0, 0, 0)
        right.setSpacing(0)
        right.addLayout(head)
        right.addWidget(self._stack, 1)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.navigation)
        layout.addLayout(right, 1)
        session.changed.connect(self._on_changed)
        self._show_season()

    def _head_button(self, asked: SignalInstance) -> QPushButton:
        button = QPushButton(self)
        button.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        button.setMinimumWidth(48)
        button.clicked.connect(asked)
        return button

    def page(self, name: str) -> Page:
        """The page of that name."""
        if name not in self._pages:
            page = PAGES[name](self.session)
            page.openBatch.connect(self.openBatch)
            page.goTo.connect(self.go_to)
            self._stack.addWidget(page)
            if (laid_out := page.layout()) is not None:
                tab_as_laid_out(laid_out)
            self._pages[name] = page
        return self._pages[name]

    def go_to(self, name: str, record_id: object = None) -> None:
        """Bring a page to the front, and point it to a record if one is given."""
        if name not in PAGES:
            name = "today"
        page = self.page(name)
        came_anew = name != self.current
        self.current = name
        self._stack.setCurrentWidget(page)
        self._title.setText(page.title)
        self._title.setVisible(not self._is_narrow())
        self.navigation.show_chosen(name)
        self._show_history()
        begins = page.begins_at() if came_anew else None
        if begins is not None:
            begins.setFocus(Qt.FocusReason.OtherFocusReason)
        if isinstance(record_id, str):
            page.show_record(record_id)

    def keep_drafts(self) -> None:
        """Let every page put away what is typed but not entered."""
        for page in self._pages.values():
            page.keep_draft()

    def minimumSizeHint(self) -> QSize:
        """The column does not count: where it has no room it folds away."""
        least = super().minimumSizeHint()
        if self.navigation.isVisible():
            least.setWidth(least.width() - self.navigation.width())
        return least

    def paintEvent(self, event: QPaintEvent) -> None:
        """The plan is begun when the first page stands: starting is not slower for it."""
        super().paintEvent(event)
        if not self._painted:
            self._painted = True
            QTimer.singleShot(0, self.session.learning, self.session.learning.begin)
            QTimer.singleShot(0, self.session.plans, self.session.plans.begin)

    def resizeEvent(self, event: object) -> None:
        """Fold the column of page names into a button where it would crowd the page."""
        narrow = self._is_narrow()
        self.navigation.setVisible(not narrow)
        self.navigation.menu_button.setVisible(narrow)
        # The menu button already names the page.
        self._title.setVisible(not narrow)
        self._show_history()

    def _is_narrow(self) -> bool:
        return self.width() < _COLUMN_EMS * self.fontMetrics().horizontalAdvance("n") * 1.8

    def _on_changed(self, changed: Changed) -> None:
        if changed.records:
            self._show_season()

    def _show_season(self) -> None:
        self.navigation.season_label.setText(self.session.season.book.season.name)
        self._show_history()

    def _show_history(self) -> None:
        season = self.session.season
        writable = season.read_only_because is None
        texts = undo_text(season.undo_label), redo_text(season.redo_label)
        rooms = self._rooms_of_history(texts)
        for button, label, text, room in (
            (self.undo_button, season.undo_label, texts[0], rooms[0]),
            (self.redo_button, season.redo_label, texts[1], rooms[1]),
        ):
            with QSignalBlocker(button):
                button.setText(
                    button.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, room)
                )
            set_hint(button, text)
            button.setAccessibleName(text)
            button.setEnabled(writable and bool(label))

    def _rooms_of_history(self, texts: tuple[str, str]) -> tuple[int, int]:
        """How wide the texts of Undo and Redo may be: what the head has left beside its other
        parts, of which the shorter takes no more than it needs."""
        margins = self._head.contentsMargins()
        beside = [self.help_button.sizeHint().width(), margins.left(), margins.right()]
        for part in (self.navigation.menu_button, self._title):
            if not part.isHidden():
                beside.append(part.sizeHint().width())
        beside.append(self._head.spacing() * self._head.count())
        letters = self.undo_button.fontMetrics()
        for button in (self.undo_button, self.redo_button):
            beside.append(button.sizeHint().width() - letters.horizontalAdvance(button.text()))
        whole = self.width() - sum(beside)
        if not self.navigation.isHidden():
            whole -= self.navigation.sizeHint().width()
        undo, redo = (letters.horizontalAdvance(text) + 1 for text in texts)
        half = max(_LEAST_HISTORY_PX, whole // 2)
        if undo + redo <= whole:
            return undo, redo
        return max(half, whole - redo), max(half, whole - undo)


_LEAST_HISTORY_PX = 60
"""Undo and Redo are never narrower than that."""


def page_titles() -> tuple[tuple[str, str], ...]:
    """The pages by name, and what they are called."""
    return (
        ("today", tr("Today")),
        ("rows", tr("Rows")),
        ("picks", tr("Picks")),
        ("queue", tr("Shelf queue")),
        ("plan", tr("Plan")),
        ("market_days", tr("Market days")),
        ("review", tr("Review")),
        ("places", tr("Places")),
        ("crops", tr("Crops")),
    )
