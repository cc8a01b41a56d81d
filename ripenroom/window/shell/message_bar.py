"""Lines about the season: at the foot what was done, or why not; across the top what stays true."""

from PySide6.QtCore import QEvent, QObject, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QKeySequence, QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import RefusalNote
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.formats import ended

_SAID_FOR_MS = 12_000
_AIR_PX = 4
_EDGE_PX = 1
"""The line over it, which its style draws."""


class MessageBar(QFrame):
    """Says what was done for a while; keeps a refusal until it is closed or something is done.

    In between it says where everything is saved. Its ``place`` in the window is one line high and
    always there. What is said for a while and needs more stands over the page, so that no page
    jumps; a refusal takes its room from the page, as far as that can do without, so that it hides
    nothing while it stays.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("voice")
        self.place = QWidget(parent)
        self.place.installEventFilter(self)
        self._said = PlainLabel(parent=self)
        self._said.setWordWrap(True)
        self._said.setAccessibleName(tr("What was done"))
        self._refused = RefusalNote(self)
        self._resting = _OneLine(parent=self)
        self.close_button = QPushButton(tr("Close message"), self)
        self.close_button.setFocusPolicy(Qt.FocusPolicy.TabFocus)  # a click leaves it where it is
        escape = QKeySequence(Qt.Key.Key_Escape).toString(QKeySequence.SequenceFormat.NativeText)
        set_hint(self.close_button, tr("Key: {keys}").format(keys=escape))
        self.close_button.clicked.connect(self.fall_silent)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(16, _AIR_PX, 16, _AIR_PX)
        layout.addWidget(self._resting, 1)
        layout.addWidget(self._said, 1)
        layout.addWidget(self._refused, 1)
        layout.addWidget(self.close_button)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.fall_silent)
        self._fit_line()
        self.fall_silent()

    @property
    def text(self) -> str:
        """What is said at the moment."""
        return self._refused.text or self._said.text() or self._resting.text()

    @property
    def rests(self) -> bool:
        """Whether there is nothing else to say than where everything is saved."""
        return not self._resting.isHidden()

    def rest_on(self, text: str) -> None:
        """What to say while there is nothing else to say."""
        self._resting.setText(text)
        set_hint(self._resting, text)

    def say(self, text: str) -> None:
        """Say what was done."""
        self.fall_silent()
        self._resting.hide()
        self._said.setText(text)
        self._said.show()
        self._timer.start(_SAID_FOR_MS)
        self._stand()

    def refuse(self, refusal: Refusal) -> None:
        """Say why something was not done."""
        self.warn(refusal.message)

    def warn(self, text: str) -> None:
        """Say what went wrong; it stays until it is closed."""
        self.fall_silent()
        self._resting.hide()
        self._refused.tell(text)
        self.close_button.show()
        self._stand()

    def fall_silent(self) -> None:
        """Take the message away."""
        self._timer.stop()
        self._refused.clear()
        self.close_button.hide()
        self._said.clear()
        self._said.hide()
        self._resting.show()
        self._stand()

    def changeEvent(self, event: QEvent) -> None:
        """Larger letters, a higher line."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._fit_line()
            self._stand()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the place that the window gives."""
        if event.type() in (QEvent.Type.Resize, QEvent.Type.Move):
            self._stand()
        return super().eventFilter(watched, event)

    def _fit_line(self) -> None:
        self._resting.ensurePolished()
        self._line_px = self._resting.fontMetrics().height() + 2 * _AIR_PX + _EDGE_PX
        self.place.setFixedHeight(self._line_px)

    def _stand(self) -> None:
        """At the foot of the place, as high as what is said."""
        room, layout = self.place.geometry(), self.layout()
        if layout is None or not room.width():
            return
        layout.activate()
        high = max(self._line_px, layout.totalHeightForWidth(room.width()))
        own = self._line_px
        if self._refused.text:
            own = min(high, self._line_px + self._page_can_spare())
        self.place.setFixedHeight(own)
        self.setGeometry(room.x(), room.y() + room.height() - high, room.width(), high)
        self.raise_()

    def _page_can_spare(self) -> int:
        """By how much what lies above can be lower than it is while this takes one line."""
        whole = self.place.parentWidget()
        layout = None if whole is None else whole.layout()
        if whole is None or layout is None:
            return 0
        least = layout.totalMinimumSize().height()
        if layout.hasHeightForWidth():
            least = max(least, layout.totalMinimumHeightForWidth(whole.width()))
        others = least - self.place.minimumHeight()
        return max(0, whole.height() - others - self._line_px)


class _OneLine(PlainLabel):
    """A text in one line: where there is too little room its middle is left out, which of a path of
    a file is the least of a loss."""

    def sizeHint(self) -> QSize:
        """No width: it makes do with any, however long the path."""
        return QSize(0, super().sizeHint().height())

    def minimumSizeHint(self) -> QSize:
        """The same."""
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """The text in one line."""
        area = self.contentsRect()
        shown = self.fontMetrics().elidedText(
            self.text(), Qt.TextElideMode.ElideMiddle, area.width()
        )
        painter = QPainter(self)
        self.style().drawItemText(
            painter,
            area,
            self.alignment(),
            self.palette(),
            self.isEnabled(),
            shown,
            self.foregroundRole(),
        )


class Banner(QWidget):
    """Shows what holds for as long as this season is open; hidden if there is nothing to say."""

    againAsked = Signal()  # noqa: N815 - named as Qt names signals
    copyAsked = Signal()  # noqa: N815

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.gone = _Line("goneBanner", tr("Save a copy as…"), self)
        set_hint(self.gone.button, tr("Save all that is shown here as a new season file"))
        self.read_only = _Line("readOnlyBanner", tr("Try again"), self)
        set_hint(
            self.read_only.button,
            tr("Try again to open the season for changes"),
        )
        self.practice = _Line("practiceBanner", "", self)
        self.gone.button.clicked.connect(self.copyAsked)
        self.read_only.button.clicked.connect(self.againAsked)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        for line in (self.gone, self.read_only, self.practice):
            layout.addWidget(line)

    def show_season(self, session: Session | None) -> None:
        """Say what is special about the season of ``session``."""
        season = session.season if session else None
        gone = season is not None and not season.file_is_here
        self.gone.say(
            tr(
                "! {file} was moved, renamed, deleted or replaced, so no change can be saved. "
                "Save all that is shown here as a new file, or open the file where it is now."
            ).format(file=season.path)
            if gone and season is not None
            else ""
        )
        # With its file gone it does not matter who else had it.
        reason = season.read_only_because if season is not None and not gone else None
        self.read_only.say(tr("! Read only: {reason}").format(reason=reason) if reason else "")
        practice = ""
        if session is not None and session.season.practice:
            now, words = session.season.now(), session.words
            practice = tr("Practice season: the clock stands at {day}, {time}.").format(
                day=words.full_day(words.local(now).date()), time=words.time(now)
            )
            practice = ended(practice.removesuffix("."))  # a time may end in one: "7:30 a.m."
        self.practice.say(practice)


class _Line(QFrame):
    """A text over the whole width, perhaps with a button; hidden without a text."""

    def __init__(self, name: str, button: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName(name)
        self._label = WrappedLabel(parent=self)
        self.button = QPushButton(button, self)
        self.button.setVisible(bool(button))
        layout = QHBoxLayout(self)
        layout.setContentsMargins(16, 6, 16, 6)
        layout.addWidget(self._label, 1)
        layout.addWidget(self.button)
        self.hide()

    def text(self) -> str:
        """What it says."""
        return self._label.text()

    def say(self, text: str) -> None:
        """Say this, or nothing if it is empty."""
        self._label.setText(text)
        self.setVisible(bool(text))
