"""A month to pick a day from, large enough for a thumb, below the line it is for."""

from datetime import date

from PySide6.QtCore import QDate, QLocale, QPoint, Qt, Signal
from PySide6.QtGui import QPalette, QTextCharFormat
from PySide6.QtWidgets import QCalendarWidget, QFrame, QPushButton, QVBoxLayout, QWidget

from ripenroom.texts import tr
from ripenroom.window.dialogs import room_for

SMALLEST_CELL_PX = 36
"""How wide and high the cell of a day is at least, in logical pixels."""


class CalendarPopup(QFrame):
    """Arrow keys go by days, the page keys by months; Enter or a click picks, Esc picks nothing.

    It deletes itself when it closes.
    """

    picked = Signal(date)

    def __init__(self, locale: QLocale, shown: date, today: date, parent: QWidget) -> None:
        super().__init__(parent, Qt.WindowType.Popup)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.month = QCalendarWidget(self)
        self.month.setLocale(locale)
        self.month.setFirstDayOfWeek(locale.firstDayOfWeek())
        self.month.setAccessibleName(tr("Calendar"))
        self.month.setVerticalHeaderFormat(QCalendarWidget.VerticalHeaderFormat.NoVerticalHeader)
        self._write_every_weekday_alike()
        self.month.setSelectedDate(QDate(shown.year, shown.month, shown.day))
        # A row of weekdays and six of days, beneath the line of month and year.
        cell = max(SMALLEST_CELL_PX, round(2.2 * self.fontMetrics().height()))
        self.month.setMinimumSize(7 * cell + 8, 7 * cell + 48)
        self.today_button = QPushButton(tr("&Today"), self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(4, 4, 4, 4)
        layout.addWidget(self.month)
        layout.addWidget(self.today_button)
        self.month.activated.connect(self._pick)
        self.month.clicked.connect(self._pick)
        self.today_button.clicked.connect(
            lambda: self._pick(QDate(today.year, today.month, today.day))
        )

    def _write_every_weekday_alike(self) -> None:
        """Qt writes weekends in a red that is hard to read; to a grower Saturday is market day."""
        ink = QTextCharFormat()
        ink.setForeground(self.palette().color(QPalette.ColorRole.Text))
        for day in Qt.DayOfWeek:
            self.month.setWeekdayTextFormat(day, ink)

    def open_below(self, line: QWidget) -> None:
        """Show it under a line, or above where the screen ends."""
        self.adjustSize()
        below = line.mapToGlobal(QPoint(0, line.height()))
        room = room_for(line)
        if below.y() + self.height() > room.height():
            below.setY(max(0, line.mapToGlobal(QPoint(0, 0)).y() - self.height()))
        below.setX(max(0, min(below.x(), room.width() - self.width())))
        self.move(below)
        self.show()
        self.month.setFocus(Qt.FocusReason.PopupFocusReason)

    def _pick(self, day: QDate) -> None:
        self.close()
        self.picked.emit(date(day.year(), day.month(), day.day()))
