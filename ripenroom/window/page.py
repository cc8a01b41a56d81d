"""What every page of the window has in common."""

import sys

from PySide6.QtCore import Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QWidget

from ripenroom.season.projection import Projection
from ripenroom.window.session import Session


class SeasonView(QWidget):
    """A view of the season that the shell hands to a page, to stand beside the page's own parts."""

    def refresh(self) -> None:
        """Show the season as it is now."""
        raise NotImplementedError

    def setProjection(self, projection: Projection | None) -> None:
        """Show what a tried set point would do; None ends that."""
        raise NotImplementedError


class Page(QWidget):
    """A page that shows the season; it is refreshed after every change, but only while visible.

    ``openBatch`` asks for the panel of a batch (its id). ``goTo`` asks for another page by its
    name (``"today"``, ``"picks"``, ``"queue"``, ``"plan"``, ``"market_days"``, ``"places"``,
    ``"crops"``) and what to select there: the id of a record, or None.
    """

    openBatch = Signal(str)  # noqa: N815 - named as Qt names signals
    goTo = Signal(str, object)  # noqa: N815

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self._stale = True
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

    def keep_draft(self) -> None:
        """Put away what is typed but not entered; called before the window closes."""

    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with changes that happened while another page was in front."""
        if self._stale:
            self._stale = False
            self._refresh_safely()
        super().showEvent(event)

    def _on_changed(self) -> None:
        if self.isVisible():
            self._refresh_safely()
        else:
            self._stale = True

    def _refresh_safely(self) -> None:
        """:meth:`refresh`, but a fault of ours in it never takes the window down.

        An exception that leaves an overridden Qt method can end the process, and with it what is
        typed and not yet entered. It is told in the window and written out whole for a report.
        """
        try:
            self.refresh()
        except Exception:
            sys.excepthook(*sys.exc_info())
            self.session.say(
                self.tr(
                    "This page could not be shown as it is now. Nothing is lost: all that was "
                    "entered is in the season file."
                )
            )
