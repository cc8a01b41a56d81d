"""How forecasts turned out: worked out beside the window, told in words and dots."""

import operator
import threading
from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QPushButton, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from ripenroom.season.learning.calibration import RANGE_Z, CheckedForecast
from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.background.task import BackgroundTask, Progress
from ripenroom.window.plain import run_from_left, set_margins
from ripenroom.window.session import Session
from ripenroom.window.theme import ink
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.formats import Formats, in_percent
from ripenroom.wording.review import calibration_words, forecast_words

if TYPE_CHECKING:
    from ripenroom.season.learning.calibration import Calibration, CheckedForecast


_LEAST_SDS, _MOST_SDS = 2.2, 4.0
"""Ends of the scale: as far as the farthest dot, but within these."""


class ForecastChart(QWidget):
    """Time to the right; up is softer than forecast. In the band the 80 % range held.

    Filled dots held, rings did not. The same is told in words beside it.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        run_from_left(self)
        self.rows: Sequence[CheckedForecast] = ()
        self._words: Formats | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_rows(self, rows: Sequence[CheckedForecast], words: Formats) -> None:
        """Draw these forecasts."""
        self.rows, self._words = rows, words
        self.update()

    def sizeHint(self) -> QSize:
        """Some ten lines of text high."""
        line = self.fontMetrics().height()
        return QSize(30 * line, 12 * line)

    def minimumSizeHint(self) -> QSize:
        """As high, but as narrow as need be."""
        return QSize(10 * self.fontMetrics().height(), self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the band, the words at its sides, and the dots."""
        words, rows = self._words, self.rows
        if words is None or not rows:
            return
        colours, line = ink(self), float(self.fontMetrics().height())
        painter = QPainter(self)
        run_from_left(painter)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        area = QRectF(0.0, 1.3 * line, float(self.width()), self.height() - 4.2 * line)
        first, last = rows[0].at_h, max(rows[-1].at_h, rows[0].at_h + 24.0)

        farthest = max(abs(row.z) for row in rows) * 1.1
        sds = min(max(farthest, _LEAST_SDS), _MOST_SDS)

        def at(row: CheckedForecast) -> QPointF:
            share = 0.5 if len(rows) == 1 else (row.at_h - first) / (last - first)
            x = area.left() + line + share * (area.width() - 2.0 * line)
            z = min(max(row.z, -sds), sds)
            return QPointF(x, area.center().y() - z / sds * area.height() / 2.0)

        half = RANGE_Z / sds * area.height() / 2.0
        band = QRectF(area.left(), area.center().y() - half, area.width(), 2.0 * half)
        painter.fillRect(band, colours.band)
        painter.setPen(QPen(colours.faint, 1, Qt.PenStyle.DashLine))
        painter.drawLine(QPointF(area.left(), area.center().y()), _right(area))
        painter.setPen(colours.faint)
        above = QRectF(0.0, 0.0, area.width(), 1.2 * line)
        below = QRectF(0.0, area.bottom(), area.width(), 1.2 * line)
        left, right = Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight
        painter.drawText(above, left, tr("↑ softer than forecast"))
        painter.drawText(below, left, tr("↓ firmer than forecast"))
        painter.drawText(above, right, tr("shaded: the {sure} range").format(sure=in_percent(80)))
        days = QRectF(0.0, self.height() - 1.4 * line, area.width(), 1.3 * line)
        painter.drawText(days, left, words.short_day(first))
        if len(rows) > 1:
            painter.drawText(days, right, words.short_day(rows[-1].at_h))
        for row in rows:
            painter.setPen(QPen(colours.text, 1.6))
            painter.setBrush(colours.ready if row.inside else colours.paper)
            painter.drawEllipse(at(row), 0.32 * line, 0.32 * line)


def _right(area: QRectF) -> QPointF:
    return QPointF(area.right(), area.center().y())


_MOST_MISSES = 5


class ForecastsTab(QScrollArea):
    """Every check and market outcome beside the forecast that was made before it.

    Worked out anew when it is shown and something changed, in a thread of its own.
    """

    openBatch = Signal(str)  # noqa: N815 - named as Qt names signals

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.calibration: Calibration | None = None
        self._task: BackgroundTask[Calibration] | None = None
        self._asked: tuple[object, ...] = ()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setAccessibleName(tr("How forecasts turned out"))
        inner = QWidget(self)
        self.summary = WrappedLabel(parent=inner)
        self.chart = ForecastChart(inner)
        self.key = WrappedLabel(
            tr(
                "Each dot is a check or a market day against the forecast of the day before it. "
                "Filled: the range held. Ring: it did not."
            ),
            inner,
        )
        self.key.setObjectName("faint")
        self.misses_heading = WrappedLabel(tr("The worst misses"), inner)
        self.misses_heading.setObjectName("sectionTitle")
        self.misses = QVBoxLayout()
        self.misses.setSpacing(6)
        layout = QVBoxLayout(inner)
        set_margins(layout, 0, 8, 12, 8)
        layout.setSpacing(10)
        for part in (self.summary, self.chart, self.key, self.misses_heading):
            layout.addWidget(part)
        layout.addLayout(self.misses)
        layout.addStretch(1)
        self.setWidget(inner)

    def touched_by(self, changed: Changed) -> bool:
        """Past forecasts are made from all that is written down, of now from nothing else."""
        return changed.records

    def refresh(self) -> None:
        """Work it out for the records as they are now, unless that is done already."""
        season = self.session.season
        ask = season.ask
        state = ask.state
        asked = (state.book, state.crops, state.zone)
        if self._asked and all(map(operator.is_, asked, self._asked)):
            return
        self._asked = asked
        if self._task is not None:
            self._task.drop()
            self._task = None
        if not state.book.checks and not any(
            day.settled_at for day in state.book.market_days.values()
        ):
            from ripenroom.season.learning.calibration import Calibration

            self._show(Calibration((), float("nan"), float("nan"), ()))
            return

        def work(cancel: threading.Event, _tell: Progress) -> "Calibration":
            return ask.past_forecasts(cancel)

        if self.calibration is None:
            self._show(None)
            self.summary.setText(tr("Working out past forecasts …"))
        else:
            self.summary.setText(
                tr("Working out past forecasts again; what stands here is from before your change.")
            )
        self._task = self.session.tasks.run(work)
        self._task.ended.connect(self._take)

    def _take(self) -> None:
        task, self._task = self._task, None
        if task is None:
            return
        if task.report_error():
            self._show(None)
            self.summary.setText(tr("Past forecasts could not be worked out. Nothing is lost."))
        else:
            self._show(task.result)

    def _show(self, calibration: "Calibration | None") -> None:
        self.calibration = calibration
        while (item := self.misses.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        rows = calibration.rows if calibration else ()
        missed = [rows[n] for n in (calibration.worst if calibration else ()) if not rows[n].inside]
        for part in (self.chart, self.key):
            part.setVisible(bool(rows))
        self.misses_heading.setVisible(bool(missed))
        if calibration is None:
            return
        self.summary.setText(calibration_words(calibration, self.session.words))
        self.chart.show_rows(rows, self.session.words)
        self.chart.setAccessibleName(self.summary.text())
        for row in missed[:_MOST_MISSES]:
            self.misses.addWidget(self._miss(row))

    def _miss(self, row: "CheckedForecast") -> QWidget:
        season, words = self.session.season, self.session.words
        batch = season.book.batches.get(row.batch_id)
        holder = QWidget(self)
        layout = QVBoxLayout(holder)
        layout.setContentsMargins(0, 0, 0, 4)
        layout.setSpacing(2)
        text = WrappedLabel(f"{words.day(row.at_h)}: {forecast_words(row, self.session)}", holder)
        layout.addWidget(text)
        if batch is not None:
            button = QPushButton(tr("Open {code}").format(code=batch.code), holder)
            button.clicked.connect(lambda: self.openBatch.emit(row.batch_id))
            layout.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
        return holder
