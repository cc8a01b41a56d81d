"""Changing the details of the open season."""

from dataclasses import replace

from PySide6.QtWidgets import QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.window.forms.field import Field
from ripenroom.window.forms.form_dialog import FormDialog
from ripenroom.window.forms.typed_amounts import whole_number
from ripenroom.window.forms.typed_line import TypedLine
from ripenroom.window.season_form.details import SeasonDetailsFields
from ripenroom.window.session import Session


class EditSeasonDialog(FormDialog):
    """The details of a season, filled with those of the open one, and how much its hands can do."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setWindowTitle(self.tr("Season details"))
        self.action_button.setText(self.tr("Save"))
        self.details = SeasonDetailsFields(session.words.locale)
        self.details.fill(session.season.book.season)
        for name, field in self.details.fields.items():
            self.add(name, field)
        self.hands = TypedLine(8, self.tr("no limit"))
        crates = session.season.book.season.crates_moved_per_evening
        if crates is not None:
            self.hands.setText(session.words.number(crates))
        self.add(
            "crates_moved_per_evening",
            Field(
                self.tr("Crates &moved in one evening at most"),
                self.hands,
                hint=self.tr("What your hands can do; the plan moves no more. Empty: no limit"),
            ),
        )
        self.action_button.setEnabled(session.season.read_only_because is None)
        self.fit()

    def carry_out(self) -> None:
        """Save the details."""
        season = self.session.season
        kept = season.book.season
        details = self.details.season(kept.id, kept.practice_now)
        season.do(actions.details.save, replace(details, crates_moved_per_evening=self._crates()))

    def _crates(self) -> int | None:
        typed = self.hands.text().strip()
        crates = whole_number(typed, self.session.words)
        if typed and crates is None:
            raise Refusal(
                "crates_moved_per_evening",
                "Crates: type a whole number, or nothing for no limit, not “{typed}”.",
                typed=typed,
            )
        return crates
