"""The mark of a fruit state: outline, light, solid or hatched, the same wherever it is drawn."""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QBrush, QPainter, QPen

from ripenroom.season.projection import State
from ripenroom.window.inks import Ink


def state_brush(state: State, ink: Ink) -> QBrush:
    """What fills the mark of a state."""
    if state is State.HOLDING:
        return QBrush(ink.holding)
    if state is State.READY:
        return QBrush(ink.ready)
    if state is State.PAST:
        return QBrush(ink.past, Qt.BrushStyle.BDiagPattern)
    return QBrush(Qt.BrushStyle.NoBrush)


def state_pen(state: State, ink: Ink) -> QPen:
    """What goes around the mark of a state; fruit that won't ripen has a broken outline."""
    pen = QPen(ink.ready if state is State.READY else ink.outline, 1.0)
    if state is State.WONT_RIPEN:
        pen.setStyle(Qt.PenStyle.DashLine)
    return pen


def paint_mark(painter: QPainter, rect: QRectF, state: State, ink: Ink) -> None:
    """Draw the mark of a state into ``rect``."""
    painter.save()
    painter.setPen(state_pen(state, ink))
    painter.setBrush(state_brush(state, ink))
    painter.drawRect(rect.adjusted(0.5, 0.5, -0.5, -0.5))
    painter.restore()
