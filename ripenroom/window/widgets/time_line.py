"""A line for a time of day."""

from datetime import time

from PySide6.QtCore import QLocale, Qt, QTime, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr
from ripenroom.window.plain import set_hint
from ripenroom.window.widgets.chosen_line import ChosenLine
from ripenroom.window.widgets.day_words import day_words
from ripenroom.window.widgets.typed_day import read_time

_STEP_MINUTES = {
    Qt.Key.Key_Up: 15,
    Qt.Key.Key_Down: -15,
    Qt.Key.Key_PageUp: 60,
    Qt.Key.Key_PageDown: -60,
}


class TimeLine(ChosenLine):
    """Type ``9``, ``930`` or ``9 pm``; rewritten as the locale has it when the line is left.

    A text that is no time stays, and ``misread`` says so to the field around it.
    """

    timeChanged = Signal()  # noqa: N815 - named as Qt names signals
    misread = Signal(str)

    def __init__(self, locale: QLocale, parent: QWidget | None = None) -> None:
        super().__init__(8, parent=parent)
        self._locale = locale
        self._words = day_words(locale)
        self._time: time | None = time(0)
        set_hint(
            self,
            tr(
                "Type 9, 930 or 9 pm. Up and Down: a quarter of an hour later or earlier; Page Up "
                "and Page Down: an hour"
            ),
        )
        self.textEdited.connect(self._on_typed)
        self._write()

    def clock(self) -> time | None:
        """The time that is meant, None while the text is none."""
        return self._time

    def set_time(self, clock: time) -> None:
        """Show a time of day, to the minute."""
        clock = clock.replace(second=0, microsecond=0, tzinfo=None)
        changed, self._time = clock != self._time, clock
        self._write()
        self.misread.emit("")
        if changed:
            self.timeChanged.emit()

    def typed_time(self, field: str) -> time:
        """The time that is meant; raises ``Refusal`` of ``field`` while the text is none."""
        if self._time is None:
            raise Refusal(field, _WHY, typed=self.text().strip(), like=self._written(time(9, 30)))
        return self._time

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up and Down step by a quarter of an hour, the page keys by an hour."""
        minutes = _STEP_MINUTES.get(Qt.Key(event.key()))
        if minutes is None or event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            super().keyPressEvent(event)
            return
        shown = self._time or time(12)
        hour, minute = divmod((60 * shown.hour + shown.minute + minutes) % (24 * 60), 60)
        self.set_time(time(hour, minute))
        self.selectAll()

    def read_back(self) -> None:
        """What was typed is read when the line is left."""
        if self._time is not None:
            self._write()
        else:
            like = self._written(time(9, 30))
            self.misread.emit(tr(_WHY).format(typed=self.text().strip(), like=like))

    def _on_typed(self, text: str) -> None:
        before, self._time = self._time, read_time(text, self._words)
        if self._time is not None:
            self.misread.emit("")
        if self._time != before:
            self.timeChanged.emit()

    def _written(self, clock: time) -> str:
        shown = QTime(clock.hour, clock.minute)
        return self._locale.toString(shown, QLocale.FormatType.ShortFormat)

    def _write(self) -> None:
        if self._time is not None:
            self.setText(self._written(self._time))


_WHY = "“{typed}” is no time of day. Type one like {like}."
