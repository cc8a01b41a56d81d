"""What checks taught of every cultivar, what contradicts it, and the lessons."""

import math

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from ripenroom.season.learned import Learned, LearnedRate
from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.plain import set_hint, set_margins
from ripenroom.window.review.lessons import LessonList
from ripenroom.window.session import Session
from ripenroom.window.theme import ink
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.checks import (
    able_words,
    evidence_words,
    life_words,
    pace_words,
    rate_name,
    surprise_words,
)
from ripenroom.wording.review import learned_words

_SLOWEST, _FASTEST = 0.4, 2.5
"""Ends of the scale, in times as fast as the book; a factor is a length on it."""


class RateBar(QWidget):
    """Outline: the book's 80 % range. Solid: the range now, with a mark at the best estimate.

    The line down the middle is "as fast as the book". What it shows stands beside it in words.
    """

    def __init__(self, rate: LearnedRate, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rate = rate
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """As high as a line of text."""
        return QSize(
            self.fontMetrics().horizontalAdvance("n") * 22, self.minimumSizeHint().height()
        )

    def minimumSizeHint(self) -> QSize:
        """Narrow windows have little room for it."""
        metrics = self.fontMetrics()
        return QSize(metrics.horizontalAdvance("n") * 8, round(metrics.height() * 1.4))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw both ranges on one scale."""
        colours, rate = ink(self), self._rate
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        high = float(self.height())
        middle = self._x(1.0)
        painter.setPen(QPen(colours.line, 1))
        painter.drawLine(0, round(high / 2), self.width(), round(high / 2))
        painter.setPen(QPen(colours.faint, 1, Qt.PenStyle.DashLine))
        painter.drawLine(round(middle), 0, round(middle), self.height())
        painter.setPen(QPen(colours.outline, 1.4))
        painter.drawRect(self._rect(rate.book_low, rate.book_high, 0.18 * high, 0.82 * high))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colours.ready)
        painter.drawRect(self._rect(rate.factor.low, rate.factor.high, 0.36 * high, 0.64 * high))
        painter.setPen(QPen(colours.text, 2.4))
        x = round(self._x(rate.factor.mid))
        painter.drawLine(x, round(0.08 * high), x, round(0.92 * high))

    def _rect(self, low: float, high: float, top: float, bottom: float) -> QRectF:
        left = self._x(low)
        return QRectF(left, top, max(1.0, self._x(high) - left), bottom - top)

    def _x(self, factor: float) -> float:
        inside = min(max(factor, _SLOWEST), _FASTEST)
        share = math.log(inside / _SLOWEST) / math.log(_FASTEST / _SLOWEST)
        return 2.0 + share * (self.width() - 4.0)


class LearnedTab(QScrollArea):
    """A line for every cultivar of the crops that were checked or that lessons tell about."""

    openBatch = Signal(str)  # noqa: N815 - named as Qt names signals

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setAccessibleName(tr("What was learned"))
        inner = QWidget(self)
        self.summary = WrappedLabel(parent=inner)
        self.key = WrappedLabel(
            tr(
                "Outline: the range before any check. Solid: the range after your checks; mark: "
                "best estimate; broken line: as fast as usual for the crop."
            ),
            inner,
        )
        self.key.setObjectName("faint")
        self.rates = QGridLayout()
        self.rates.setHorizontalSpacing(16)
        self.rates.setVerticalSpacing(6)
        self.rates.setColumnStretch(0, 2)
        self.rates.setColumnStretch(1, 4)
        self.rates.setColumnStretch(2, 3)
        self.shares = WrappedLabel(parent=inner)
        self.odd = QVBoxLayout()
        self.odd.setSpacing(6)
        self.lessons = LessonList(session, inner)
        layout = QVBoxLayout(inner)
        set_margins(layout, 0, 8, 12, 8)
        layout.setSpacing(10)
        layout.addWidget(self.summary)
        layout.addLayout(self.rates)
        layout.addWidget(self.key)
        layout.addWidget(self.shares)
        layout.addLayout(self.odd)
        layout.addSpacing(8)
        layout.addWidget(self.lessons)
        layout.addStretch(1)
        self.setWidget(inner)
        session.learning.working_changed.connect(self._on_working)

    def _on_working(self) -> None:
        # What is new comes as a change; here it is that it is worked out, or nothing came of it.
        if self.isVisible():
            self._sum_up()

    def touched_by(self, changed: Changed) -> bool:
        """What was learned, of which cultivars and batches, and lessons."""
        return bool(changed.learned or changed.batches or changed.figures)

    def refresh(self) -> None:
        """Show what is known now."""
        season = self.session.season
        self._sum_up()
        self._show_rates(season.learned)
        self._show_shares(season.learned)
        self._show_odd(season.learned)
        self.lessons.refresh()

    def _sum_up(self) -> None:
        season, learning = self.session.season, self.session.learning
        checks = season.book.checks.values()
        counted = sum(check.counted for check in checks)
        told = [learned_words(season.learned, len(checks), counted)]
        if learning.failed:
            told.append(learning.failed)
        if learning.working:
            told.append(
                tr("Your last change is being worked out; what stands here is from before it.")
            )
        self.summary.setText(" ".join(filter(None, told)))

    def _show_rates(self, learned: Learned | None) -> None:
        _empty(self.rates)
        rates = [rate for rate in (learned.rates if learned else ()) if self._is_told(rate)]
        self.key.setVisible(bool(rates))
        words = self.session.words
        for line, rate in enumerate(rates):
            name = WrappedLabel(rate_name(self.session.season, rate), self)
            told = WrappedLabel(f"{pace_words(rate, words)}; {evidence_words(rate)}", self)
            self.rates.addWidget(name, line, 0)
            self.rates.addWidget(told, line, 1)
            self.rates.addWidget(RateBar(rate, self), line, 2, Qt.AlignmentFlag.AlignVCenter)

    def _show_shares(self, learned: Learned | None) -> None:
        season, words = self.session.season, self.session.words
        said: list[str] = []
        if learned is not None:
            said += (able_words(season, share, words) for share in learned.shares)
            said += (life_words(season, life, words) for life in learned.lives)
        self.shares.setText("\n".join(said))
        self.shares.setVisible(bool(said))

    def _is_told(self, rate: LearnedRate) -> bool:
        """Cultivars of this season, and fruit without one where there is such fruit."""
        if rate.cultivar_id is not None or rate.checks:
            return True
        batches = self.session.season.book.batches.values()
        return any((b.crop, b.cultivar_id) == (rate.crop, None) for b in batches)

    def _show_odd(self, learned: Learned | None) -> None:
        _empty(self.odd)
        if learned is None or not learned.surprising:
            return
        heading = WrappedLabel(tr("Checks that do not fit the others"), self)
        heading.setObjectName("sectionTitle")
        self.odd.addWidget(heading)
        season, words = self.session.season, self.session.words
        for check_id in learned.surprising:
            check, fit = season.book.checks.get(check_id), learned.checks.get(check_id)
            if check is None or fit is None:
                continue
            batch = season.book.batches[check.batch_id]
            crop = season.crops.get(batch.crop)
            how = surprise_words(fit, crop is not None and crop.judged_by == "colour")
            text = tr("{code}, {moment}: {how}…").format(
                code=batch.code, moment=words.moment(check.at), how=how
            )
            button = QPushButton(text, self)
            set_hint(button, tr("Open the batch, to fix the check or leave it out"))
            button.clicked.connect(
                lambda _on=False, batch_id=check.batch_id: self.openBatch.emit(batch_id)
            )
            self.odd.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)


def _empty(layout: QGridLayout | QVBoxLayout) -> None:
    while (item := layout.takeAt(0)) is not None:
        widget = item.widget()
        if widget is not None:
            widget.hide()
            widget.deleteLater()
