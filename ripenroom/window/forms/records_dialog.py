"""A dialog about lists of records: each change is carried out at once, and can be undone."""

from collections.abc import Callable

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.window.dialogs import EnterDialog
from ripenroom.window.forms.refusal_note import RefusalNote, refusal_text
from ripenroom.window.session import Session


class RecordsDialog(EnterDialog):
    """What a subclass puts into ``body``; at the foot what was refused, and Close."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.note = RefusalNote(self)
        self.close_button = QPushButton(self.tr("Close"), self)
        self.close_button.setAutoDefault(False)
        self.close_button.clicked.connect(self.accept)
        foot = QHBoxLayout()
        foot.addWidget(self.note, 1)
        foot.addStretch(1)
        foot.addWidget(self.close_button)
        self.body = QVBoxLayout()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.setSpacing(12)
        layout.addLayout(self.body, 1)
        layout.addLayout(foot)

    def run(self, done: str, command: Callable[[], None]) -> None:
        """Carry out a command, and say what is ``done`` or, at the foot, why it is refused."""
        self.note.clear()
        self.session.run(done, command, self._show_refusal)

    def run_deletion(self, command: Callable[[], None]) -> None:
        """Carry out a command that deletes something."""
        self.run(self.tr("Deleted. Ctrl+Z brings it back."), command)

    def _show_refusal(self, refusal: Refusal) -> bool:
        self.note.tell(refusal_text(refusal))
        return True
