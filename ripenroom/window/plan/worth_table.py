"""The plan beside simple rules: what each comes to as a sum, and its fruit, in words and bars."""

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QVBoxLayout, QWidget

from ripenroom.texts import tr
from ripenroom.window.plain import PlainLabel, reads_from_right
from ripenroom.window.session import Session
from ripenroom.window.theme import ink
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.formats import Formats
from ripenroom.wording.plan.worth import (
    any_kept,
    fruit_text,
    kept_text,
    rows,
    total_text,
    work_text,
    worth_text,
)

if TYPE_CHECKING:
    from ripenroom.planning.evaluate import PlanOutcome, SampledRange
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
    """One figure: its words, and below them, where it has a range, its bar."""

    def __init__(self, has_range: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.label = WrappedLabel(parent=self)
        self.bar = RangeBar(self) if has_range else None
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, _OVER_FIGURE_PX, 0, 6)
        layout.setSpacing(2)
        layout.addWidget(self.label)
        layout.addStretch(1)
        if self.bar is not None:
            layout.addWidget(self.bar)


class _Column(NamedTuple):
    """A heading, what of an outcome stands below it, and the range that is drawn, if any."""

    heading: str
    text: Callable[["PlanOutcome", Formats], str]
    drawn: "Callable[[PlanOutcome], SampledRange] | None" = None


def _columns() -> tuple[_Column, ...]:
    """What is sold, and what is added and taken off until the total; then fruit."""
    return (
        _Column(tr("Sold for"), lambda one, words: worth_text(one.value, words), _value),
        _Column(tr("Kept for later, at half price"), kept_text),
        _Column(tr("Work of moving"), work_text),
        _Column(tr("Comes to"), total_text),
        _Column(tr("Fruit sold in time"), lambda one, words: fruit_text(one.sold, words), _sold),
        _Column(tr("Fruit past at market"), lambda one, words: fruit_text(one.past, words), _past),
    )


_KEPT, _TOTAL = 1, 3
"""The columns of what is kept, shown only where there is any, and of the total."""


def _value(outcome: "PlanOutcome") -> "SampledRange":
    return outcome.value


def _sold(outcome: "PlanOutcome") -> "SampledRange":
    return outcome.sold


def _past(outcome: "PlanOutcome") -> "SampledRange":
    return outcome.past


class WorthTable(QWidget):
    """One row for the plan and for each rule."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._columns = _columns()
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(16)
        grid.setVerticalSpacing(0)
        self._headings: list[PlainLabel] = []
        for column, made in enumerate(self._columns, start=1):
            label = WrappedLabel(made.heading, self)
            label.setObjectName("faint")
            grid.addWidget(label, 0, column, Qt.AlignmentFlag.AlignBottom)
            grid.setColumnStretch(column, 3 if made.drawn else 2)
            self._headings.append(label)
        grid.setColumnStretch(0, 3)
        self._names: list[PlainLabel] = []
        self._figures: list[tuple[_Figure, ...]] = []
        for row in range(1, 5):
            name = WrappedLabel(parent=self)
            name.setContentsMargins(0, _OVER_FIGURE_PX, 0, 0)
            figures = tuple(_Figure(made.drawn is not None, self) for made in self._columns)
            if row == 1:
                name.setObjectName("sectionTitle")
            figures[_TOTAL].label.setObjectName("sectionTitle")
            grid.addWidget(name, row, 0, Qt.AlignmentFlag.AlignTop)
            for column, figure in enumerate(figures, start=1):
                grid.addWidget(figure, row, column)
            self._names.append(name)
            self._figures.append(figures)

    @property
    def texts(self) -> list[list[str]]:
        """What stands in the rows."""
        return [
            [name.text(), *(figure.label.text() for figure in figures if not figure.isHidden())]
            for name, figures in zip(self._names, self._figures, strict=True)
        ]

    def show_plan(self, plan: "Plan") -> None:
        """Show what a plan and the rules come to."""
        words = self._session.words
        told = rows(plan)
        for (name, _), label in zip(told, self._names, strict=True):
            label.setText(name)
        for column, (_, text, drawn) in enumerate(self._columns):
            full = max(drawn(outcome).high for _, outcome in told) if drawn else 0.0
            shown = column != _KEPT or any_kept(plan, words)
            self._headings[column].setVisible(shown)
            for (_, outcome), figures in zip(told, self._figures, strict=True):
                figure = figures[column]
                figure.label.setText(text(outcome, words))
                figure.setVisible(shown)
                if drawn and figure.bar is not None:
                    figure.bar.show_range(drawn(outcome), full)
