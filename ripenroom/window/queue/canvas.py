"""The queue widget: handles mouse, wheel and keyboard."""

from datetime import timedelta

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QWidget

from ripenroom.texts import tr
from ripenroom.window.plain import set_hint
from ripenroom.window.queue.drag import PlanDrag
from ripenroom.window.queue.paint_bands import band_words
from ripenroom.window.queue.selection import SelectingPicture
from ripenroom.window.queue.time_view import day_of, span_of
from ripenroom.window.queue.under_pointer import (
    band_at,
    day_at,
    fruit_at,
    grip_words,
    line_at,
    pick_at,
)
from ripenroom.window.queue.words import line_and_plan

_ZOOM_STEP = 1.25
_WHEEL_NOTCH = 120.0


class QueueCanvas(SelectingPicture):
    """The queue that can be moved, asked and acted upon.

    ``opened`` asks for a batch, ``expectedOpened`` for an expected pick, ``bandOpened`` for a
    market day, ``dayAsked`` for a new market day on a date, ``checkAsked`` for a check of a batch
    and ``decisionAsked`` to decide otherwise for it (None: no batch is selected); ``menuAsked`` for
    what can be done with a batch (or None) on a date, at a global point.
    """

    opened = Signal(str)
    bandOpened = Signal(str)  # noqa: N815 - named as Qt names signals
    dayAsked = Signal(object)  # noqa: N815
    menuAsked = Signal(object, object, QPoint)  # noqa: N815
    expectedOpened = Signal(str)  # noqa: N815
    checkAsked = Signal(object)  # noqa: N815
    decisionAsked = Signal(object)  # noqa: N815

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.hand = PlanDrag(self)
        self.hand.tried.connect(self._on_tried)
        self.left.connect(self.hand.abandon)
        self._pressed_at: QPointF | None = None
        self._pointer: QPointF | None = None
        """Where the mouse rests; None while the keyboard is what counts."""
        self._dragging = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("Shelf queue"))
        set_hint(self, "")

    # Keyboard

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up and Down choose a line, Left and Right a day; the view follows."""
        self._pointer = None
        if self.hand.key(event):
            return
        key, with_control = event.key(), event.modifiers() & Qt.KeyboardModifier.ControlModifier
        page = max(int(self.layout_now().lines.height() // self.sizes.line_px) - 1, 1)
        week_px = 7 * 24 * self.view.px_per_h
        steps = {
            Qt.Key.Key_Up: -1,
            Qt.Key.Key_Down: 1,
            Qt.Key.Key_PageUp: -page,
            Qt.Key.Key_PageDown: page,
        }
        if key in steps:
            self._step(steps[Qt.Key(key)])
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            way = -1 if key == Qt.Key.Key_Left else 1
            if with_control:
                self.pan(-way * week_px)
            else:
                self._step_day(way)
        elif key in (Qt.Key.Key_Home, Qt.Key.Key_End) and with_control:
            lines = self.scene.rows if self.scene else 0
            self._step(-lines if key == Qt.Key.Key_Home else lines)
        elif key == Qt.Key.Key_Home:
            self.go_to_today()
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(_ZOOM_STEP)
        elif key == Qt.Key.Key_Minus:
            self.zoom(1 / _ZOOM_STEP)
        elif key == Qt.Key.Key_0:
            self.show_all()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.selected_batch():
            self.opened.emit(self.selected_batch())
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.selected_pick():
            self.expectedOpened.emit(self.selected_pick())
        elif key == Qt.Key.Key_C and not event.modifiers():
            self.checkAsked.emit(self.selected_batch())
        elif key == Qt.Key.Key_D and not event.modifiers():
            self.decisionAsked.emit(self.selected_batch())
        elif key == Qt.Key.Key_Insert or (key == Qt.Key.Key_M and with_control):
            self.dayAsked.emit(self.marked_day)
        else:
            super().keyPressEvent(event)

    def go_to_today(self) -> None:
        """Back to the first view, with today as the marked day."""
        if self.scene is not None:
            self.mark_today()
            self.show_home()
            self.tell()

    def _step(self, rows: int) -> None:
        if self.scene is None or not self.scene.rows:
            return
        row = self.selected_row()
        row = 0 if row is None else min(max(row + rows, 0), self.scene.rows - 1)
        self.select_line(self.scene.line_at(row))
        self.bring_into_sight()
        self.tell()

    def _step_day(self, days: int) -> None:
        if self.scene is None:
            return
        today = day_of(self.scene.now_h, self.scene.zone)
        day = (self.marked_day or today) + timedelta(days=days)
        self.mark_day(day)
        first_h, last_h = span_of(day, self.scene.zone)
        margin = min((last_h - first_h) * self.view.px_per_h, self.view.width_px / 3.0)
        view = self.view.with_in_sight((first_h + last_h) / 2.0, margin)
        if view != self.view:
            self.show_view(view)
        self.tell()

    def tell(self) -> None:
        """What the mouse rests on is what counts, whatever comes under it."""
        super().tell()
        if self._pointer is not None and not self.hand.busy:
            self._point_at(self._pointer)

    def _on_tried(self) -> None:
        self.trial, self.trial_at = self.hand.trial, self.hand.at
        self.tell()

    # Mouse

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin a click or a drag."""
        if event.button() == Qt.MouseButton.LeftButton and not self.hand.press(event.position()):
            self._pressed_at, self._dragging = event.position(), False

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag a pull or a market day's tick, or the picture, or tell what the mouse is on."""
        if self.hand.holds:
            self.hand.drag(event.position())
            return
        if self._pressed_at is None:
            self._pointer = event.position()
            self._point_at(self._pointer)
            self.hint_on(self._pointer)
            return
        moved = event.position() - self._pressed_at
        if self._dragging or moved.manhattanLength() > QApplication.startDragDistance():
            self._dragging = True
            self.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
            self._pressed_at = self._pointer = event.position()
            bar = self.verticalScrollBar()
            bar.setValue(bar.value() - round(moved.y()))
            self.pan(moved.x())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click that was no drag selects; on fruit it opens the batch."""
        if self.hand.holds:
            self.hand.let_go()
            return
        clicked = self._pressed_at is not None and not self._dragging
        self._pressed_at, self._dragging = None, False
        self.viewport().unsetCursor()
        if not clicked or event.button() != Qt.MouseButton.LeftButton:
            return
        band = band_at(self, event.position())
        if band is not None and event.position().y() < self.layout_now().header.bottom():
            self.bandOpened.emit(band.market_day_id)
            return
        day = day_at(self, event.position().x())
        if day is not None:
            self.mark_day(day)
        line = line_at(self, event.position())
        if line is not None:
            self.select_line(line)
        self.tell()
        if fruit_at(self, event.position()) is not None:
            self.opened.emit(self.selected_batch())
        elif pick_at(self, event.position()) is not None:
            self.expectedOpened.emit(self.selected_pick())

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """On empty space: a market day on that day."""
        self._pressed_at = None
        day = day_at(self, event.position().x())
        if day and fruit_at(self, event.position()) is None and not band_at(self, event.position()):
            self.dayAsked.emit(day)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Wheel scrolls lines; with Ctrl it zooms, with Shift it goes through the days."""
        held = event.modifiers()
        notches = (event.angleDelta().y() or event.angleDelta().x()) / _WHEEL_NOTCH
        if held & Qt.KeyboardModifier.ControlModifier:
            self.zoom(_ZOOM_STEP**notches, event.position().x() - self.layout_now().lines.x())
        elif held & Qt.KeyboardModifier.ShiftModifier or not event.angleDelta().y():
            self.pan(notches * 3 * self.sizes.line_px)
        else:
            bar = self.verticalScrollBar()
            bar.setValue(bar.value() - round(notches * 3 * self.sizes.line_px))
        event.accept()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """What can be done with the batch under the hand, or with the selected one."""
        if event.reason() == QContextMenuEvent.Reason.Keyboard:
            row = self.selected_row() or 0
            area = self.layout_now().lines
            y = area.y() + self.line_view().y(row) + self.sizes.line_px
            spot = self.viewport().mapToGlobal(QPoint(int(area.x()), int(y)))
            self.menuAsked.emit(self.selected_batch(), self.marked_day, spot)
            return
        point = QPointF(self.viewport().mapFromGlobal(event.globalPos()))
        line = line_at(self, point)
        if line is not None:
            self.select_line(line)
        day = day_at(self, point.x())
        if day is not None:
            self.mark_day(day)
        self.tell()
        batch = self.selected_batch() if line is not None else None
        self.menuAsked.emit(batch, self.marked_day, event.globalPos())

    def leaveEvent(self, event: QEvent) -> None:
        """With the mouse gone, the keyboard's line is what counts."""
        super().leaveEvent(event)
        self._pointer = None
        self.pointed.emit(self.words_of_selected())

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show where the keyboard is."""
        super().focusInEvent(event)
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """The frame goes with the keyboard."""
        super().focusOutEvent(event)
        self.viewport().update()

    def _point_at(self, point: QPointF) -> None:
        if self.scene is None or self.words is None:
            return
        band, line = band_at(self, point), line_at(self, point)
        grip = self.hand.grip_under(point)
        if grip is None:
            self.viewport().unsetCursor()
        else:
            self.viewport().setCursor(Qt.CursorShape.SizeHorCursor)
        if band is not None:
            self.pointed.emit(band_words(band, self.scene, self.words))
        elif line is not None:
            day = day_at(self, point.x())
            said = line_and_plan(self.scene, line, day, self.words)
            self.pointed.emit(said if grip is None else f"{said}\n{grip_words(grip)}")
        else:
            self.pointed.emit(self.words_of_selected())
