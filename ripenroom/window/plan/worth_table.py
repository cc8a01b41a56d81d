"""The plan beside simple rules: three figures each, as words and as bars."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QVBoxLayout, QWidget

from ripenroom.texts import tr
from ripenroom.window.plain import PlainLabel, reads_from_right
from ripenroom.window.session import Session
from ripenroom.window.theme import ink
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.plan.worth import fruit_text, rows, worth_text

if TYPE_CHECKING:
    from ripenroom.planning.evaluate import SampledRange
    from ripenroom.season.plans.plan import Plan


_OVER_FIGURE_PX = 2
"""Air over a figure and over the name beside it."""


class RangeBar(QWidget):
    """Solid up to the low end of a range, light up to its high end, with a tick at the mean."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._low = self._mean = self._high = 0.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_range(self, drawn: "SampledRange", full_scale: float) -> None:
        """Show a range; ``full_scale`` is at the edge where lines end."""
        scale = max(full_scale, 1e-9)
        self._low, self._mean, self._high = (
            min(max(value / scale, 0.0), 1.0) for value in (drawn.low, drawn.mean, drawn.high)
        )
        self.update()

    def sizeHint(self) -> QSize:
        """A bar half a line high."""
        return QSize(60, max(8, self.fontMetrics().height() // 2))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Lightness and an outline tell it in black and white too."""
        colours, rect = ink(self), QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        painter = QPainter(self)
        if reads_from_right():  # from where the figure above it begins
            painter.translate(self.width(), 0.0)
            painter.scale(-1.0, 1.0)
        high = QRectF(rect.x(), rect.y(), rect.width() * self._high, rect.height())
        low = QRectF(rect.x(), rect.y(), rect.width() * self._low, rect.height())
        painter.fillRect(high, QBrush(colours.holding))
        painter.fillRect(low, QBrush(colours.ready))
        painter.setPen(QPen(colours.outline, 1.0))
        painter.drawRect(high)
        x = rect.x() + rect.width() * self._mean
        painter.setPen(QPen(colours.text, 2.0))
        painter.drawLine(int(x), int(rect.top()), int(x), int(rect.bottom()))
        painter.end()


class _Figure(QWidget):
    """One figure: its words over its bar."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.label = WrappedLabel(parent=self)
        self.bar = RangeBar(self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, _OVER_FIGURE_PX, 0, 6)
        layout.setSpacing(2)
        layout.addWidget(self.label)
        layout.addWidget(self.bar)


class WorthTable(QWidget):
    """One row for the plan and for each rule."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._headings = (
            tr("Worth"),
            tr("Fruit sold in time"),
            tr("Fruit past at market"),
        )
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(20)
        grid.setVerticalSpacing(0)
        for column, heading in enumerate(self._headings, start=1):
            label = WrappedLabel(heading, self)
            label.setObjectName("faint")
            grid.addWidget(label, 0, column, Qt.AlignmentFlag.AlignBottom)
            grid.setColumnStretch(column, 3)
        grid.setColumnStretch(0, 3)
        self._names: list[PlainLabel] = []
        self._figures: list[tuple[_Figure, ...]] = []
        for row in range(1, 5):
            name = WrappedLabel(parent=self)
            if row == 1:
                name.setObjectName("sectionTitle")
            name.setContentsMargins(0, _OVER_FIGURE_PX, 0, 0)
            figures = tuple(_Figure(self) for _ in self._headings)
            grid.addWidget(name, row, 0, Qt.AlignmentFlag.AlignTop)
            for column, figure in enumerate(figures, start=1):
                grid.addWidget(figure, row, column)
            self._names.append(name)
            self._figures.append(figures)

    @property
    def texts(self) -> list[list[str]]:
        """What stands in the rows."""
        return [
            [name.text(), *(figure.label.text() for figure in figures)]
            for name, figures in zip(self._names, self._figures, strict=True)
        ]

    def show_plan(self, plan: "Plan") -> None:
        """Show what a plan and the rules come to."""
        words = self._session.words
        told = rows(plan)
        most = [
            max(outcome.value.high for _, outcome in told),
            max(outcome.sold.high for _, outcome in told),
            max(outcome.past.high for _, outcome in told),
        ]
        for (name, outcome), label, figures in zip(told, self._names, self._figures, strict=True):
            label.setText(name)
            ranges = (outcome.value, outcome.sold, outcome.past)
            texts = (
                worth_text(outcome.value, words),
                fruit_text(outcome.sold, words),
                fruit_text(outcome.past, words),
            )
            for figure, drawn, text, full in zip(figures, ranges, texts, most, strict=True):
                figure.label.setText(text)
                figure.bar.show_range(drawn, full)
