"""What the plan is worth, what changed since yesterday, and which market days are at risk."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from ripenroom.window.forms.wrapped_label import WrappedLabel
from ripenroom.window.plan.sentences import Sentences
from ripenroom.window.plan.worth_table import WorthTable
from ripenroom.window.plan.worth_words import (
    at_risk,
    gap_words,
    handling_words,
    likely_words,
    unpriced,
    verdict,
)
from ripenroom.window.planning.change_words import change_words
from ripenroom.window.planning.sight_words import in_sight_words, kept_words, reckoned_words
from ripenroom.window.session import Session
from ripenroom.window.wording import ended

_WIDEST_EM = 100
_MOST_CHANGES = 12
"""Changes told one by one; of what is more only the number is."""


class Overview(QScrollArea):
    """A page of figures and sentences; the keyboard scrolls it."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(self.tr("What the plan is worth"))
        inner = QWidget(self)
        inner.setMaximumWidth(_WIDEST_EM * self.fontMetrics().horizontalAdvance("m"))
        self.verdict = WrappedLabel(parent=inner)
        self.later = WrappedLabel(parent=inner)
        self.table = WorthTable(session, inner)
        self.note = WrappedLabel(parent=inner)
        self.note.setObjectName("faint")
        self.changes = Sentences(self.tr("What changed since yesterday’s plan"), inner)
        self.risks = Sentences(self.tr("Market days at risk"), inner)
        layout = QVBoxLayout(inner)
        layout.setContentsMargins(0, 8, 12, 8)
        layout.setSpacing(10)
        for widget in (self.verdict, self.later, self.table, self.note, self.changes, self.risks):
            layout.addWidget(widget)
        layout.addStretch(1)
        self.setWidget(inner)

    def refresh(self) -> None:
        """Show the plan as it is now."""
        plan, words = self._session.plans.plan, self._session.words
        said = (
            in_sight_words(self._session),
            kept_words(self._session),
            reckoned_words(self._session),
        )
        later = " ".join(part for part in said if part)
        self.later.setText(later)
        self.later.setVisible(bool(later))
        parts = (self.table, self.note, self.changes, self.risks)
        if plan is None or not (plan.lines and plan.markets):
            self.verdict.setText(self._why_nothing())
            for part in parts:
                part.hide()
            return
        self.verdict.setText(verdict(plan, words))
        self.table.show_plan(plan)
        how_sure = self.tr(
            "In brackets the range that holds four of five of 200 ways things may go, drawn at "
            "random from what is known of rates and ages. In time is in the eat-by window. The "
            "rules move every crate on the evening that is best for them."
        )
        notes = (
            unpriced(self._session),
            likely_words(plan),
            gap_words(plan, words),
            handling_words(plan, words),
            how_sure,
        )
        self.note.setText(" ".join(note for note in notes if note))
        self.changes.show_texts(self._changes())
        risks = [ended(text) for text in at_risk(plan, self._session)]
        if risks:
            risks.append(
                self.tr(
                    "That is fruit good to sell of what is wanted; too few is less than 80 % of it."
                )
            )
        self.risks.show_texts(risks or [self.tr("No market day is at risk of getting too little.")])
        for part in parts:
            part.show()

    def _changes(self) -> list[str]:
        changes = self._session.plans.changes
        told = changes if len(changes) <= _MOST_CHANGES + 1 else changes[:_MOST_CHANGES]
        said = [change_words(change, self._session) for change in told]
        if len(told) < len(changes):
            said.append(
                self.tr("And {count} more.").format(
                    count=self._session.words.number(len(changes) - len(told))
                )
            )
        return said or [self.tr("Nothing: it is the same plan.")]

    def _why_nothing(self) -> str:
        season = self._session.season
        if self._session.plans.plan is None:
            return self.tr("The plan will stand here in a moment.")
        if not any(day.starts_at > season.now() for day in season.book.market_days.values()):
            return self.tr(
                "No market day lies ahead. Add the next one under Market days, with what it wants, "
                "and the plan follows by itself."
            )
        if not self._session.plans.plan.markets:
            return self.tr(
                "No market day ahead wants anything yet. Write down what it wants under Market "
                "days."
            )
        return self.tr("There is no fruit to plan for. Write down a pick, or one that is expected.")
