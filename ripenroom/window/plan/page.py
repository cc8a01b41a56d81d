"""The page "Plan"."""

from PySide6.QtWidgets import QTabWidget, QVBoxLayout, QWidget

from ripenroom.season.changed import Changed
from ripenroom.window.page import Page
from ripenroom.window.plan.advice_view import AdviceView
from ripenroom.window.plan.lines_view import LinesView
from ripenroom.window.plan.overview import Overview
from ripenroom.window.planning.status import PlanStatus
from ripenroom.window.session import Session


class PlanPage(Page):
    """What the plan is worth, every crate of it, and what would make it better."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.status = PlanStatus(session, self)
        self.overview = Overview(session, self)
        self.lines = LinesView(session, self)
        self.advice = AdviceView(session, self)
        self.tabs = QTabWidget(self)
        self.tabs.setDocumentMode(True)
        self.tabs.addTab(self.overview, self.tr("&Worth"))
        self.tabs.addTab(self.lines, self.tr("Every &crate"))
        self.tabs.addTab(self.advice, self.tr("&Advice"))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 4, 20, 8)
        layout.setSpacing(8)
        layout.addWidget(self.status)
        layout.addWidget(self.tabs, 1)
        session.plans.planned.connect(self.show_again)

    @property
    def title(self) -> str:
        """The page's name as the user reads it."""
        return self.tr("Plan")

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
