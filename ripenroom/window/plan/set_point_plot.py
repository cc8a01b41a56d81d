"""What plans come to along the set points of one place: a curve with its flat part."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from ripenroom.texts import tr
from ripenroom.window.plain import run_from_left, set_hint
from ripenroom.window.session import Session
from ripenroom.window.theme import ink
from ripenroom.wording.plan.itineraries import place_words
from ripenroom.wording.plan.set_points import curve_words, gain_about, worth_today

if TYPE_CHECKING:
    from ripenroom.season.advice.advice import PlaceAdvice

_WIDEST_EM, _HIGH_EM = 44, 12


class SetPointPlot(QWidget):
    """The curve over a band where it is flat; a ring at today's setting, a disc at the advised."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        run_from_left(self)
        self._session = session
        self._advice: PlaceAdvice | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_advice(self, advice: "PlaceAdvice") -> None:
        """Draw the curve of one place."""
        self._advice = advice
        self.setAccessibleName(
            tr("What the plan is worth at each temperature of {place}").format(
                place=place_words(advice.place_id, self._session)
            )
        )
        said = curve_words(advice, self._session)
        self.setAccessibleDescription(said)
        set_hint(self, said.replace("; ", "\n"))
        self.update()

    def sizeHint(self) -> QSize:
        """Some lines high, and as wide as there is room."""
        em = self.fontMetrics().horizontalAdvance("m")
        return QSize(_WIDEST_EM * em, _HIGH_EM * em)

    def minimumSizeHint(self) -> QSize:
        """Narrow enough for a small window."""
        return QSize(200, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        """Axes with a few figures, the flat part, the curve, the two settings."""
        advice = self._advice
        if advice is None:
            return
        painter = QPainter(self)
        run_from_left(painter)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint(painter, advice)
        painter.end()

    def _paint(self, painter: QPainter, advice: "PlaceAdvice") -> None:
        colours, metrics, words = ink(self), self.fontMetrics(), self._session.words
        curve = advice.curve
        high = max(curve.value_minor) or 1.0
        low = min(min(curve.value_minor), 0.9 * high)
        # Told as more or less than today: what the plan comes to by itself is told beside rules, of
        # whole crates and with fruit at hand first.
        texts = [gain_about(value - worth_today(advice), words) for value in (low, high)]
        left = max(metrics.horizontalAdvance(text) for text in texts) + 10
        line = metrics.height()
        width = min(self.width(), self.sizeHint().width())
        area = QRectF(left, line, width - left - 2 * line, self.height() - 3.6 * line)
        first, last = curve.set_points_c[0], curve.set_points_c[-1]

        def spot(celsius: float, value: float) -> QPointF:
            across = (celsius - first) / max(last - first, 1e-9)
            up = (value - low) / max(high - low, 1e-9)
            return QPointF(area.left() + across * area.width(), area.bottom() - up * area.height())

        flat_left = spot(advice.flat_low_c, high).x() - 3
        flat_right = spot(advice.flat_high_c, high).x() + 3
        flat = QRectF(flat_left, area.top(), flat_right - flat_left, area.height())
        painter.fillRect(flat, QBrush(colours.band))
        painter.setPen(QPen(colours.line, 1.0))
        painter.drawLine(area.bottomLeft(), area.bottomRight())
        painter.drawLine(area.topLeft(), area.bottomLeft())
        painter.setPen(colours.faint)
        for value, text in zip((low, high), texts, strict=True):
            y = spot(first, value).y()
            box = QRectF(0, y - line / 2, left - 6, line)
            painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, text)
        self._write_settings(painter, curve.set_points_c, area)
        points = [
            spot(at, value) for at, value in zip(curve.set_points_c, curve.value_minor, strict=True)
        ]
        painter.setPen(QPen(colours.ready, 2.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(QPolygonF(points))
        ticks = dict(zip(curve.set_points_c, points, strict=True))
        advised = min(ticks, key=lambda at: abs(at - advice.advised_c))
        today = min(ticks, key=lambda at: abs(at - advice.today_c))
        painter.setBrush(QBrush(colours.ready))
        painter.drawEllipse(ticks[advised], 5.0, 5.0)
        painter.setPen(QPen(colours.text, 2.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(ticks[today], 9.0, 9.0)

    def _write_settings(self, painter: QPainter, settings: Sequence[float], area: QRectF) -> None:
        """As many settings below the axis as have room, and what they are."""
        words, metrics = self._session.words, self.fontMetrics()
        texts = [words.set_point(celsius) for celsius in settings]
        wide = max(metrics.horizontalAdvance(text) for text in texts) + 8
        step = max(1, -(-wide * len(settings) // max(int(area.width()), 1)))
        span, y = max(settings[-1] - settings[0], 1e-9), area.bottom()
        for n in range(0, len(settings), step):
            x = area.left() + area.width() * (settings[n] - settings[0]) / span
            box = QRectF(x - wide / 2, y + 4, wide, metrics.height())
            painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, texts[n])
        below = QRectF(0, y + 4 + metrics.height(), area.right(), metrics.height())
        painter.drawText(
            below,
            Qt.AlignmentFlag.AlignRight,
            tr("ring: today · disc: advised · band: as good"),
        )
