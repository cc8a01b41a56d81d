"""What every page of the window has in common."""

import sys
from collections.abc import Callable, Collection

from PySide6.QtCore import QEvent, Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QWidget

from ripenroom.season.projection import Projection
from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.session import Session

_LOW_LINES = 30
"""With room for fewer lines of text than this, a page leaves out what is said elsewhere too."""


class SeasonView(QWidget):
    """A view of the season that the shell hands to a page, to stand beside the page's own parts."""

    def refresh(self) -> None:
        """Show the season as it is now."""
        raise NotImplementedError

    def setProjection(self, projection: Projection | None) -> None:
        """Show what a tried set point would do; None ends that."""
        raise NotImplementedError

    def in_sight(self) -> Collection[str]:
        """The batches that can be seen, by id."""
        raise NotImplementedError


class Page(QWidget):
    """A page that shows the season; it is refreshed after every change that touches what it shows,
    but only while visible, and else when it is shown.

    ``openBatch`` asks for the panel of a batch (its id). ``goTo`` asks for another page by its
    name (``"today"``, ``"rows"``, ``"picks"``, ``"queue"``, ``"plan"``, ``"market_days"``,
    ``"review"``, ``"places"``, ``"crops"``) and what to select there: the id of a record, or None.
    """

    openBatch = Signal(str)  # noqa: N815 - named as Qt names signals
    goTo = Signal(str, object)  # noqa: N815

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self._stale = True
        self._missed = Changed()
        self._is_low: bool | None = None
        session.changed.connect(self._on_changed)

    @property
    def title(self) -> str:
        """The page's name as the user reads it."""
        raise NotImplementedError

    def refresh(self) -> None:
        """Show the season as it is now."""
        raise NotImplementedError

    def show_record(self, record_id: str) -> None:
        """Select a record that another page pointed to. Pages without records ignore it."""

    def begins_at(self) -> QWidget | None:
        """What takes the keyboard when the page is gone to; None leaves it where it is."""
        return None

    def show_low(self, low: bool) -> None:
        """Do with less height: the page has few lines, as the window is low or letters are large.

        What is left out then is said elsewhere too. Pages that have nothing of the kind ignore it.
        """

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Tell the page when its height becomes scarce, or no longer is."""
        super().resizeEvent(event)
        if self.isVisible():
            self._measure_height()

    def changeEvent(self, event: QEvent) -> None:
        """Larger letters leave room for fewer lines."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange and self.isVisible():
            self._measure_height()

    def _measure_height(self) -> None:
        low = self.height() < _LOW_LINES * self.fontMetrics().lineSpacing()
        if low is not self._is_low:
            self._is_low = low
            self.show_low(low)

    def keep_draft(self) -> None:
        """Put away what is typed but not entered; called before the window closes."""

    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with changes that happened while another page was in front."""
        stale, self._stale = self._stale, False
        missed, self._missed = self._missed, Changed()
        if stale:
            self._safely(self.refresh)
        elif missed != Changed():
            self._safely(lambda: self.follow(missed))
        self._measure_height()
        super().showEvent(event)

    def touched_by(self, changed: Changed) -> bool:
        """Whether this page may look different after a change."""
        return True

    def follow(self, changed: Changed) -> None:
        """Show again what a change touched."""
        if self.touched_by(changed):
            self.refresh()

    def show_again(self) -> None:
        """Refresh the page: at once if it is visible, else when it is."""
        if self.isVisible():
            self._safely(self.refresh)
        else:
            self._stale = True

    def _on_changed(self, changed: Changed) -> None:
        if self.isVisible():
            self._safely(lambda: self.follow(changed))
        else:
            self._missed |= changed

    def _safely(self, show: Callable[[], None]) -> None:
        """Show the season, but a fault of ours in that never takes the window down.

        An exception that leaves an overridden Qt method can end the process, and with it what is
        typed and not yet entered. It is told in the window and written out whole for a report.
        """
        try:
            show()
        except Exception:
            sys.excepthook(*sys.exc_info())
            self.session.say(
                tr(
                    "This page cannot be shown at the moment. Nothing is lost: all you entered is "
                    "saved."
                )
            )
