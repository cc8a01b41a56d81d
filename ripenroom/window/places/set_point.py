"""A slider and a box for a place's temperature: trying moves the queue, letting go sets it."""

from PySide6.QtCore import QEvent, QObject, QSignalBlocker, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QValidator,
    QWheelEvent,
)
from PySide6.QtWidgets import QDoubleSpinBox, QHBoxLayout, QSlider, QWidget

from ripenroom.texts import tr
from ripenroom.units import TemperatureUnit, celsius, temperature_in

_STEP: dict[TemperatureUnit, float] = {"C": 0.5, "F": 1.0}
_LOWEST_C, _HIGHEST_C = -2.0, 40.0
_AS_GOOD_AS_ON_IT = 0.05
"""A number that differs by less from a step's, in degrees, reads the same."""


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
    """Leaves the wheel to the page. What is set reads as it is, also between two steps.

    A number out of range can be typed, and is ``misread`` when it is to be set; until then it may
    be on the way to another.
    """

    misread = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.is_trying = False
        self._set_at, self._set_text = 0.0, ""

    def keep(self, at: float, text: str) -> None:
        """What is set, to the nearest step, and how it reads."""
        self._set_at, self._set_text = at, text

    def typed(self) -> str:
        """What stands in it without the unit."""
        return self.text().removesuffix(self.suffix()).strip()

    def reads_as_set(self) -> bool:
        """Whether it reads what is set, which may lie between two steps."""
        return bool(self._set_text) and self.typed() == self._set_text

    def textFromValue(self, value: float) -> str:
        """What is set reads as everywhere else, until another is tried."""
        if self._set_text and not self.is_trying and value == self._set_at:
            return self._set_text
        return super().textFromValue(value)

    def valueFromText(self, text: str) -> float:
        """And is read as its step."""
        if text.removesuffix(self.suffix()).strip() == self._set_text:
            return self._set_at
        return super().valueFromText(text)

    def validate(self, text: str, pos: int) -> tuple[QValidator.State, str, int]:
        """Qt would swallow the digit that leads out of range, and set what is left."""
        typed = text.removesuffix(self.suffix()).strip()
        if typed and typed == self._set_text:
            return QValidator.State.Acceptable, text, pos
        state, text, pos = super().validate(text, pos)
        if state is QValidator.State.Invalid and self.locale().toDouble(typed)[1]:
            state = QValidator.State.Intermediate
        return state, text, pos

    def fixup(self, text: str) -> str:
        """What cannot be set gives way to what is, not to the number typed on the way there."""
        self.misread.emit()
        return f"{self._set_text}{self.suffix()}"

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()


class SetPointControl(QWidget):
    """``tried`` and ``settled`` carry degrees Celsius; ``dropped`` ends a trial without a change.

    Dragging the slider, and its arrow keys, try. Letting go and Enter settle; Esc drops, and so
    does leaving the slider: what was only tried is never set by accident. A number is tried as it
    is typed, and set by Enter or by leaving the box, as in any other field; ``misread`` says why
    one is not. Undo ends a trial first: what is undone next is what was kept.
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
        self._set, self._set_c = 0, 0.0
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
        # Qt puts the old number back right after, which tries and drops it.
        self.box.misread.connect(self._on_misread, Qt.ConnectionType.QueuedConnection)
        self.box.setAlignment(Qt.AlignmentFlag.AlignRight)
        name = tr("Temperature of {place} in °{unit}").format(place=place_name, unit=unit)
        self.box.setAccessibleName(name)
        line = self.box.lineEdit()
        line.setAccessibleName(name)
        line.textEdited.connect(self._on_edited)
        # Qt's own would claim undo for the text.
        for widget in (self.slider, self.box, line):
            widget.installEventFilter(self)
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
        self._set, self._set_c = self.steps.of_celsius(value_c), value_c
        shown = temperature_in(value_c, self.steps.unit)
        nearest = self.steps.shown(self._set)
        on_step = abs(shown - nearest) < _AS_GOOD_AS_ON_IT
        self.box.keep(
            nearest,
            self.box.locale().toString(
                nearest if on_step else shown, "f", self.steps.decimals if on_step else 1
            ),
        )
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
        self._trying = self.box.is_trying = False
        step = self.slider.value()
        if abs(self.steps.in_celsius(step) - self._set_c) < _AS_GOOD_AS_ON_IT / 2.0:
            self._show(self._set)
            self.dropped.emit()
        else:
            self.settled.emit(self.steps.in_celsius(step))

    def drop(self) -> None:
        """Go back to what is set."""
        if self._trying:
            self._stop_trying()
            self.dropped.emit()

    def _stop_trying(self) -> None:
        self._trying = self.box.is_trying = False
        self._show(self._set)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Undo is the season's, once nothing is tried any more."""
        if not isinstance(event, QKeyEvent) or not (
            event.matches(QKeySequence.StandardKey.Undo)
            or event.matches(QKeySequence.StandardKey.Redo)
        ):
            return super().eventFilter(watched, event)
        if event.type() == QEvent.Type.ShortcutOverride:
            event.setAccepted(self._trying)
            return True
        if event.type() == QEvent.Type.KeyPress and self._trying:
            self.drop()
            return True
        return False

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter settles, Esc drops."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.settle()
        elif event.key() == Qt.Key.Key_Escape and (self._trying or not self._is_whole()):
            self.slider.ignore_hand()
            self._stop_trying()
            self.dropped.emit()
        else:
            super().keyPressEvent(event)

    def _is_whole(self) -> bool:
        """Whether the box reads what it is at, and no part of another number."""
        return self.box.hasAcceptableInput()

    def _on_misread(self) -> None:
        self.drop()
        self._say_range()

    def _say_range(self) -> None:
        low, high = (self.steps.shown(n) for n in (self.steps.lowest, self.steps.highest))
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
        self.box.is_trying = True
        self._show(step)
        self._try(step)

    def _on_box(self, shown: float) -> None:
        if self.box.reads_as_set():
            self.drop()
            return
        step = self.steps.of_shown(shown)
        # What is being typed stays as it is: half a number would be rounded under the hand.
        with QSignalBlocker(self.slider):
            self.slider.setValue(step)
        self._try(step)

    def _on_edited(self) -> None:
        """Nothing is tried while what is typed cannot be set: the answer would be to the number
        that stood there before. Why not is said once no further digit can mend it."""
        shown, is_number = self.box.locale().toDouble(self.box.typed())
        low, high = self.box.minimum(), self.box.maximum()
        if is_number and low <= shown <= high:
            # Qt tells of no change where it still holds this number from before.
            if not self._trying and shown == self.box.value():
                self._on_box(shown)
            return
        with QSignalBlocker(self.slider):
            self.slider.setValue(self._set)
        self._trying = self.box.is_trying = False
        self.dropped.emit()
        if is_number and (shown > high or shown < min(low, 0.0)):
            self._say_range()

    def _try(self, step: int) -> None:
        self._trying = self.box.is_trying = True
        self.tried.emit(self.steps.in_celsius(step))

    def _on_typed(self) -> None:
        if not self.slider.hasFocus():
            self.settle()
