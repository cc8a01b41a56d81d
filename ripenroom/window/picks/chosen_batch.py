"""The selected batch beside the list, where the window is wide: its dates, and its curve."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QTimer
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from ripenroom.texts import tr
from ripenroom.window.batch.facts import FactForm, draw_batch
from ripenroom.window.plain import PlainLabel
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.batch_facts import expected

if TYPE_CHECKING:
    from ripenroom.window.batch.chart import BatchChart

_CHART_LINES = 24
"""Lines of text that the curves take at most: higher ones are no easier to read."""


class ChosenBatch(QWidget):
    """What is expected of one batch; Enter in the list still opens all there is to it."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.chart: BatchChart | None = None
        self.batch_id: str | None = None
        self.title = PlainLabel(parent=self)
        self.title.setObjectName("sectionTitle")
        self.hint = WrappedLabel(tr("Select a batch, and its dates are shown here."), self)
        self.hint.setObjectName("faint")
        self.facts = FactForm()
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setSpacing(8)
        self._layout.addWidget(self.title)
        self._layout.addWidget(self.hint)
        self._layout.addLayout(self.facts)
        self._layout.addStretch(1)
        # A list that is sorted or filled again selects more than once.
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self._show)

    def show_batch(self, batch_id: str | None) -> None:
        """Show a batch as it is now, or ask for one."""
        self.batch_id = batch_id
        if self.isVisible():
            self._soon.start()

    def showEvent(self, event: QShowEvent) -> None:
        """Nothing is worked out while the window is too narrow for it."""
        super().showEvent(event)
        self._soon.start()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Facts have as much width as there is."""
        super().resizeEvent(event)
        self._arrange()

    def changeEvent(self, event: QEvent) -> None:
        """Curves keep the inks and letters that they were made with: others are made for others."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange):
            if self.chart is not None:
                self._layout.removeWidget(self.chart)
                self.chart.hide()
                self.chart.deleteLater()
                self.chart = None
            if self.isVisible():
                self._soon.start()

    def _arrange(self) -> None:
        self.facts.arrange(self.width(), self.fontMetrics().horizontalAdvance("n"))

    def _show(self) -> None:
        batch = self._session.season.book.batches.get(self.batch_id or "")
        self.hint.setVisible(batch is None)
        self.title.setVisible(batch is not None)
        self.facts.fill([] if batch is None else expected(self._session, batch.id), self)
        self._arrange()
        if batch is None:
            if self.chart is not None:
                self.chart.hide()
            return
        self.title.setText(tr("Batch {code}").format(code=batch.code))
        if self.chart is None:
            # pyqtgraph is imported with the chart, and only here.
            from ripenroom.window.batch.chart import BatchChart

            self.chart = BatchChart(self._session, self)
            self._layout.insertWidget(self._layout.count() - 1, self.chart, 3)
        self.chart.setMaximumHeight(_CHART_LINES * self.fontMetrics().height())
        draw_batch(self.chart, self._session, batch.id, by_the_book=False)
