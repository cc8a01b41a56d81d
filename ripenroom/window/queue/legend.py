"""What the drawing of fruit means, in the same fills as the lines above it."""

import math
from collections.abc import Collection

from PySide6.QtCore import QCoreApplication, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QLinearGradient, QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from ripenroom.season.projection import FruitState
from ripenroom.window.names import state_name
from ripenroom.window.palette import paint_mark
from ripenroom.window.queue.layout import Sizes
from ripenroom.window.queue.paint_plan import paint_sample
from ripenroom.window.queue.queue_plan import ItineraryEnd, QueueItinerary
from ripenroom.window.queue.scene import Scene
from ripenroom.window.theme import ink
from ripenroom.window.widgets.layouts import FlowLayout


def plan_entries() -> dict[str, str]:
    """Marks of the plan, by name, and what they mean."""
    return {
        "pull": QCoreApplication.translate("Legend", "ring: planned move"),
        "knot": QCoreApplication.translate("Legend", "knot: pinned"),
        "sold": QCoreApplication.translate("Legend", "number: crates sold"),
        "packed": QCoreApplication.translate("Legend", "filled: packed"),
        "second": QCoreApplication.translate("Legend", "triangle: second grade"),
        "left": QCoreApplication.translate("Legend", "dots: left over"),
        "cleared": QCoreApplication.translate("Legend", "cross: cleared away"),
        "expected": QCoreApplication.translate("Legend", "dashes: expected pick"),
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
    end = {
        ItineraryEnd.SOLD: "packed" if way.line.packed else "sold",
        ItineraryEnd.SECOND_GRADE: "second",
        ItineraryEnd.LEFT: "left",
        ItineraryEnd.CLEARED: "cleared",
    }[way.fate]
    marks = [end]
    if way.pinned:
        marks.append("knot")
    elif not math.isnan(way.pull_h) and way.fate is not ItineraryEnd.SECOND_GRADE:
        marks.append("pull")
    return marks


class Legend(QWidget):
    """Four states, the soft edge and the notch; flows into several rows where it is narrow."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        layout = FlowLayout(self, spacing=12)
        states = (FruitState.HOLDING, FruitState.READY, FruitState.PAST, FruitState.WONT_RIPEN)
        entries: list[tuple[FruitState | str, str]] = [
            (state, state_name(state)) for state in states
        ]
        entries += [
            ("soft", self.tr("soft edge: less sure")),
            ("notch", self.tr("notch: best day")),
            ("tall", self.tr("taller: more at once")),
        ]
        for mark, text in entries:
            layout.addWidget(_Entry(mark, text, self))
        self._gate = _Entry("gate", self.tr("posts: its cold or trigger is done"), self)
        self._moved = _Entry("moved", self.tr("tick and letters: moved there"), self)
        layout.addWidget(self._gate)
        layout.addWidget(self._moved)
        self._planned = {mark: _Entry(mark, text, self) for mark, text in plan_entries().items()}
        for entry in self._planned.values():
            layout.addWidget(entry)
        self.show_plan(frozenset())
        self.show_gates(False)
        self.show_moves(False)

    def show_gates(self, shown: bool) -> None:
        """Explain the posts, where there are any to be seen."""
        self._gate.setVisible(shown)

    def show_moves(self, shown: bool) -> None:
        """Explain the ticks of moves, where there are any to be seen."""
        self._moved.setVisible(shown)

    def show_plan(self, marks: Collection[str]) -> None:
        """Explain these marks of the plan, and no other."""
        for mark, entry in self._planned.items():
            entry.setVisible(mark in marks)


class _Entry(QWidget):
    def __init__(self, mark: FruitState | str, text: str, parent: QWidget) -> None:
        super().__init__(parent)
        self._mark, self._text = mark, text
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(text)

    def sizeHint(self) -> QSize:
        """Room for the mark and its words."""
        sizes = Sizes.of(self.font())
        wide = QFontMetricsF(sizes.small).horizontalAdvance(self._text)
        return QSize(round(sizes.text_px * 1.6 + 6 + wide) + 1, round(sizes.text_px) + 2)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The mark, then the words."""
        painter, colours, sizes = QPainter(self), ink(self), Sizes.of(self.font())
        mark = QRectF(0, 3, round(sizes.text_px * 1.6), self.height() - 6)
        if isinstance(self._mark, FruitState):
            paint_mark(painter, mark, self._mark, colours)
        elif self._mark == "soft":
            ramp = QLinearGradient(mark.topLeft(), mark.topRight())
            ramp.setColorAt(0.0, Qt.GlobalColor.transparent)
            ramp.setColorAt(1.0, colours.ready)
            painter.fillRect(mark, ramp)
        elif self._mark == "notch":
            painter.fillRect(mark, colours.ready)
            middle = mark.center().x()
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(colours.paper)
            painter.drawPolygon(
                QPolygonF(
                    [
                        QPointF(middle - 4, mark.top()),
                        QPointF(middle + 4, mark.top()),
                        QPointF(middle, mark.top() + 6),
                    ]
                )
            )
        elif self._mark in plan_entries():
            paint_sample(painter, mark, self._mark, Sizes.of(self.font(), with_lane=True), colours)
        elif self._mark == "gate":
            low = mark.height() * 0.5
            painter.fillRect(mark.adjusted(0, low, 0, 0), colours.holding)
            painter.setPen(colours.text)
            for post in (mark.center().x() - 2, mark.center().x() + 2):
                painter.drawLine(QPointF(post, mark.top()), QPointF(post, mark.bottom()))
        elif self._mark == "moved":
            painter.setPen(colours.text)
            painter.setFont(sizes.small)
            painter.drawLine(mark.topLeft() + QPointF(0.5, 0), mark.bottomLeft() + QPointF(0.5, 0))
            painter.drawText(
                mark.adjusted(4, -3, 0, 3), Qt.AlignmentFlag.AlignVCenter, self.tr("CR")
            )
        else:
            half = mark.width() / 2.0
            low = mark.height() * 0.45
            painter.fillRect(QRectF(mark.x(), mark.bottom() - low, half - 1, low), colours.ready)
            painter.fillRect(QRectF(mark.x() + half, mark.y(), half, mark.height()), colours.ready)
        painter.setFont(sizes.small)
        painter.setPen(colours.faint)
        words = QRectF(mark.right() + 6, 0, self.width() - mark.right() - 6, self.height())
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, self._text)
        painter.end()
