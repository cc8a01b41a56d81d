"""The list of picks that are expected: add, change, delete."""

from PySide6.QtWidgets import QDialog, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.window.dialogs import ask, room_for
from ripenroom.window.forms.record_list import RecordList
from ripenroom.window.forms.refusal_note import RefusalNote, refusal_text
from ripenroom.window.picks.expected_words import expected_line, expected_picks
from ripenroom.window.record_forms.expected_form import ExpectedPickDialog
from ripenroom.window.session import Session


class ExpectedPicksDialog(QDialog):
    """Every change is carried out at once and can be undone."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.setWindowTitle(self.tr("Expected picks"))
        self.picks = RecordList(
            self.tr("Expected picks"),
            self.tr(
                "No pick is expected. Add what the trees will bring, and the plan keeps room and "
                "market days for it."
            ),
            self,
        )
        self.picks.list.setWordWrap(True)
        self.picks.addAsked.connect(lambda: ask(ExpectedPickDialog(session, None, self)))
        self.picks.editAsked.connect(lambda pick: ask(ExpectedPickDialog(session, pick, self)))
        self.picks.deleteAsked.connect(self._delete)
        self.note = RefusalNote(self)
        close = QPushButton(self.tr("Close"), self)
        close.setAutoDefault(False)
        close.clicked.connect(self.accept)
        foot = QHBoxLayout()
        foot.addWidget(self.note, 1)
        foot.addStretch(1)
        foot.addWidget(close)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.setSpacing(12)
        layout.addWidget(self.picks, 1)
        layout.addLayout(foot)
        session.changed.connect(self.refresh)
        self.refresh()
        room = room_for(self)
        letter = self.fontMetrics().horizontalAdvance("n")
        self.resize(min(70 * letter, room.width()), min(44 * letter, room.height()))
        # With nothing to choose from, what comes next is to add.
        (self.picks.list if self.picks.list.count() else self.picks.add_button).setFocus()

    def refresh(self) -> None:
        """Show the expected picks as they are now."""
        self.note.clear()
        picks = expected_picks(self.session)
        self.picks.show_records([(pick.id, expected_line(pick, self.session)) for pick in picks])
        self.picks.setEnabled(self.session.season.read_only_because is None)

    def _delete(self, pick_id: str) -> None:
        plans = self.session.season.plans
        self.session.run(
            self.tr("Deleted. Ctrl+Z brings it back."),
            lambda: plans.delete_expected_pick(pick_id),
            self._show_refusal,
        )

    def _show_refusal(self, refusal: Refusal) -> bool:
        self.note.tell(refusal_text(refusal))
        return True
