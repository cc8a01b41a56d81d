"""A day that may be unknown: a box to tick, and beside it the day."""

from datetime import date

from PySide6.QtCore import QLocale, Signal
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QWidget

from ripenroom.window.widgets.day_line import DayLine, Now
from ripenroom.window.widgets.layouts import begin_with


class KnownDay(QWidget):
    """A day, or that it is not known; ``likely`` is where the day begins once the box is ticked."""

    edited = Signal()
    misread = Signal(str)

    def __init__(
        self, locale: QLocale, now: Now, known: str, likely: date, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.box = QCheckBox(known, self)
        self.edit = DayLine(locale, now, "near", self)
        self.edit.set_day(likely)
        self.edit.setAccessibleName(known)
        self.edit.setEnabled(False)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.box)
        layout.addWidget(self.edit, 1)
        begin_with(self, self.box)
        self.box.toggled.connect(self.edit.setEnabled)
        self.box.toggled.connect(self._on_toggled)
        self.edit.dayChanged.connect(self.edited)
        self.edit.misread.connect(self.misread)

    def typed_day(self, field: str) -> date | None:
        """The day, None if it is not known; refuses (``field``) a text that is no day."""
        return self.edit.typed_day(field) if self.box.isChecked() else None

    def set_day(self, on: date | None) -> None:
        """Show a day, or that none is known."""
        if on is not None:
            self.edit.set_day(on)
        self.box.setChecked(on is not None)

    def _on_toggled(self, known: bool) -> None:
        if not known:
            self.misread.emit("")  # what is not asked for is not wrong
        self.edited.emit()
