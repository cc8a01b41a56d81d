"""The queue under the user's hands: mouse, wheel and keyboard."""

from datetime import timedelta

from PySide6.QtCore import QEvent, QPoint, QPointF, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QContextMenuEvent,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QWidget

from ripenroom.window.queue.band_labels import band_words
from ripenroom.window.queue.days import day_of, span_of
from ripenroom.window.queue.hand import PlanHand
from ripenroom.window.queue.picture import QueuePicture
from ripenroom.window.queue.plan_words import crates_words
from ripenroom.window.queue.scene import Scene
from ripenroom.window.queue.trial import trial_words
from ripenroom.window.queue.under_hand import band_at, day_at, fruit_at, line_at, pick_at
from ripenroom.window.queue.ways import Way
from ripenroom.window.queue.words import line_and_plan
from ripenroom.window.wording import Wording

_ZOOM_STEP = 1.25
_WHEEL_NOTCH = 120.0


class QueueCanvas(QueuePicture):
    """The queue that can be moved, asked and acted upon.

    ``opened`` asks for a batch, ``expectedOpened`` for an expected pick, ``bandOpened`` for a
    market day, ``dayAsked`` for a new market day on a date, ``decisionAsked`` to decide otherwise
    for a batch; ``menuAsked`` for what can be done with a batch (or None) on a date, at a global
    point. ``pointed`` carries the words of what the mouse or the keyboard is on.
    """

    opened = Signal(str)
    bandOpened = Signal(str)  # noqa: N815 - named as Qt names signals
    dayAsked = Signal(object)  # noqa: N815
    menuAsked = Signal(object, object, QPoint)  # noqa: N815
    expectedOpened = Signal(str)  # noqa: N815
    decisionAsked = Signal(str)  # noqa: N815
    pointed = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._pressed_at: QPointF | None = None
        self._dragging = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.viewport().setMouseTracking(True)
        self._selected_by_hand = False
        self.hand = PlanHand(self)
        self.hand.tried.connect(self._on_tried)
        self.setAccessibleName(self.tr("Shelf queue"))
        self.setToolTip("")

    # What is under the hand

    def set_scene(self, scene: Scene, words: Wording) -> None:
        """Show another scene; the selection follows its batch."""
        chosen, pick = self.selected_batch(), self.selected_pick()
        super().set_scene(scene, words)
        # Until a hand selects one it is the top line, however the lines are arranged anew.
        self.selected = _line_of(scene, chosen, pick) if self._selected_by_hand else None
        if self.selected_row() is None:
            self.selected = scene.line_at(0) if scene.rows else None
        self.hand.abandon()  # what was tried may be otherwise now
        self._keep_chosen()
        if self.marked_day is None:
            self.marked_day = day_of(scene.now_h, scene.zone)
        self._tell()

    def selected_batch(self) -> str | None:
        """The id of the selected batch; None if an expected pick is selected, or nothing."""
        if self.scene is None or self.selected is None or self.selected_pick() is not None:
            return None
        return self.scene.projection.batch_ids[self.selected]

    def selected_pick(self) -> str | None:
        """The id of the selected expected pick."""
        if self.scene is None or self.selected is None:
            return None
        pick = self.scene.expected_at(self.selected)
        return None if pick is None else pick.pick_id

    def select_batch(self, batch_id: str) -> None:
        """Select a batch and bring its line into sight."""
        if self.scene is not None and batch_id in self.scene.projection.line_of:
            self._select(self.scene.projection.line_of[batch_id])
            self._bring_into_sight()
            self._tell()

    def words_of_selected(self) -> str:
        """The selected line in one sentence, its plan, and what it is on the marked day.

        While something is tried for it: that, and what it costs.
        """
        if self.scene is None or self.words is None or self.selected_row() is None:
            return ""
        assert self.selected is not None
        trial = self.hand.trial
        if trial is not None:
            return ".\n".join(trial_words(self.scene, trial, self.words)) + "."
        return line_and_plan(self.scene, self.selected, self.marked_day, self.words)

    # The plan under the hand

    def chosen_way(self) -> Way | None:
        """The crates of the selected line that the keyboard is on."""
        return self.chosen

    def choose(self, line: int, way: Way) -> None:
        """Select a line, and crates of it."""
        self._selected_by_hand = True
        self.selected, self.chosen = line, way
        self._tell()

    def choose_next_way(self) -> None:
        """Go on to the next crates of a batch that is split."""
        ways = self._ways()
        if ways and self.chosen in ways:
            self.hand.abandon()
            self.chosen = ways[(ways.index(self.chosen) + 1) % len(ways)]
            self._tell()

    def subject_of(self, way: Way) -> str:
        """Which crates of which batch: ``"P-0914-2, 3 crates"``."""
        if self.scene is None or self.words is None:
            return ""
        line = self.scene.projection.line_of.get(way.line.batch_id)
        code = "" if line is None else self.scene.facts.codes[line]
        return f"{code}, {crates_words(way.line.crates, self.words)}"

    def _ways(self) -> tuple[Way, ...]:
        if self.scene is None or self.selected is None:
            return ()
        return self.scene.ways_of(self.selected)

    def _select(self, line: int) -> None:
        self._selected_by_hand = True
        if line != self.selected:
            self.hand.abandon()
        self.selected = line
        self._keep_chosen()

    def _keep_chosen(self) -> None:
        """The crates that were chosen, if they still go that way; else the line's first."""
        ways, was = self._ways(), self.chosen

        def alike(way: Way) -> int:
            if was is None:
                return 0
            mine, other = way.line, was.line
            same = mine.batch_id == other.batch_id
            return (
                same
                + (same and mine.market_day_id == other.market_day_id)
                + (same and mine.pull_at == other.pull_at)
            )

        self.chosen = max(ways, key=alike, default=None)

    def _on_tried(self) -> None:
        self.trial, self.trial_at = self.hand.trial, self.hand.at
        self._tell()

    # Keyboard

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up and Down choose a line, Left and Right a day; the view follows."""
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
        elif key == Qt.Key.Key_D and self.selected_batch():
            self.decisionAsked.emit(self.selected_batch())
        elif key == Qt.Key.Key_Insert or (key == Qt.Key.Key_M and with_control):
            self.dayAsked.emit(self.marked_day)
        else:
            super().keyPressEvent(event)

    def go_to_today(self) -> None:
        """Back to the first view, with today as the marked day."""
        if self.scene is not None:
            self.marked_day = day_of(self.scene.now_h, self.scene.zone)
            self.show_home()
            self._tell()

    def _step(self, rows: int) -> None:
        if self.scene is None or not self.scene.rows:
            return
        row = self.selected_row()
        row = 0 if row is None else min(max(row + rows, 0), self.scene.rows - 1)
        self._select(self.scene.line_at(row))
        self._bring_into_sight()
        self._tell()

    def _step_day(self, days: int) -> None:
        if self.scene is None:
            return
        today = day_of(self.scene.now_h, self.scene.zone)
        self.marked_day = (self.marked_day or today) + timedelta(days=days)
        first_h, last_h = span_of(self.marked_day, self.scene.zone)
        margin = min((last_h - first_h) * self.view.px_per_h, self.view.width_px / 3.0)
        view = self.view.with_in_sight((first_h + last_h) / 2.0, margin)
        if view != self.view:
            self.show_view(view)
        self._tell()

    def _bring_into_sight(self) -> None:
        row, bar = self.selected_row(), self.verticalScrollBar()
        if row is not None:
            top, view = row * self.sizes.line_px, self.line_view()
            bar.setValue(int(min(max(view.top_px, top + view.line_px - view.height_px), top)))

    def _tell(self) -> None:
        """Let eye, hand and listener know what is selected now."""
        said = self.words_of_selected()
        self.viewport().update()
        if said != self.accessibleDescription():
            self.setAccessibleDescription(said)
            changed = QAccessibleEvent(self, QAccessible.Event.DescriptionChanged)
            QAccessible.updateAccessibility(changed)
        self.pointed.emit(said)

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
            self._point_at(event.position())
            return
        moved = event.position() - self._pressed_at
        if self._dragging or moved.manhattanLength() > QApplication.startDragDistance():
            self._dragging = True
            self.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
            self._pressed_at = event.position()
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
        self.marked_day = day_at(self, event.position().x()) or self.marked_day
        line = line_at(self, event.position())
        if line is not None:
            self._select(line)
        self._tell()
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
            self._select(line)
        self.marked_day = day_at(self, point.x()) or self.marked_day
        self._tell()
        batch = self.selected_batch() if line is not None else None
        self.menuAsked.emit(batch, self.marked_day, event.globalPos())

    def leaveEvent(self, event: QEvent) -> None:
        """With the mouse gone, the keyboard's line is what counts."""
        super().leaveEvent(event)
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
            self.pointed.emit(line_and_plan(self.scene, line, day, self.words))
        else:
            self.pointed.emit(self.words_of_selected())


def _line_of(scene: Scene, batch_id: str | None, pick_id: str | None) -> int | None:
    """The line of a batch or of an expected pick in another scene."""
    if batch_id is not None:
        return scene.projection.line_of.get(batch_id)
    beyond = len(scene.facts.batch_ids)
    picks = (beyond + n for n, pick in enumerate(scene.expected) if pick.pick_id == pick_id)
    return next(picks, None)
