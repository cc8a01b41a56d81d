"""The moves of a batch, with a button to delete each but the first."""

from functools import partial

from PySide6.QtWidgets import QWidget

from ripenroom.season import actions
from ripenroom.window.batch.deed_list import DeedList
from ripenroom.window.session import Session


class MoveTable(DeedList):
    """One line per move: since when, and where."""

    def __init__(self, session: Session, batch_id: str, parent: QWidget | None = None) -> None:
        super().__init__(session, batch_id, parent=parent)

    def refresh(self) -> None:
        """Show the moves as they are now."""
        self.clear()
        season = self.session.season
        for line, move in enumerate(season.moves_of(self.batch_id)):
            place = season.book.places.get(move.place_id)
            when = self.when(move.at)
            self.add_line(line, when, place.name if place else "")
            # The first move says where the pick was put; without it the batch would be nowhere.
            if line > 0:
                self.add_delete(
                    line,
                    self.tr("Delete move of {moment}").format(moment=when),
                    self.tr("Move deleted. Ctrl+Z brings it back."),
                    partial(season.do, actions.moves.delete, move.id),
                )
