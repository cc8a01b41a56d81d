"""A time of day, and a moment in the home zone, which shows now until it is changed."""

import json
from datetime import date, datetime, time

from PySide6.QtCore import QLocale, Qt, QTime, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.season.moments import at_local
from ripenroom.texts import tr
from ripenroom.window.plain import set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.day_line import DayLine
from ripenroom.window.widgets.day_words import day_words
from ripenroom.window.widgets.inputs import ChosenLine
from ripenroom.window.widgets.layouts import begin_with
from ripenroom.window.widgets.typed_day import Lean, read_time

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


class WhenEdit(QWidget):
    """Day and time of day with a "Now" button.

    Until the user types, the moment follows the clock, so that a form which was left open does not
    enter an hour-old time. ``misread`` says what is no day or time (empty: both are).
    """

    edited = Signal()
    misread = Signal(str)

    def __init__(self, session: Session, lean: Lean = "back") -> None:
        super().__init__()
        self._session = session
        self._follows = True
        self._exact: datetime | None = None
        self.typed_on: date | None = None
        """The day on which another moment than now was last typed; None while it is now."""
        self._wrong = {"day": "", "time": ""}
        locale = session.locale
        self.day = DayLine(locale, session.season.now, lean, self)
        self.clock = TimeLine(locale, self)
        self.now_button = QPushButton(tr("Now"), self)
        self.now_button.setAutoDefault(False)
        self.now_button.setAccessibleName(tr("Set to now"))
        set_hint(self.now_button, tr("Set to now; it then follows the clock"))
        self.now_button.clicked.connect(self.follow_now)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addWidget(self.day, 3)
        layout.addWidget(self.clock, 2)
        layout.addWidget(self.now_button)
        begin_with(self, self.day.line)
        self.follow_now()
        self.day.dayChanged.connect(self._on_changed)
        self.clock.timeChanged.connect(self._on_changed)
        self.day.misread.connect(lambda why: self._on_misread("day", why))
        self.clock.misread.connect(lambda why: self._on_misread("time", why))
        session.changed.connect(self._tick)

    @property
    def follows_now(self) -> bool:
        """Whether the moment is "now", whenever it is asked for."""
        return self._follows

    def moment(self, field: str = "at") -> datetime:
        """The moment that is meant, aware; raises ``Refusal`` of ``field`` for what is none."""
        if self._follows:
            # A pick is timed to the second at most.
            return self._session.season.now().replace(microsecond=0)
        if self._exact is not None:
            return self._exact
        day, clock = self.day.typed_day(field), self.clock.typed_time(field)
        return at_local(day, clock, self._session.words.zone)

    def set_moment(self, moment: datetime) -> None:
        """Show a moment, and no longer follow the clock.

        Its seconds are not shown, but kept until another time is typed.
        """
        self._show(moment)
        self._follows = False
        self._exact = moment
        self.typed_on = self._today()

    def texts(self) -> tuple[str, str]:
        """What stands in day and time, to see whether it was changed."""
        return self.day.line.text(), self.clock.text()

    def state(self) -> str:
        """What is filled in, as a text for :meth:`restore`; empty for now."""
        if self._follows:
            return ""
        if self._exact is None and None in (self.day.day(), self.clock.clock()):
            return json.dumps(self.texts())  # no moment yet, but nothing typed is lost
        return self.moment().isoformat()

    def restore(self, state: str) -> None:
        """Put back what :meth:`state` gave; anything else means now."""
        try:
            self.set_moment(datetime.fromisoformat(state))
        except ValueError:
            self.follow_now()
            self._restore_texts(state)

    def follow_now(self) -> None:
        """Go back to now."""
        self._show(self._session.season.now())
        self._follows = True
        self._exact = self.typed_on = None
        self.edited.emit()

    def setAccessibleName(self, name: str) -> None:
        """Name what a screen reader says when day and time are entered."""
        super().setAccessibleName(name)
        self.day.setAccessibleName(name)
        self.clock.setAccessibleName(tr("{name}: time").format(name=name))

    def _restore_texts(self, state: str) -> None:
        try:
            texts = json.loads(state)
        except ValueError:
            return
        if isinstance(texts, list) and len(texts) == 2:
            for line, text in zip((self.day.line, self.clock), texts, strict=True):
                if isinstance(text, str) and text != line.text():
                    line.setText(text)
                    line.textEdited.emit(text)

    def _show(self, moment: datetime) -> None:
        local = self._session.words.local(moment)
        for widget in (self.day, self.clock):
            widget.blockSignals(True)
        self.day.set_day(local.date())
        self.clock.set_time(local.time())
        for widget in (self.day, self.clock):
            widget.blockSignals(False)
        self._wrong = {"day": "", "time": ""}
        self.misread.emit("")

    def _on_misread(self, part: str, why: str) -> None:
        self._wrong[part] = why
        self.misread.emit(self._wrong["day"] or self._wrong["time"])

    def _tick(self) -> None:
        if self._follows and not (self.day.line.hasFocus() or self.clock.hasFocus()):
            self._show(self._session.season.now())

    def _on_changed(self) -> None:
        self._follows = False
        self._exact = None
        self.typed_on = self._today()
        self.edited.emit()

    def _today(self) -> date:
        return self._session.season.now().date()
