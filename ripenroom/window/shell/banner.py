"""Lines across the window about the season as a whole: read-only, practice, or its file gone."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from ripenroom.window.forms.wrapped_label import WrappedLabel
from ripenroom.window.plain import set_hint
from ripenroom.window.session import Session


class Banner(QWidget):
    """Shows what holds for as long as this season is open; hidden if there is nothing to say."""

    againAsked = Signal()  # noqa: N815 - named as Qt names signals
    copyAsked = Signal()  # noqa: N815

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.gone = _Line("goneBanner", self.tr("Save a copy as…"), self)
        set_hint(self.gone.button, self.tr("A new season file with all that is shown here"))
        self.read_only = _Line("readOnlyBanner", self.tr("Try again"), self)
        set_hint(
            self.read_only.button,
            self.tr("Open the season for changes, once nothing is in the way any more"),
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
            self.tr(
                "! The season’s file is no longer {file}: it was moved, renamed, deleted or "
                "replaced. Nothing can be written to it. All that is shown here can be saved as "
                "a new file; or open the file where it is now."
            ).format(file=season.path)
            if gone and season is not None
            else ""
        )
        # With its file gone it does not matter who else had it.
        reason = season.read_only_because if season is not None and not gone else None
        self.read_only.say(self.tr("! Read only: {reason}").format(reason=reason) if reason else "")
        practice = ""
        if session is not None and session.season.practice:
            now, words = session.season.now(), session.words
            practice = self.tr("Practice season: the clock stands at {day}, {time}.").format(
                day=words.full_day(words.local(now).date()), time=words.time(now)
            )
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
