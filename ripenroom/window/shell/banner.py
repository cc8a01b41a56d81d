"""A line across the window about the season as a whole: read-only, or practice."""

from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from ripenroom.window.forms.wrapped_label import WrappedLabel
from ripenroom.window.session import Session


class Banner(QWidget):
    """Shows what holds for as long as this season is open; hidden if there is nothing to say."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._read_only = self._line("readOnlyBanner")
        self._practice = self._line("practiceBanner")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self._read_only)
        layout.addWidget(self._practice)

    def _line(self, name: str) -> QLabel:
        label = WrappedLabel(parent=self)
        label.setObjectName(name)
        label.setContentsMargins(16, 6, 16, 6)
        return label

    def show_season(self, session: Session | None) -> None:
        """Say what is special about the season of ``session``."""
        reason = session.season.read_only_because if session else None
        self._read_only.setText(
            self.tr("! Read only: {reason}").format(reason=reason) if reason else ""
        )
        self._read_only.setVisible(bool(reason))
        practice = session is not None and session.season.practice
        if session is not None and practice:
            now, words = session.season.now(), session.words
            self._practice.setText(
                self.tr("Practice season: the clock stands at {day}, {time}.").format(
                    day=words.full_day(words.local(now).date()), time=words.time(now)
                )
            )
        self._practice.setVisible(practice)
