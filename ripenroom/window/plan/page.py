"""The page "Plan": its worth, what changed since yesterday, market days that are at risk."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QScrollArea, QTabWidget, QVBoxLayout, QWidget

from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.page import Page
from ripenroom.window.plain import PlainLabel, set_margins
from ripenroom.window.plan.advice_view import AdviceView
from ripenroom.window.plan.itinerary_list import LinesView
from ripenroom.window.plan.worth_table import WorthTable
from ripenroom.window.plan_status import PlanStatus
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.formats import ended, in_percent
from ripenroom.wording.plan.expected_picks import in_sight_words, kept_words, reckoned_words
from ripenroom.wording.plan.itineraries import change_words
from ripenroom.wording.plan.worth import (
    at_risk,
    gap_words,
    likely_words,
    says_too_few,
    unpriced,
    verdict,
    work_note,
    worth_it,
)


class Sentences(QWidget):
    """One label for each sentence, so that each is read out by itself."""

    def __init__(self, heading: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._heading = PlainLabel(heading, self)
        self._heading.setObjectName("sectionTitle")
        self._labels: list[WrappedLabel] = []
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 8, 0, 0)
        self._layout.setSpacing(4)
        self._layout.addWidget(self._heading)

    @property
    def texts(self) -> list[str]:
        """The sentences."""
        return [label.text() for label in self._labels]

    def show_texts(self, texts: Sequence[str]) -> None:
        """Show these and no others."""
        for label in self._labels:
            self._layout.removeWidget(label)
            label.hide()
            label.deleteLater()
        self._labels = [WrappedLabel(text, self) for text in texts]
        for label in self._labels:
            self._layout.addWidget(label)


_COLUMN_LETTERS = 150
"""Letters that a column of sentences is wide at most: longer lines are hard to read on."""
_BESIDE_LETTERS = 180
"""From this width on, what changed and what is at risk stands beside the figures."""
_MOST_CHANGES = 12
"""Changes told one by one; of what is more only the number is."""


class Overview(QScrollArea):
    """A page of figures and sentences; the keyboard scrolls it."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(tr("What the plan is worth"))
        inner = QWidget(self)
        self.verdict = WrappedLabel(parent=inner)
        self.later = WrappedLabel(parent=inner)
        self.table = WorthTable(session, inner)
        self.note = WrappedLabel(parent=inner)
        self.note.setObjectName("faint")
        self.changes = Sentences(tr("What changed since yesterday"), inner)
        self.risks = Sentences(tr("Market days at risk"), inner)
        self._columns = QBoxLayout(QBoxLayout.Direction.TopToBottom, inner)
        set_margins(self._columns, 0, 8, 12, 8)
        self._columns.setSpacing(10)
        self._parts = (
            self._column(inner, self.verdict, self.later, self.table, self.note),
            self._column(inner, self.changes, self.risks),
        )
        self._columns.addStretch(0)
        self.setWidget(inner)
        session.plans.working_changed.connect(self._show_later)

    def _column(self, inner: QWidget, *widgets: QWidget) -> QWidget:
        part = QWidget(inner)
        column = QVBoxLayout(part)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        for widget in widgets:
            column.addWidget(widget)
        column.addStretch(1)
        self._columns.addWidget(part)
        return part

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A wide window has room for two columns."""
        super().resizeEvent(event)
        letter, way = self.fontMetrics().horizontalAdvance("n"), QBoxLayout.Direction
        beside = self.width() >= _BESIDE_LETTERS * letter
        self._columns.setDirection(way.LeftToRight if beside else way.TopToBottom)
        self._columns.setSpacing(40 if beside else 10)
        for n, part in enumerate(self._parts):
            part.setMaximumWidth(_COLUMN_LETTERS * letter)
            self._columns.setStretch(n, (3 - n) if beside else 0)
        self._columns.setStretch(len(self._parts), 0 if beside else 1)

    def _show_later(self) -> None:
        """What lies beyond the plan. The records as they are now tell it, so while a new plan is
        to come it stays as it was: the line above says that one is worked on."""
        if self._session.plans.working and self._session.plans.plan is not None:
            return
        said = (
            in_sight_words(self._session),
            kept_words(self._session),
            reckoned_words(self._session),
        )
        later = " ".join(part for part in said if part)
        self.later.setText(later)
        self.later.setVisible(bool(later))

    def refresh(self) -> None:
        """Show the plan as it is now."""
        plan, words = self._session.plans.plan, self._session.words
        self._show_later()
        parts = (self.table, self.note, self.changes, self.risks)
        if plan is None or not (plan.lines and plan.markets):
            self.verdict.setText(self._why_nothing())
            for part in parts:
                part.hide()
            return
        worth = worth_it(plan, self._session.plans.if_left, words)
        said = worth, verdict(plan, words)
        self.verdict.setText(words.unbroken(" ".join(part for part in said if part)))
        self.table.show_plan(plan)
        how_sure = tr(
            "In brackets: the range it should fall in four times in five. The simple rules "
            "also move each crate on its best evening."
        )
        notes = (
            unpriced(self._session),
            likely_words(plan),
            gap_words(plan, words),
            how_sure,
            work_note(),
        )
        self.note.setText(words.unbroken(" ".join(note for note in notes if note)))
        self.changes.show_texts(self._changes())
        risks = [ended(text) for text in at_risk(plan, self._session)]
        if says_too_few(plan):
            few = tr("“Too few” means less than {share} of what is wanted.")
            risks.append(few.format(share=in_percent(80)))
        safe = tr("No market day is at risk of getting too little.")
        self.risks.show_texts([words.unbroken(text) for text in risks] or [safe])
        for part in parts:
            part.show()
        # On its first day a season has no yesterday to hold its plan against, whatever was picked
        # before and is written down only now.
        before = self._session.plans.before
        has_lines = before is not None and bool(before.lines)
        self.changes.setVisible(has_lines and self._session.season.had_yesterday)

    def _changes(self) -> list[str]:
        changes = self._session.plans.changes
        told = changes if len(changes) <= _MOST_CHANGES + 1 else changes[:_MOST_CHANGES]
        said = [change_words(change, self._session) for change in told]
        if len(told) < len(changes):
            said.append(
                tr("And {count} more.").format(
                    count=self._session.words.number(len(changes) - len(told))
                )
            )
        return said or [tr("Nothing: the plan is the same.")]

    def _why_nothing(self) -> str:
        season = self._session.season
        if self._session.plans.plan is None:
            return tr("The plan will be here in a moment.")
        if not any(day.starts_at > season.now() for day in season.book.market_days.values()):
            return tr(
                "No market day lies ahead. Add the next one under Market days, with what it wants, "
                "and the plan follows by itself."
            )
        if not self._session.plans.plan.markets:
            return tr(
                "No market day ahead wants anything yet. Enter what it wants under Market days."
            )
        return tr("There is no fruit to plan for. Enter a pick, or one that you expect.")


class PlanPage(Page):
    """What the plan is worth, every crate of it, and what would make it better."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.status = PlanStatus(session, self)
        self.tabs = QTabWidget(self)
        self.overview = Overview(session, self)
        self.lines = LinesView(session, self)
        self.advice = AdviceView(session, self)
        self.tabs.setDocumentMode(True)
        self.tabs.addTab(self.overview, tr("&Worth"))
        self.tabs.addTab(self.lines, tr("Every &crate"))
        self.tabs.addTab(self.advice, tr("&Advice"))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 4, 20, 8)
        layout.setSpacing(8)
        layout.addWidget(self.status)
        layout.addWidget(self.tabs, 1)
        session.plans.planned.connect(self.show_again)

    @property
    def title(self) -> str:
        """The page's name as the user reads it."""
        return tr("Plan")

    def touched_by(self, changed: Changed) -> bool:
        """What the plan speaks of; all that is new waits for the new plan."""
        if changed.places or changed.market_days or changed.figures or changed.ahead:
            return True
        plan = self.session.plans.plan
        lines = plan.lines if plan is not None else ()
        return changed.clock or any(line.batch_id in changed.batches for line in lines)

    def refresh(self) -> None:
        """Show the plan as it is now."""
        self.overview.refresh()
        self.lines.refresh()

    def show_record(self, record_id: str) -> None:
        """Show the first line of a batch or a market day."""
        if self.lines.choose_record(record_id):
            self.tabs.setCurrentWidget(self.lines)
