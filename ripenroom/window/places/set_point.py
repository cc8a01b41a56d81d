"""A slider and a box for a place's temperature: trying moves the queue, letting go sets it."""

from typing import cast

from PySide6.QtCore import QEvent, QObject, QSignalBlocker, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QValidator,
    QWheelEvent,
)
from PySide6.QtWidgets import QDoubleSpinBox, QHBoxLayout, QLineEdit, QSlider, QWidget

from ripenroom.texts import tr
from ripenroom.units import TemperatureUnit, celsius, temperature_in

_STEP: dict[TemperatureUnit, float] = {"C": 0.5, "F": 1.0}
_LOWEST_C, _HIGHEST_C = -2.0, 40.0


class SetPointSteps:
    """Whole steps of one unit: half a degree Celsius, or one degree Fahrenheit."""

    def __init__(self, unit: TemperatureUnit) -> None:
        self.unit: TemperatureUnit = unit
        self.step = _STEP[unit]
        self.decimals = 1 if unit == "C" else 0
        self.lowest = self.of_celsius(_LOWEST_C)
        self.highest = self.of_celsius(_HIGHEST_C)

    def of_celsius(self, value_c: float) -> int:
        """The step nearest to a temperature."""
        return round(temperature_in(value_c, self.unit) / self.step)

    def of_shown(self, shown: float) -> int:
        """The step nearest to a number in the season's unit."""
        return round(shown / self.step)

    def shown(self, step: int) -> float:
        """What a step reads in the season's unit."""
        return step * self.step

    def in_celsius(self, step: int) -> float:
        """Degrees Celsius of a step."""
        return celsius(self.shown(step), self.unit)


_STILL_HERE = (
    Qt.FocusReason.ActiveWindowFocusReason,
    Qt.FocusReason.PopupFocusReason,
    Qt.FocusReason.MenuBarFocusReason,
)
"""Reasons for losing the keyboard that do not mean that the user is done here."""


class _Slider(QSlider):
    """Leaves the wheel to the page; says when it is let go of and when it is left."""

    letGo = Signal()  # noqa: N815 - named as Qt names signals
    left = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self._hand_ignored = False

    def ignore_hand(self) -> None:
        """Take no notice of a mouse button that is down until it is let go."""
        self._hand_ignored = self.isSliderDown()

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if not self._hand_ignored:
            super().mouseMoveEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        super().mouseReleaseEvent(event)
        if self._hand_ignored:
            self._hand_ignored = False
        else:
            self.letGo.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        if event.reason() not in _STILL_HERE:
            self.left.emit()


class _Box(QDoubleSpinBox):
    """Leaves the wheel to the page, and undo to the season: what was set is no longer typed.

    ``undone`` is asked for while something is tried. A number out of range can be typed, and is
    ``misread`` when it is to be set; until then it may be on the way to another.
    """

    undone = Signal()
    misread = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.is_trying = False
        self.is_set = 0.0
        self.lineEdit().installEventFilter(self)

    def validate(self, text: str, pos: int) -> object:
        """Qt would swallow the digit that leads out of range, and set what is left."""
        state, text, pos = cast("tuple[QValidator.State, str, int]", super().validate(text, pos))
        typed = text.removesuffix(self.suffix()).strip()
        if state is QValidator.State.Invalid and self.locale().toDouble(typed)[1]:
            state = QValidator.State.Intermediate
        return state, text, pos

    def fixup(self, text: str) -> str:
        """What cannot be set gives way to what is, not to the number typed on the way there."""
        self.misread.emit()
        return f"{self.textFromValue(self.is_set)}{self.suffix()}"

    def event(self, event: QEvent) -> bool:
        """Qt's own would claim undo for the text."""
        return self._is_undo(event) or super().event(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """So would the text field."""
        return self._is_undo(event) or super().eventFilter(watched, event)

    def _is_undo(self, event: QEvent) -> bool:
        if not isinstance(event, QKeyEvent) or not (
            event.matches(QKeySequence.StandardKey.Undo)
            or event.matches(QKeySequence.StandardKey.Redo)
        ):
            return False
        if event.type() == QEvent.Type.ShortcutOverride:
            event.setAccepted(self.is_trying)
            return True
        if event.type() == QEvent.Type.KeyPress and self.is_trying:
            self.undone.emit()
            return True
        return False

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()


class SetPointControl(QWidget):
    """``tried`` and ``settled`` carry degrees Celsius; ``dropped`` ends a trial without a change.

    Dragging the slider, and its arrow keys, try. Letting go and Enter settle; Esc drops, and so
    does leaving the slider: what was only tried is never set by accident. A number is tried as it
    is typed, and set by Enter or by leaving the box, as in any other field; ``misread`` says why
    one is not.
    """

    tried = Signal(float)
    settled = Signal(float)
    dropped = Signal()
    misread = Signal(str)

    def __init__(
        self, place_name: str, unit: TemperatureUnit, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.steps = SetPointSteps(unit)
        self._set = 0
        self._trying = False
        self.slider = _Slider(self)
        self.slider.setRange(self.steps.lowest, self.steps.highest)
        self.slider.setPageStep(4)
        self.slider.setAccessibleName(tr("Temperature of {place}").format(place=place_name))
        self.slider.setAccessibleDescription(tr("Arrow keys try it, Enter sets it, Esc goes back"))
        self.box = _Box(self)
        self.box.setDecimals(self.steps.decimals)
        self.box.setSingleStep(self.steps.step)
        self.box.setRange(self.steps.shown(self.steps.lowest), self.steps.shown(self.steps.highest))
        self.box.setSuffix(f" °{unit}")
        self.box.undone.connect(self.drop)
        # Qt puts the old number back right after, which tries and drops it.
        self.box.misread.connect(self._on_misread, Qt.ConnectionType.QueuedConnection)
        self.box.setAlignment(Qt.AlignmentFlag.AlignRight)
        name = tr("Temperature of {place} in °{unit}").format(place=place_name, unit=unit)
        self.box.setAccessibleName(name)
        inner = self.box.findChild(QLineEdit)
        if inner is not None:
            inner.setAccessibleName(name)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(10)
        layout.addWidget(self.slider, 1)
        layout.addWidget(self.box)
        self.slider.valueChanged.connect(self._on_slider)
        self.slider.letGo.connect(self.settle)
        self.slider.left.connect(self.drop)
        self.box.valueChanged.connect(self._on_box)
        self.box.editingFinished.connect(self._on_typed)

    def set_celsius(self, value_c: float) -> None:
        """Show the set point that holds, unless another is being tried."""
        self._set = self.steps.of_celsius(value_c)
        self.box.is_set = self.steps.shown(self._set)
        if not self._trying:
            self._show(self._set)

    @property
    def is_trying(self) -> bool:
        """Whether a set point is being tried that is not set."""
        return self._trying

    def settle(self) -> None:
        """Set what is tried."""
        if not self._trying:
            return
        self._trying = False
        self.box.is_trying = False
        step = self.slider.value()
        if step == self._set:
            self._show(self._set)
            self.dropped.emit()
        else:
            self.settled.emit(self.steps.in_celsius(step))

    def drop(self) -> None:
        """Go back to what is set."""
        if self._trying:
            self._trying = self.box.is_trying = False
            self._show(self._set)
            self.dropped.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter settles, Esc drops."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.settle()
        elif event.key() == Qt.Key.Key_Escape and (self._trying or not self._is_whole()):
            self.slider.ignore_hand()
            self.drop()
            self._show(self._set)
        else:
            super().keyPressEvent(event)

    def _is_whole(self) -> bool:
        """Whether the box reads what it is at, and no part of another number."""
        return self.box.hasAcceptableInput()

    def _on_misread(self) -> None:
        low, high = (self.steps.shown(n) for n in (self.steps.lowest, self.steps.highest))
        self.drop()
        self.misread.emit(
            tr("Type a temperature from {low} to {high} °{unit}.").format(
                low=round(low), high=round(high), unit=self.steps.unit
            )
        )

    def _show(self, step: int) -> None:
        with QSignalBlocker(self.slider), QSignalBlocker(self.box):
            self.slider.setValue(step)
            self.box.setValue(self.steps.shown(step))

    def _on_slider(self, step: int) -> None:
        self._show(step)
        self._try(step)

    def _on_box(self, shown: float) -> None:
        step = self.steps.of_shown(shown)
        # What is being typed stays as it is: half a number would be rounded under the hand.
        with QSignalBlocker(self.slider):
            self.slider.setValue(step)
        self._try(step)

    def _try(self, step: int) -> None:
        self._trying = self.box.is_trying = True
        self.tried.emit(self.steps.in_celsius(step))

    def _on_typed(self) -> None:
        if not self.slider.hasFocus():
            self.settle()
