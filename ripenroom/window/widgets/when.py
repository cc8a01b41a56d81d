"""A field for a moment: the home zone's wall clock, which stands at now until it is touched."""

from datetime import datetime

from PySide6.QtCore import QLocale, Signal
from PySide6.QtWidgets import QDateTimeEdit, QHBoxLayout, QLineEdit, QPushButton, QWidget

from ripenroom.window.plain import set_hint
from ripenroom.window.session import Session


class WhenEdit(QWidget):
    """Date and time with a "Now" button.

    Until the user types, the moment follows the clock, so that a form which was left open does not
    enter an hour-old time.
    """

    edited = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._follows = True
        self._exact: datetime | None = None
        self.edit = QDateTimeEdit(self)
        self.edit.setCalendarPopup(True)
        self.edit.setTimeZone(session.words.to_field(session.season.now()).timeZone())
        clock = session.words.locale.timeFormat(QLocale.FormatType.ShortFormat)
        day = self.tr("ddd d MMM", "pattern of a day")
        self.edit.setDisplayFormat(f"{day}  {clock}")
        self.edit.setLocale(session.words.locale)
        self.edit.setKeyboardTracking(True)
        self.now_button = QPushButton(self.tr("Now"), self)
        self.now_button.setAutoDefault(False)
        self.now_button.setAccessibleName(self.tr("Set to now"))
        set_hint(self.now_button, self.tr("Set to now; it then follows the clock"))
        self.now_button.clicked.connect(self.follow_now)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(self.edit, 1)
        layout.addWidget(self.now_button)
        self.setFocusProxy(self.edit)
        self.follow_now()
        self.edit.dateTimeChanged.connect(self._on_changed)
        session.changed.connect(self._tick)

    @property
    def follows_now(self) -> bool:
        """Whether the moment is "now", whenever it is asked for."""
        return self._follows

    def moment(self) -> datetime:
        """The moment that is meant, aware."""
        if self._follows:
            # A pick is timed to the second at most.
            return self._session.season.now().replace(microsecond=0)
        if self._exact is not None:
            return self._exact
        return self._session.words.from_field(self.edit.dateTime())

    def set_moment(self, moment: datetime) -> None:
        """Show a moment, and no longer follow the clock.

        Its seconds are not shown, but kept until another time is typed.
        """
        self._follows = False
        self._exact = moment
        self._show(moment)

    def restore(self, iso: str) -> None:
        """Put back a moment that was kept as text; anything else means now."""
        try:
            self.set_moment(datetime.fromisoformat(iso))
        except ValueError:
            self.follow_now()

    def follow_now(self) -> None:
        """Go back to now."""
        self._follows = True
        self._exact = None
        self._show(self._session.season.now())
        self.edited.emit()

    def setAccessibleName(self, name: str) -> None:
        """Name what a screen reader says when the date is entered."""
        super().setAccessibleName(name)
        self.edit.setAccessibleName(name)
        inner = self.edit.findChild(QLineEdit)
        if inner is not None:
            inner.setAccessibleName(name)

    def _show(self, moment: datetime) -> None:
        self.edit.blockSignals(True)
        self.edit.setDateTime(self._session.words.to_field(moment))
        self.edit.blockSignals(False)

    def _tick(self) -> None:
        if self._follows and not self.edit.hasFocus():
            self._show(self._session.season.now())

    def _on_changed(self) -> None:
        self._follows = False
        self._exact = None
        self.edited.emit()
