"""The page "Shelf queue"."""

from datetime import date
from typing import TypeGuard

from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QMenu, QPushButton, QVBoxLayout, QWidget

from ripenroom.records.book import Book
from ripenroom.records.refusal import Refusal
from ripenroom.season.amounts import crates_left
from ripenroom.season.projection import Projection
from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.forms.expected_pick import ExpectedPickDialog
from ripenroom.window.forms.market_day import MarketDayDialog
from ripenroom.window.page import Page, SeasonView
from ripenroom.window.plain import PlainLabel, unbroken
from ripenroom.window.plan_status import PlanWords, plan_state_words
from ripenroom.window.queue.batch_order import Filter, Shown, SortBy
from ripenroom.window.queue.canvas import QueueCanvas
from ripenroom.window.queue.controls import QueueControls
from ripenroom.window.queue.decide import DecideDialog, Decision
from ripenroom.window.queue.hints import HintedPicture
from ripenroom.window.queue.legend import QueueLegend, marks_in
from ripenroom.window.queue.menu import add_plan, batch_menu, show_check
from ripenroom.window.queue.paint_cold import spoilt_by_cold
from ripenroom.window.queue.scene import Scene, SceneMaker
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import SnugScroll, scrolling_column

_LEAST_LINES = 9
"""The queue is never lower than so many lines: its heading, and some batches."""

_SAID_LINES, _LOW_SAID_LINES = 4, 2
"""Lines of words that always have room, so that the queue does not jump as the mouse moves; and
where height is scarce."""
_KEY_LINES = 25
"""A page of so many lines has room for what the marks of every line mean, be it low or not."""


class QueuePage(Page):
    """Controls, the queue, the words of what is pointed at, and the legend."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._maker = SceneMaker(session)
        self._scene: Scene | None = None
        self.controls = QueueControls(session.settings, self)
        self.canvas = QueueCanvas(self)
        self.canvas.hand.decider = Decision(session)
        self.plan_state = PlanWords(self.canvas, self.canvas.spare_corner)
        self.said = PlainLabel(parent=self)
        self.said.setWordWrap(True)
        self.said.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.said.setAccessibleName(tr("More about this batch"))
        self._said_scroll = SnugScroll(self.said, self)
        self._said_scroll.keep_lines(_SAID_LINES)
        self.nothing = _Nothing(self)
        layout = scrolling_column(self, self.canvas, _LEAST_LINES)
        layout.setContentsMargins(20, 4, 20, 8)
        layout.setSpacing(6)
        layout.addWidget(self.controls)
        layout.addWidget(self.nothing)
        layout.addWidget(self.canvas, 1)
        self._low = False
        self.legend = QueueLegend(session.settings, self)
        foot = QHBoxLayout()
        foot.setSpacing(12)
        foot.addWidget(self._said_scroll, 1)
        foot.addWidget(self.legend.all, 0, Qt.AlignmentFlag.AlignTop)
        layout.addLayout(foot)
        layout.addWidget(self.legend)
        self.controls.changed.connect(self.refresh)
        self.controls.today.clicked.connect(self.canvas.go_to_today)
        self.controls.everything.clicked.connect(self.canvas.show_all)
        self.controls.nearer.clicked.connect(lambda: self.canvas.zoom(1.25))
        self.controls.further.clicked.connect(lambda: self.canvas.zoom(0.8))
        self.canvas.opened.connect(self.openBatch)
        self.canvas.expectedOpened.connect(self.edit_expected_pick)
        self.canvas.pointed.connect(self._say)
        self.canvas.dayAsked.connect(self.add_market_day)
        self.canvas.bandOpened.connect(self.edit_market_day)
        self.canvas.menuAsked.connect(self._show_menu)
        self.canvas.checkAsked.connect(self.check)
        self.canvas.decisionAsked.connect(self.decide)
        self.controls.moves.toggled.connect(self.canvas.show_all_moves)
        self.canvas.show_all_moves(self.controls.moves.isChecked())
        self._book: Book | None = None
        self._postponed = False
        self.canvas.hand.tried.connect(self._catch_up)
        self.nothing.pick.clicked.connect(lambda: self.goTo.emit("picks", None))
        self.nothing.unfilter.clicked.connect(self.controls.show_everything)
        session.previewed.connect(self._on_previewed)
        session.plans.planned.connect(self.show_again)
        session.plans.working_changed.connect(self._show_plan_state)
        self.canvas.setFocus()  # where the page begins; a proxy would hide what lies before it

    @property
    def title(self) -> str:
        """The page's name as the user reads it."""
        return tr("Shelf queue")

    def touched_by(self, changed: Changed) -> bool:
        """Fruit that hangs is not on the shelves; the plan tells what it makes likely."""
        return changed.beyond_trees

    def refresh(self) -> None:
        """Show the season as it is now; what is tried is not torn away by the clock or a plan."""
        self._postponed = self.canvas.hand.busy and self._book is self.session.season.book
        if self._postponed:
            return
        self._book = self.session.season.book
        scene = self._maker.scene(self.controls.sort_by(), self.controls.keep())
        before = self.controls.keep()
        self.controls.offer(scene.facts.crops, scene.facts.places)
        if self.controls.keep() != before:  # the filtered crop or place is no more
            scene = self._maker.scene(self.controls.sort_by(), self.controls.keep())
        self._scene = scene
        batches = len(scene.facts.batch_ids) + len(scene.expected)
        self.nothing.show_for(batches=batches, lines=scene.rows)
        self.legend.show_gates(any(scene.facts.gates[line] for line in scene.order.tolist()))
        self.legend.show_cold(bool(spoilt_by_cold(scene.projection)[scene.order].any()))
        shown = {scene.facts.batch_ids[line] for line in scene.order.tolist()}
        self.legend.show_moves(not shown.isdisjoint(scene.facts.moves))
        self.legend.show_plan(marks_in(scene))
        self.canvas.set_scene(scene, self.session.words)
        self._show_plan_state()

    def show_low(self, low: bool) -> None:
        """Batches first: marks are explained when asked for, and of more words the rest scrolls."""
        self._low = low
        self.controls.be_tight(low)
        self._fit_key()
        if low:
            self._said_scroll.keep_lines(_LOW_SAID_LINES, _LOW_SAID_LINES)
        else:
            self._said_scroll.keep_lines(_SAID_LINES)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The marks of every line are explained as soon as there is room."""
        super().resizeEvent(event)
        self._fit_key()

    def _fit_key(self) -> None:
        room = self.height() >= _KEY_LINES * self.fontMetrics().lineSpacing()
        self.legend.show_low(self._low and not room)

    def show_record(self, record_id: str) -> None:
        """Select a batch; it is brought back if the filter hides it."""
        if self._scene is None:
            return
        line = self._scene.projection.line_of.get(record_id)
        if line is not None and line not in self._scene.order:
            self.controls.show_everything()
        self.canvas.select_batch(record_id)

    def add_market_day(self, day: date | None) -> None:
        """Ask for a new market day on a day."""
        if self.session.season.read_only_because is None:
            MarketDayDialog(self.session, on=day, parent=self).open()

    def edit_market_day(self, market_day_id: str) -> None:
        """Show a market day's form."""
        day = self.session.season.book.market_days.get(market_day_id)
        if day is not None and self.session.season.read_only_because is None:
            MarketDayDialog(self.session, day=day, parent=self).open()

    def _catch_up(self) -> None:
        if self._postponed and not self.canvas.hand.busy:
            QTimer.singleShot(0, self, self.refresh)

    def check(self, batch_id: str | None) -> None:
        """Show the form for what fruit of a batch feels like now."""
        if self._may_change(batch_id):
            show_check(self.session, batch_id, self)

    def decide(self, batch_id: str | None) -> None:
        """Show the form in which crates of a batch are decided on."""
        season = self.session.season
        if not self._may_change(batch_id):
            return
        try:
            crates_left(season.book, season.crops, season.book.batches[batch_id])
        except Refusal as refusal:
            self.session.refuse(refusal)
            return
        DecideDialog(self.session, batch_id, self.canvas.chosen_way(), self).open()

    def _may_change(self, batch_id: str | None) -> TypeGuard[str]:
        """Whether something can be done with a batch; says why not."""
        why_not = self.session.season.read_only_because or ""
        if not why_not and self.canvas.selected_pick() is not None:
            why_not = tr("This fruit is not picked yet. Enter edits the expected pick.")
        elif not why_not and batch_id is None:
            why_not = tr("Select a batch first: ↑ ↓.")
        if why_not:
            self.session.say(why_not)
        return not why_not

    def edit_expected_pick(self, pick_id: str) -> None:
        """Show an expected pick's form."""
        season = self.session.season
        if pick_id in season.book.expected_picks and season.read_only_because is None:
            form = ExpectedPickDialog(self.session, pick_id, self)
            form.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
            form.open()

    def _show_menu(self, batch_id: str | None, day: date | None, spot: QPoint) -> None:
        menu = batch_menu(
            self.session, batch_id, day, self.openBatch.emit, self.add_market_day, self,
            self._add_plan,
        )  # fmt: skip
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(spot)

    def _add_plan(self, menu: QMenu, batch_id: str) -> None:
        way, hand = self.canvas.chosen_way(), self.canvas.hand
        add_plan(menu, self.session, hand, way, batch_id, self.decide)

    def _show_plan_state(self) -> None:
        scene = self._scene
        said = plan_state_words(self.session) if scene is not None and scene.rows else ""
        self.plan_state.say(said)

    def _on_previewed(self, projection: Projection | None) -> None:
        if self._scene is None or not self.isVisible():
            return
        shown = self._scene
        if projection is not None:
            shown = shown.trying(projection)
        self.canvas.set_scene(shown, self.session.words)

    def _say(self, text: str) -> None:
        self.said.setText(unbroken(text))


class _Nothing(QWidget):
    """What to do when the queue is empty."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._text = PlainLabel(parent=self)
        self._text.setWordWrap(True)
        self.pick = QPushButton(tr("Enter a pick"), self)
        self.pick.setProperty("leading", True)
        self.unfilter = QPushButton(tr("Show every batch"), self)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 4, 0, 4)
        layout.addWidget(self._text, 1)
        layout.addWidget(self.pick)
        layout.addWidget(self.unfilter)

    def show_for(self, batches: int, lines: int) -> None:
        """Nothing picked yet, or nothing that the filter lets through; else hidden."""
        self.setVisible(lines == 0)
        self.pick.setVisible(batches == 0)
        self.unfilter.setVisible(batches > 0)
        if batches == 0:
            self._text.setText(
                tr(
                    "No fruit is waiting yet. Enter the first pick, and its eat-by window shows "
                    "here, beside the market days."
                )
            )
        else:
            self._text.setText(tr("No batch matches. Choose other crops or places."))


class QueueStrip(SeasonView):
    """Read-only; shows the season as it is, or under a projection that is only tried."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._maker = SceneMaker(session)
        self._scene: Scene | None = None
        self.picture = HintedPicture(compact=True, parent=self)
        self.picture.setAccessibleName(tr("Shelf queue"))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.picture)

    def refresh(self) -> None:
        """Show the season as it is now."""
        self._scene = self._maker.scene(SortBy.CLOSES, Filter(shown=Shown.GOOD))
        self.picture.set_scene(self._scene, self._session.words)

    def in_sight(self) -> list[str]:
        """The batches that can be seen, by id."""
        return self.picture.in_sight()

    def setProjection(self, projection: Projection | None) -> None:
        """Show what a tried set point would do, over outlines of how it is; None ends that."""
        if self._scene is None:
            self.refresh()
        assert self._scene is not None
        shown = self._scene
        if projection is not None:
            shown = shown.trying(projection)
        self.picture.set_scene(shown, self._session.words)
