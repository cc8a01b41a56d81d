"""Gauge readings, typed one after the other with Enter between."""

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from ripenroom.records.check import Check
from ripenroom.records.refusal import Refusal
from ripenroom.window.forms.wrapped_label import WrappedLabel
from ripenroom.window.record_forms.readings import ReadingsInput
from ripenroom.window.wording import Wording


class GaugeReadings(QWidget):
    """A line of readings: Enter ends a reading, and once more hands the check in."""

    changed = Signal()

    def __init__(self, words: Wording, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words = words
        self.input = ReadingsInput(words, self)
        self.input.field.label.setText(self.tr("&Readings, Enter after each"))
        self.input.line.installEventFilter(self)
        self._told = WrappedLabel(parent=self)
        self._told.setObjectName("faint")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.input.field)
        layout.addWidget(self._told)
        layout.addStretch(1)
        self.setFocusProxy(self.input.line)
        self.input.changed.connect(self._tell)
        self._tell()

    @property
    def number(self) -> int:
        """How many readings there are; what cannot be read as a number does not count."""
        return len(self._typed())

    def show_gauge(self, like: Check | None, usual_probe_mm: float) -> None:
        """Begin with the gauge of an earlier check, or with the crop's usual probe."""
        if like is not None:
            self.input.unit_choice.choose(like.reading_unit)
        probe = like.probe_mm if like is not None and like.probe_mm else usual_probe_mm
        self.input.probe.setText(self._words.locale.toString(probe, "g", 6))

    def set_readings(self, readings: tuple[float, ...]) -> None:
        """Show readings that were noted before."""
        shown = (self._words.locale.toString(reading, "g", 12) for reading in readings)
        self.set_text(" ".join(shown))

    def set_text(self, text: str) -> None:
        """Show a typed line."""
        self.input.line.setText(text)
        self._tell()

    def take_back(self) -> None:
        """Forget the latest reading."""
        self.set_text(" ".join([*self.input.line.text().split()[:-1], ""]))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter after a number begins the next one instead of handing the check in."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            text = self.input.line.text()
            enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
            if enter and text.strip() and not text.endswith(" "):
                self.set_text(f"{text} ")
                return True
        return super().eventFilter(watched, event)

    def _typed(self) -> tuple[float, ...]:
        try:
            return self.input.values()
        except Refusal:
            return ()

    def _tell(self) -> None:
        typed = self._typed()
        if typed:
            mean = self._words.number(sum(typed) / len(typed), 1)
            text = self.tr("{n} read, {mean} {unit} on average. Enter on its own writes it down.")
            if len(typed) == 1:
                text = self.tr("1 read: {mean} {unit}. Enter on its own writes it down.")
            unit = self.input.unit_choice.currentText()
            self._told.setText(text.format(n=len(typed), mean=mean, unit=unit))
        else:
            self._told.setText(self.tr("Nothing read yet."))
        self.changed.emit()
