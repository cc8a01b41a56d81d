"""Facts of a batch in two columns, and its chart: what the panel and the page Picks both show."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt, QTimer
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QFormLayout, QVBoxLayout, QWidget

from ripenroom.texts import tr
from ripenroom.window.plain import PlainLabel, set_margins
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.batch_facts import Fact, expected

if TYPE_CHECKING:
    from ripenroom.window.batch.chart import BatchChart

_BESIDE_LETTERS = 38
"""From this width on facts stand beside their names."""


class FactForm(QFormLayout):
    """Facts beside their names, or beneath them where ``arrange`` finds too little width."""

    def __init__(self) -> None:
        super().__init__()
        self.setHorizontalSpacing(16)
        self.setVerticalSpacing(4)
        self.setLabelAlignment(Qt.AlignmentFlag.AlignLeft)

    def fill(self, facts: Sequence[Fact], of: QWidget) -> None:
        """Show these facts and no others, in labels of the widget ``of``."""
        letter = of.fontMetrics().horizontalAdvance("n")
        while self.rowCount():
            self.removeRow(0)
        for label, text in facts:
            name = PlainLabel(label, of)
            name.setObjectName("faint")
            name.setMinimumWidth(17 * letter)
            value = PlainLabel(text, of)
            value.setWordWrap(True)
            # A long word alone decides how narrow the text may be, not its proportions.
            value.setMinimumWidth(12 * letter)
            self.addRow(name, value)

    def arrange(self, width_px: int, letter_px: int) -> None:
        """Where facts would get a narrow column, they stand beneath their names, set in."""
        beneath = width_px < _BESIDE_LETTERS * letter_px
        policy = QFormLayout.RowWrapPolicy
        self.setRowWrapPolicy(policy.WrapAllRows if beneath else policy.WrapLongRows)
        for row in range(self.rowCount()):
            item = self.itemAt(row, QFormLayout.ItemRole.FieldRole)
            fact = item.widget() if item is not None else None
            if fact is not None:
                set_margins(fact, 2 * letter_px if beneath else 0, 0, 0, 0)


def draw_batch(chart: "BatchChart", session: Session, batch_id: str, by_the_book: bool) -> None:
    """Draw a batch as it is now, beside what the book says if asked; hidden if nothing is foreseen.

    The batch has to be in the season.
    """
    from ripenroom.window.batch.chart import found_of

    season, projection = session.season, session.projection()
    foreseen = batch_id in projection.line_of
    chart.setVisible(foreseen)
    if not foreseen:
        return
    batch = season.book.batches[batch_id]
    crop = season.profile_of(batch_id) or season.crops[batch.crop]
    chart.show_story(
        season.story(batch_id),
        projection.at_h,
        crop.judged_by,
        season.story(batch_id, by_the_book=True) if by_the_book else None,
        found_of(season.book, batch, crop),
    )


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
