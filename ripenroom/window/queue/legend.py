"""The key to the queue: five marks that are mostly there, the others when they are asked for."""

import math
from collections.abc import Collection

from PySide6.QtCore import QPointF, QRectF, QSettings, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QLinearGradient, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QPushButton, QSizePolicy, QVBoxLayout, QWidget

from ripenroom.season.projection import FruitState
from ripenroom.texts import tr
from ripenroom.window.palette import Palette, paint_mark
from ripenroom.window.plain import run_from_left, set_hint
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.paint_cold import paint_star
from ripenroom.window.queue.paint_plan import paint_sample
from ripenroom.window.queue.queue_plan import ItineraryEnd, QueueItinerary
from ripenroom.window.queue.scene import Scene
from ripenroom.window.theme import ink
from ripenroom.window.widgets.layouts import FlowLayout
from ripenroom.wording.batch_states_and_ends import state_name


def plan_entries() -> dict[str, str]:
    """Marks of the plan, by name, and what they mean."""
    return {
        "sold": tr("crates for that day"),
        "pull": tr("planned move"),
        "knot": tr("knot: pinned"),
        "packed": tr("filled: packed"),
        "expected": tr("dashed: expected pick"),
    }


def marks_in(scene: Scene) -> frozenset[str]:
    """Which marks the scene's lines have."""
    found = {"expected"} if scene.expected else set()
    if scene.planned is None:
        return frozenset(found)
    for row in range(scene.rows):
        for way in scene.ways_of(scene.line_at(row)):
            found.update(_marks_of(way))
    return frozenset(found)


def _marks_of(way: QueueItinerary) -> list[str]:
    marks = []
    if way.fate is ItineraryEnd.SOLD:
        marks.append("packed" if way.line.packed else "sold")
    if way.pinned:
        marks.append("knot")
    elif not math.isnan(way.pull_h) and way.fate is not ItineraryEnd.SECOND_GRADE:
        marks.append("pull")
    return marks


_REMEMBERED = "queue/all marks"


class QueueLegend(QWidget):
    """Flows into several rows where it is narrow; whether all marks are shown is remembered.

    The button ``all`` stands wherever the page puts it.
    """

    def __init__(self, settings: QSettings | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._settings = settings
        plan = plan_entries()
        self.first = _Flow(self)
        for mark, text in (
            ("bar", tr("not ready yet, ready, past")),
            ("now", tr("now")),
            ("day", tr("market day")),
            ("sold", plan.pop("sold")),
            ("pull", plan.pop("pull")),
        ):
            self.first.add(mark, text)
        self.all = QPushButton(tr("All marks"), self)
        self.all.setCheckable(True)
        self.all.setProperty("latching", True)
        set_hint(self.all, tr("What every other mark means"))
        self.rest = _Flow(self)
        self.rest.add(FruitState.WONT_RIPEN, state_name(FruitState.WONT_RIPEN))
        for mark, text in (
            ("soft", tr("soft edge: less sure")),
            ("notch", tr("notch: best day")),
            ("tall", tr("taller: more at once")),
        ):
            self.rest.add(mark, text)
        self._gate = self.rest.add("gate", tr("posts: has had the cold it needs"))
        self._cold = self.rest.add("cold", tr("star: the cold spoils it that day"))
        self._moved = self.rest.add("moved", tr("tick with letters: moved there"))
        self._planned = {mark: self.rest.add(mark, text) for mark, text in plan.items()}
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addWidget(self.first)
        layout.addWidget(self.rest)
        shown = settings is not None and settings.value(_REMEMBERED, False, bool)
        self._low = False
        self.all.setChecked(bool(shown))
        self._show_marks()
        self.all.toggled.connect(self._show_rest)
        self.show_plan(frozenset())
        self.show_gates(False)
        self.show_cold(False)
        self.show_moves(False)

    def show_gates(self, shown: bool) -> None:
        """Explain the posts, where there are any to be seen."""
        self._gate.setVisible(shown)

    def show_cold(self, shown: bool) -> None:
        """Explain the star, where there is one to be seen."""
        self._cold.setVisible(shown)

    def show_moves(self, shown: bool) -> None:
        """Explain the ticks of moves, where there are any to be seen."""
        self._moved.setVisible(shown)

    def show_plan(self, marks: Collection[str]) -> None:
        """Explain these marks of the plan, and no other, beside those of the first row."""
        for mark, entry in self._planned.items():
            entry.setVisible(mark in marks)

    def show_low(self, low: bool) -> None:
        """Where height is scarce no mark is explained before it is asked for."""
        self._low = low
        self._show_marks()

    def _show_marks(self) -> None:
        shown = self.all.isChecked()
        self.first.setVisible(shown or not self._low)
        self.rest.setVisible(shown)

    def _show_rest(self, shown: bool) -> None:
        self._show_marks()
        if self._settings is not None:
            self._settings.setValue(_REMEMBERED, shown)


class _Flow(QWidget):
    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.flow = FlowLayout(self, spacing=10)

    def add(self, mark: FruitState | str, text: str) -> "_Entry":
        entry = _Entry(mark, text, self)
        self.flow.addWidget(entry)
        return entry


class _Entry(QWidget):
    def __init__(self, mark: FruitState | str, text: str, parent: QWidget) -> None:
        super().__init__(parent)
        run_from_left(self)
        self._mark, self._text = mark, text
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(text)

    def sizeHint(self) -> QSize:
        """Room for the mark and its words."""
        sizes = Sizes.of(self.font())
        wide = QFontMetricsF(sizes.small).horizontalAdvance(self._text)
        return QSize(round(self._mark_px(sizes) + 6 + wide) + 1, round(sizes.text_px) + 2)

    def _mark_px(self, sizes: Sizes) -> int:
        return round(sizes.text_px * (4.2 if self._mark == "bar" else 1.6))

    def paintEvent(self, event: QPaintEvent) -> None:
        """The mark, then the words."""
        painter, colours, sizes = QPainter(self), ink(self), Sizes.of(self.font())
        run_from_left(painter)
        high = round(sizes.text_px) - 4
        mark = QRectF(0, (self.height() - high) // 2, self._mark_px(sizes), high)
        if isinstance(self._mark, FruitState):
            paint_mark(painter, mark, self._mark, colours)
        elif self._mark in plan_entries():
            paint_sample(painter, mark, self._mark, Sizes.of(self.font(), with_lane=True), colours)
        elif self._mark == "moved":
            painter.setPen(colours.text)
            painter.setFont(sizes.small)
            painter.drawLine(mark.topLeft() + QPointF(0.5, 0), mark.bottomLeft() + QPointF(0.5, 0))
            painter.drawText(mark.adjusted(4, -3, 0, 3), Qt.AlignmentFlag.AlignVCenter, "Co")
        else:
            _SAMPLES[self._mark](painter, mark, colours)
        painter.setFont(sizes.small)
        painter.setPen(colours.faint)
        words = QRectF(mark.right() + 6, 0, self.width() - mark.right() - 6, self.height())
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, self._text)
        painter.end()


def _paint_bar(painter: QPainter, mark: QRectF, colours: Palette) -> None:
    part, low = mark.width() / 3.0, mark.height() * 0.45
    for number, state in enumerate((FruitState.HOLDING, FruitState.PAST)):
        x = mark.x() + 2 * number * part
        paint_mark(painter, QRectF(x, mark.bottom() - low, part, low), state, colours)
    _paint_notch(painter, QRectF(mark.x() + part, mark.y(), part, mark.height()), colours)


def _paint_now(painter: QPainter, mark: QRectF, colours: Palette) -> None:
    painter.setPen(QPen(colours.now, 2.0))
    painter.drawLine(
        QPointF(mark.center().x(), mark.top() - 2), QPointF(mark.center().x(), mark.bottom() + 2)
    )


def _paint_day(painter: QPainter, mark: QRectF, colours: Palette) -> None:
    painter.fillRect(mark, colours.band)
    painter.setPen(QPen(colours.edge, 1.0, Qt.PenStyle.DotLine))
    for x in (mark.left() + 0.5, mark.right() - 0.5):
        painter.drawLine(QPointF(x, mark.top()), QPointF(x, mark.bottom()))


def _paint_soft(painter: QPainter, mark: QRectF, colours: Palette) -> None:
    ramp = QLinearGradient(mark.topLeft(), mark.topRight())
    ramp.setColorAt(0.0, Qt.GlobalColor.transparent)
    ramp.setColorAt(1.0, colours.ready)
    painter.fillRect(mark, ramp)


def _paint_notch(painter: QPainter, mark: QRectF, colours: Palette) -> None:
    painter.fillRect(mark, colours.ready)
    middle, top = mark.center().x(), mark.top()
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colours.paper)
    corners = [QPointF(middle - 4, top), QPointF(middle + 4, top), QPointF(middle, top + 6)]
    painter.drawPolygon(QPolygonF(corners))


def _paint_tall(painter: QPainter, mark: QRectF, colours: Palette) -> None:
    half, low = mark.width() / 2.0, mark.height() * 0.45
    painter.fillRect(QRectF(mark.x(), mark.bottom() - low, half - 1, low), colours.ready)
    painter.fillRect(QRectF(mark.x() + half, mark.y(), half, mark.height()), colours.ready)


def _paint_gate(painter: QPainter, mark: QRectF, colours: Palette) -> None:
    painter.fillRect(mark.adjusted(0, mark.height() * 0.5, 0, 0), colours.holding)
    painter.setPen(colours.text)
    for post in (mark.center().x() - 2, mark.center().x() + 2):
        painter.drawLine(QPointF(post, mark.top()), QPointF(post, mark.bottom()))


def _paint_cold(painter: QPainter, mark: QRectF, colours: Palette) -> None:
    painter.setPen(QPen(colours.text, 1.4))
    paint_star(painter, mark.center(), mark.height() / 2.0)


_SAMPLES = {
    "bar": _paint_bar,
    "now": _paint_now,
    "day": _paint_day,
    "soft": _paint_soft,
    "notch": _paint_notch,
    "tall": _paint_tall,
    "gate": _paint_gate,
    "cold": _paint_cold,
}
