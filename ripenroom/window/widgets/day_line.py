"""A line for a day: it is typed, stepped through with the keys, or picked in a calendar."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

from PySide6.QtCore import QDate, QLocale, QPoint, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPalette, QTextCharFormat
from PySide6.QtWidgets import (
    QCalendarWidget,
    QFrame,
    QHBoxLayout,
    QPushButton,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from ripenroom.days import day_with_weekday, known_locale
from ripenroom.records.refusal import Refusal
from ripenroom.texts import language, noted, tr
from ripenroom.window.dialogs import room_for
from ripenroom.window.plain import set_hint
from ripenroom.window.widgets.day_words import day_words
from ripenroom.window.widgets.inputs import ChosenLine
from ripenroom.window.widgets.layouts import begin_with
from ripenroom.window.widgets.typed_day import Lean, read_day

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
        spoken = QLocale(language())
        # Days and months are named as in our sentences.
        self.month.setLocale(locale if locale.language() == spoken.language() else spoken)
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


Now = Callable[[], datetime]
"""The moment it is where the season is at home, whenever it is asked for."""

_STEPS = {
    Qt.Key.Key_Up: 1,
    Qt.Key.Key_Down: -1,
    Qt.Key.Key_PageUp: 7,
    Qt.Key.Key_PageDown: -7,
}
"""How many days a key goes on."""


class DayLine(QWidget):
    """A day as text, understood while it is typed, and rewritten with its weekday on leaving.

    ``lean`` says which day a short text means: ``sat`` is the coming Saturday where market days
    are entered, and the last one where picks are. A text that is no day stays as it is, and
    ``misread`` says so to the field around it (an empty text: it is none any more).
    """

    dayChanged = Signal()  # noqa: N815 - named as Qt names signals
    misread = Signal(str)

    def __init__(
        self, locale: QLocale, now: Now, lean: Lean, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._locale, self._now, self._lean = locale, now, lean
        self._words = day_words(locale)
        self._day: date | None = self._today()
        self.line = _Line(self._step, self.show_calendar, self._read_back, self)
        self.button = QToolButton(self)
        self.button.setArrowType(Qt.ArrowType.NoArrow)
        self.button.setProperty("opens", "calendar")
        self.button.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # Alt+Down in the line does the same
        self.button.setAccessibleName(tr("Calendar"))
        set_hint(self.button, tr("Calendar (Alt+Down)"))
        self.button.clicked.connect(self.show_calendar)
        set_hint(
            self.line,
            tr(
                "Type {figures}, {month}, sat or tomorrow. Up and Down: a day later or earlier; "
                "Page Up and Page Down: a week; Alt+Down: calendar"
            ).format(figures=self._in_figures(), month=self._with_month()),
        )
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(self.line, 1)
        layout.addWidget(self.button)
        begin_with(self, self.line)
        self.line.textEdited.connect(self._on_typed)
        self._write()

    def day(self) -> date | None:
        """The day that is meant, None while the text is none."""
        return self._day

    def set_day(self, day: date) -> None:
        """Show a day."""
        changed, self._day = day != self._day, day
        self._write()
        self.misread.emit("")
        if changed:
            self.dayChanged.emit()

    def typed_day(self, field: str) -> date:
        """The day that is meant; raises ``Refusal`` of ``field`` while the text is none."""
        if self._day is None:
            why, said = self._why_none()
            raise Refusal(field, why, **said)
        return self._day

    def show_calendar(self) -> None:
        """Open the calendar below the line; what is picked there is shown in the line."""
        popup = CalendarPopup(self._locale, self._day or self._today(), self._today(), self)
        popup.picked.connect(self.set_day)
        popup.open_below(self.line)

    def setAccessibleName(self, name: str) -> None:
        """Name what a screen reader says when the line is entered."""
        super().setAccessibleName(name)
        self.line.setAccessibleName(name)
        self.button.setAccessibleName(tr("{name}: calendar").format(name=name))

    def _today(self) -> date:
        return self._now().date()

    def _step(self, days: int) -> None:
        self.set_day((self._day or self._today()) + timedelta(days=days))
        self.line.selectAll()

    def _on_typed(self, text: str) -> None:
        before = self._day
        self._day = read_day(text, self._today(), self._lean, self._words)
        self.line.show_meant("" if self._day is None else self.written(self._day))
        if self._day is not None:
            self.misread.emit("")
        if self._day != before:
            self.dayChanged.emit()

    def _read_back(self) -> None:
        """The line is left: say what was understood, or that nothing was."""
        if self._day is not None:
            self._write()
        else:
            why, said = self._why_none()
            self.misread.emit(tr(why).format(**said))

    def written(self, day: date) -> str:
        """A day as the line shows it, with its year where that is not this one."""
        year = f" {day.year}" if day.year != self._today().year else ""
        return f"{self._named(day)}{year}"

    def _write(self) -> None:
        self.line.show_meant("")
        if self._day is not None:
            self.line.setText(self.written(self._day))
            self.line.setCursorPosition(0)

    def _in_figures(self) -> str:
        return {"dmy": "5/12", "mdy": "12/5", "ymd": "12-5"}[self._words.order]

    def _named(self, day: date) -> str:
        return day_with_weekday(day, known_locale(self._locale.name()))

    def _with_month(self) -> str:
        return self._named(date(2026, 12, 5)).partition(" ")[2]

    def _why_none(self) -> tuple[str, dict[str, str]]:
        """Why the text is no day, and what belongs in there."""
        typed = self.line.text().strip()
        named = read_day(typed, self._today(), self._lean, self._words, heed_weekday=False)
        if named is None:
            return _WHY, {"typed": typed, "like": self._in_figures()}
        return _OTHER_WEEKDAY, {"typed": typed, "day": self.written(named)}


_WHY = noted("“{typed}” is not a day. Type one like {like}, sat or tomorrow.")
_OTHER_WEEKDAY = noted("“{typed}” is not right: that day is {day}.")


class _Line(ChosenLine):
    """Says faintly at its end what is understood so far, and has keys that step."""

    def __init__(
        self,
        step: Callable[[int], None],
        show_calendar: Callable[[], None],
        left: Callable[[], None],
        parent: QWidget,
    ) -> None:
        super().__init__(12, parent=parent)
        self._step, self._show_calendar, self._left = step, show_calendar, left
        self._meant = ""

    def show_meant(self, text: str) -> None:
        """Show what the typed text means; nothing where it is written out."""
        self._meant = text
        self.setAccessibleDescription(text)
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up and Down step by a day, the page keys by a week, Alt+Down opens the calendar."""
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Down and event.modifiers() & Qt.KeyboardModifier.AltModifier:
            self._show_calendar()
        elif key in _STEPS and not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            self._step(_STEPS[key])
        else:
            super().keyPressEvent(event)

    def read_back(self) -> None:
        """What was typed is read when the line is left."""
        self._left()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Write what is understood behind what is typed, where there is room."""
        super().paintEvent(event)
        metrics = self.fontMetrics()
        free = self.width() - metrics.horizontalAdvance(self.text()) - 24
        if not self._meant or metrics.horizontalAdvance(self._meant) > free:
            return
        painter = QPainter(self)
        painter.setPen(self.palette().color(QPalette.ColorRole.PlaceholderText))
        room = self.rect().adjusted(0, 0, -8, 0)
        painter.drawText(
            room, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, self._meant
        )
        painter.end()
