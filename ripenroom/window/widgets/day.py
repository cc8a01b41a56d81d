"""A day that may be unknown: a box to tick, and beside it the day."""

from datetime import date

from PySide6.QtCore import QDate, QLocale, Signal
from PySide6.QtWidgets import QCheckBox, QDateEdit, QHBoxLayout, QWidget


class DayEdit(QDateEdit):
    """A day of the calendar."""

    def __init__(self, locale: QLocale, on: date, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setCalendarPopup(True)
        self.setLocale(locale)
        self.setDisplayFormat(self.tr("ddd d MMM yyyy", "pattern of a date"))
        self.set_day(on)

    def day(self) -> date:
        """The day that is shown."""
        shown = self.date()
        return date(shown.year(), shown.month(), shown.day())

    def set_day(self, on: date) -> None:
        """Show a day."""
        self.setDate(QDate(on.year, on.month, on.day))


class KnownDay(QWidget):
    """A day, or that it is not known; ``likely`` is where the day begins once the box is ticked."""

    edited = Signal()

    def __init__(
        self, locale: QLocale, known: str, likely: date, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.box = QCheckBox(known, self)
        self.edit = DayEdit(locale, likely, self)
        self.edit.setAccessibleName(known)
        self.edit.setEnabled(False)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.box)
        layout.addWidget(self.edit, 1)
        self.setFocusProxy(self.box)
        self.box.toggled.connect(self.edit.setEnabled)
        self.box.toggled.connect(lambda _on: self.edited.emit())
        self.edit.dateChanged.connect(lambda _day: self.edited.emit())

    def day(self) -> date | None:
        """The day; None if it is not known."""
        return self.edit.day() if self.box.isChecked() else None

    def set_day(self, on: date | None) -> None:
        """Show a day, or that none is known."""
        if on is not None:
            self.edit.set_day(on)
        self.box.setChecked(on is not None)
