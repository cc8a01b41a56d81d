"""Changing the details of the open season."""

from PySide6.QtWidgets import QWidget

from ripenroom.window.forms.form_dialog import FormDialog
from ripenroom.window.season_form.details import SeasonDetails
from ripenroom.window.session import Session


class EditSeasonDialog(FormDialog):
    """The details of a season, filled with those of the open one."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setWindowTitle(self.tr("Season details"))
        self.action_button.setText(self.tr("Save"))
        self.details = SeasonDetails(session.words.locale)
        self.details.fill(session.season.book.season)
        for name, field in self.details.fields.items():
            self.add(name, field)
        self.action_button.setEnabled(session.season.read_only_because is None)
        self.fit()

    def carry_out(self) -> None:
        """Save the details."""
        season = self.session.season
        kept = season.book.season
        season.save_season(self.details.season(kept.id, kept.practice_now))
