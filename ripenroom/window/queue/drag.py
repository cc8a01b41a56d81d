"""Dragging planned moves and market days on the queue, by mouse or keyboard."""

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Final

from PySide6.QtCore import QObject, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication

from ripenroom.records.market import Pin
from ripenroom.season.moments import from_hours
from ripenroom.season.plans.decisions import DecisionOptions, next_market, pulled, shifted, sold_on
from ripenroom.texts import tr
from ripenroom.window.queue.decide import Decision
from ripenroom.window.queue.queue_plan import QueueItinerary
from ripenroom.window.queue.selection import SelectingPicture
from ripenroom.window.queue.trial import DecisionTrial
from ripenroom.window.queue.under_pointer import DragHandle, DragHandleKind, grip_at

_QUICK_S: Final = 0.05
"""A cost that takes longer than this is worked out only once the hand rests ..."""

_REST_MS: Final = 80
"""... for so long, so that what is dragged follows the hand."""


class PlanDrag(QObject):
    """Tries decisions on the canvas's lines, and has them written down.

    A grip that is dragged, or a key, begins a trial: the line shows it and what it costs, and
    nothing is written. Letting go, or Enter, pins it; Escape leaves everything as it was. Without
    a ``decider`` there is nothing to be taken hold of.
    """

    tried = Signal()
    """The trial has begun, changed or ended."""

    def __init__(self, canvas: SelectingPicture) -> None:
        super().__init__(canvas)
        self.decider: Decision | None = None
        self.trial: DecisionTrial | None = None
        self.at: QPointF | None = None
        self._canvas = canvas
        self._held: DragHandle | None = None
        self._pressed_at = QPointF()
        self._options: DecisionOptions | None = None
        self._is_slow = False
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self._on_rested)

    # Mouse

    def grip_under(self, point: QPointF) -> DragHandle | None:
        """What could be taken hold of under a point."""
        if self.decider is None or not self.decider.writable:
            return None
        return grip_at(self._canvas, point)

    def press(self, point: QPointF) -> bool:
        """Take hold of what is under the mouse; False if there is nothing."""
        held = self.grip_under(point)
        if held is None:
            return False
        self.abandon()
        self._held, self._pressed_at = held, point
        self._canvas.choose(self._held.line, self._held.way)
        return True

    @property
    def holds(self) -> bool:
        """Whether the mouse has hold of something."""
        return self._held is not None

    @property
    def busy(self) -> bool:
        """Whether something is held or tried that a new scene would tear away."""
        return self._held is not None or self.trial is not None

    def drag(self, point: QPointF) -> None:
        """Try what the mouse is at now."""
        held, scene = self._held, self._canvas.scene
        if held is None or scene is None or self.decider is None:
            return
        if self.trial is None:
            far = (point - self._pressed_at).manhattanLength() >= QApplication.startDragDistance()
            if not far or not self._begin(held.line, held.way, by_key=False):
                return
        assert self.trial is not None
        assert self._options is not None
        self.at = point
        hour = self._canvas.view.hour(point.x() - self._canvas.layout_now().lines.x())
        at = from_hours(hour, scene.zone)
        if held.kind is DragHandleKind.PULL:
            self._try(pulled(self.trial.was, at, self._options))
            return
        day = self._options.nearest_market_day(at)
        if day is not None:
            self._try(sold_on(self.trial.was, day, self._options))

    def let_go(self) -> None:
        """Pin what is tried; a click that was no drag only chose."""
        self._held = None
        if self.trial is not None:
            self.keep()
        else:
            self.tried.emit()

    # Keyboard

    def key(self, event: QKeyEvent) -> bool:
        """Whether the key was one of these: Shift and Alt with arrows, P, W, Enter and Escape."""
        shift = event.modifiers() == Qt.KeyboardModifier.ShiftModifier
        alt = event.modifiers() == Qt.KeyboardModifier.AltModifier
        plain = event.modifiers() in (
            Qt.KeyboardModifier.NoModifier,
            Qt.KeyboardModifier.KeypadModifier,
        )
        key = Qt.Key(event.key())
        arrows = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}
        if key in arrows and shift:
            self.shift_pull(arrows[key])
        elif key in arrows and alt:
            self.shift_market(arrows[key])
        elif self.trial is not None and key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.keep()
        elif key == Qt.Key.Key_Escape and (self.trial is not None or self._held is not None):
            self.abandon()
        elif key == Qt.Key.Key_P and plain:
            self.pin_or_unpin()
        elif key == Qt.Key.Key_W and plain:
            self._canvas.choose_next_way()
        else:
            return False
        return True

    def shift_pull(self, days: int) -> None:
        """Try the pull of the chosen crates so many evenings later."""
        if self._begin_by_key():
            assert self.trial is not None
            assert self._options is not None
            if self.trial.pin.pull_at is None:
                self._say(
                    tr(
                        "These crates stay where they are. To move them, choose a place in the "
                        "menu."
                    )
                )
                self.abandon()
                return
            self._try(shifted(self.trial.pin, days, self._options))

    def shift_market(self, steps: int) -> None:
        """Try another market day for the chosen crates."""
        if self._begin_by_key():
            assert self.trial is not None
            assert self._options is not None
            self._try(next_market(self.trial.pin, steps, self._options))

    def try_pin(self, change: Callable[[Pin, DecisionOptions], Pin]) -> None:
        """Try any other change of the chosen crates, such as another place."""
        if self._begin_by_key():
            assert self.trial is not None
            assert self._options is not None
            self._try(change(self.trial.pin, self._options))

    def pin_or_unpin(self) -> None:
        """Pin the chosen crates as they are planned, or leave pinned ones to the plan."""
        if self.trial is not None:
            self.keep()
            return
        way = self._canvas.chosen_way()
        if way is None or self.decider is None or not self._is_open():
            return
        why_not = self.decider.why_not_as_planned(way.line)
        if why_not:
            self._say(why_not)
            return
        subject = self._canvas.subject_of(way)
        if way.line.pin_id is not None:
            done = tr("{subject}: left to the plan again.")
            self.decider.leave_to_plan(way.line.pin_id, done.format(subject=subject))
            return
        pin = self.decider.as_pin(way.line)
        self._pin(pin, subject, self.decider.cost(pin))

    # Either

    def keep(self) -> None:
        """Write the trial down."""
        if self.trial is not None and self.trial.changed and self._soon.isActive():
            self._find_cost()
        trial, self.trial, self._held, self.at = self.trial, None, None, None
        self.tried.emit()
        if trial is not None and trial.changed:
            self._pin(trial.pin, self._canvas.subject_of(trial.way), trial.cost)

    def abandon(self) -> None:
        """Leave everything as it was."""
        had = self.trial is not None
        self._soon.stop()
        self.trial, self._held, self.at = None, None, None
        if had:
            self.tried.emit()

    def _pin(self, pin: Pin, subject: str, cost: str) -> None:
        assert self.decider is not None
        done = tr("{subject}: pinned; {cost}. Ctrl+Z takes it back.")
        self.decider.decide(pin, done.format(subject=subject, cost=cost))

    def _is_open(self) -> bool:
        """Whether anything can be decided; says why not."""
        because = None if self.decider is None else self.decider.closed_because
        if because is not None:
            self._say(because)
        return because is None

    def _begin_by_key(self) -> bool:
        if self.trial is not None:
            return True
        if not self._is_open():
            return False
        way, line = self._canvas.chosen_way(), self._canvas.selected
        if way is None or line is None:
            self._say(tr("Nothing planned for this batch can be changed here."))
            return False
        return self._begin(line, way, by_key=True)

    def _begin(self, line: int, way: QueueItinerary, by_key: bool) -> bool:
        if self.decider is None or not self.decider.writable or not way.line.batch_id:
            return False
        self._options = self.decider.options()
        pin = self.decider.as_pin(way.line)
        self.trial = DecisionTrial(line, way, pin, pin, "", by_key)
        return True

    def _try(self, pin: Pin) -> None:
        assert self.trial is not None
        assert self.decider is not None
        if pin != self.trial.pin or not self.trial.cost:
            self.trial = replace(self.trial, pin=pin, cost="…")
            if self._is_slow:
                self._soon.start(_REST_MS)
            else:
                self._find_cost()
        self.tried.emit()

    def _find_cost(self) -> None:
        assert self.trial is not None
        assert self.decider is not None
        began = time.perf_counter()
        self.trial = replace(self.trial, cost=self.decider.cost(self.trial.pin))
        self._is_slow = time.perf_counter() - began > _QUICK_S
        self._soon.stop()

    def _on_rested(self) -> None:
        if self.trial is not None:
            self._find_cost()
            self.tried.emit()

    def _say(self, text: str) -> None:
        self._canvas.pointed.emit(text)
