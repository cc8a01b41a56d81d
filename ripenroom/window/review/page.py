"""The page "Review": looking back, so that the next forecast and the next season are better."""

from PySide6.QtWidgets import QTabWidget, QVBoxLayout, QWidget

from ripenroom.window.page import Page
from ripenroom.window.review.balance_tab import BalanceTab
from ripenroom.window.review.forecasts_tab import ForecastsTab
from ripenroom.window.review.learned_tab import LearnedTab
from ripenroom.window.session import Session


class ReviewPage(Page):
    """Three tabs; only the one in front is kept up to date."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.learned = LearnedTab(session, self)
        self.forecasts = ForecastsTab(session, self)
        self.balance = BalanceTab(session, self)
        self.tabs = QTabWidget(self)
        self.tabs.setDocumentMode(True)
        self.tabs.addTab(self.learned, self.tr("&What was learned"))
        self.tabs.addTab(self.forecasts, self.tr("How forecasts he&ld"))
        self.tabs.addTab(self.balance, self.tr("F&ruit and money"))
        self.tabs.currentChanged.connect(self._on_tab)
        for tab in (self.learned, self.forecasts):
            tab.openBatch.connect(self.openBatch)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 4, 20, 12)
        layout.addWidget(self.tabs)
        self.setFocusProxy(self.tabs)

    @property
    def title(self) -> str:
        """The page's name."""
        return self.tr("Review")

    def refresh(self) -> None:
        """Bring the tab in front up to date."""
        for tab in (self.learned, self.forecasts, self.balance):
            if tab is self.tabs.currentWidget():
                tab.refresh()

    def _on_tab(self) -> None:
        if self.isVisible():
            self.refresh()
