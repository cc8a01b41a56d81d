"""The page "Review": looking back, so that the next forecast and the next season are better."""

from PySide6.QtWidgets import QTabWidget, QVBoxLayout

from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.page import Page
from ripenroom.window.review.balance_tab import BalanceTab
from ripenroom.window.review.forecasts_tab import ForecastsTab
from ripenroom.window.review.learned_tab import LearnedTab
from ripenroom.window.session import Session


class ReviewPage(Page):
    """Three tabs; only the one in front is kept up to date."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.tabs = QTabWidget(self)
        self.learned = LearnedTab(session, self)
        self.forecasts = ForecastsTab(session, self)
        self.balance = BalanceTab(session, self)
        self.tabs.setDocumentMode(True)
        self.tabs.addTab(self.learned, tr("&What was learned"))
        self.tabs.addTab(self.forecasts, tr("How forecasts he&ld"))
        self.tabs.addTab(self.balance, tr("F&ruit and money"))
        self.tabs.currentChanged.connect(self._on_tab)
        for tab in (self.learned, self.forecasts):
            tab.openBatch.connect(self.openBatch)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 4, 20, 12)
        layout.addWidget(self.tabs)

    @property
    def title(self) -> str:
        """The page's name."""
        return tr("Review")

    def touched_by(self, changed: Changed) -> bool:
        """What the tab in front shows; the others are brought up to date when they are."""
        return self._in_front().touched_by(changed)

    def refresh(self) -> None:
        """Bring the tab in front up to date."""
        self._in_front().refresh()

    def _in_front(self) -> LearnedTab | ForecastsTab | BalanceTab:
        tabs = (self.learned, self.forecasts, self.balance)
        return next(tab for tab in tabs if tab is self.tabs.currentWidget())

    def _on_tab(self) -> None:
        if self.isVisible():
            self.refresh()
