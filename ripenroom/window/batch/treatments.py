"""The ethylene treatments of a batch, with a button to delete each."""

from functools import partial

from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QWidget

from ripenroom.season import actions
from ripenroom.window.batch.deed_list import DeedList
from ripenroom.window.session import Session


class TreatmentTable(DeedList):
    """One line per treatment: since when, and how long; hidden where there is none."""

    def __init__(self, session: Session, batch_id: str, parent: QWidget | None = None) -> None:
        heading = QCoreApplication.translate("TreatmentTable", "Ethylene")
        super().__init__(session, batch_id, heading, parent)

    def refresh(self) -> None:
        """Show the treatments as they are now."""
        self.clear()
        season, words = self.session.season, self.session.words
        found = [t for t in season.book.treatments.values() if t.batch_id == self.batch_id]
        self.setVisible(bool(found))
        for line, treatment in enumerate(sorted(found, key=lambda t: t.at)):
            when = self.when(treatment.at)
            hours = self.tr("{hours} h").format(hours=words.number(treatment.hours))
            self.add_line(line, when, hours)
            self.add_delete(
                line,
                self.tr("Delete ethylene of {moment}").format(moment=when),
                self.tr("Treatment deleted. Ctrl+Z brings it back."),
                partial(season.do, actions.treatments.delete, treatment.id),
            )
