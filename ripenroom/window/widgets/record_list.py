"""A short list of records with buttons to add, edit and delete."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr
from ripenroom.window.dialogs import EnterDialog
from ripenroom.window.plain import PlainLabel
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import RefusalNote


class RecordList(QWidget):
    """A list with a heading, one text for each record, and buttons to add, edit and delete.

    It changes nothing itself: ``addAsked``, ``editAsked`` and ``deleteAsked`` say what is to be
    done, the last two with the id of the record that is chosen.
    """

    addAsked = Signal()  # noqa: N815 - named as Qt names signals
    editAsked = Signal(str)  # noqa: N815
    deleteAsked = Signal(str)  # noqa: N815

    def __init__(self, heading: str, empty: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        label = PlainLabel(heading, self)
        label.setObjectName("sectionTitle")
        self.list = QListWidget(self)
        self.list.setAccessibleName(heading)
        self.list.setWordWrap(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        label.setBuddy(self.list)
        self._empty = PlainLabel(empty, self)
        self._empty.setWordWrap(True)
        self._empty.setObjectName("faint")
        self._empty.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.add_button = QPushButton(tr("Add…"), self)
        self.edit_button = QPushButton(tr("Edit…"), self)
        self.delete_button = QPushButton(tr("Delete"), self)
        bar = self._bar = QHBoxLayout()
        bar.addStretch(1)
        self._heading = heading
        for button in (self.add_button, self.edit_button, self.delete_button):
            self._add(button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(label)
        layout.addWidget(self.list, 1)
        layout.addWidget(self._empty, 1)
        layout.addLayout(bar)
        self.add_button.clicked.connect(self.addAsked)
        self.edit_button.clicked.connect(self._edit)
        self.delete_button.clicked.connect(self._delete)
        self.list.itemActivated.connect(self._edit)
        self.list.currentRowChanged.connect(self._show_buttons)
        self._show_buttons()

    def show_records(self, records: Sequence[tuple[str, str]]) -> None:
        """Show ``(id, text)`` pairs; the present choice stays if it is among them."""
        kept = self.current()
        self.list.clear()
        for record_id, text in records:
            item = QListWidgetItem(text)
            item.setData(Qt.ItemDataRole.UserRole, record_id)
            self.list.addItem(item)
            if record_id == kept:
                self.list.setCurrentItem(item)
        if self.current() is None and records:
            # Some line is chosen, and seen to be: the buttons below act on it.
            self.list.setCurrentRow(0)
        self.list.setVisible(bool(records))
        self._empty.setVisible(not records)
        self._show_buttons()

    def add_a_button(self, text: str) -> QPushButton:
        """One more button after the others."""
        button = QPushButton(text, self)
        self._add(button)
        return button

    def _add(self, button: QPushButton) -> None:
        button.setAutoDefault(False)
        named = button.text().replace("&", "").rstrip("…")
        button.setAccessibleName(f"{self._heading}: {named}")
        self._bar.insertWidget(self._bar.count() - 1, button)

    def begin(self) -> None:
        """Take the keyboard: the list, or while it is empty the button that adds to it."""
        (self.list if self.list.count() else self.add_button).setFocus()

    def current(self) -> str | None:
        """The id of the present choice."""
        item = self.list.currentItem()
        return None if item is None else str(item.data(Qt.ItemDataRole.UserRole))

    def _edit(self) -> None:
        current = self.current()
        if current is not None:
            self.editAsked.emit(current)

    def _delete(self) -> None:
        current = self.current()
        if current is not None:
            self.deleteAsked.emit(current)

    def _show_buttons(self) -> None:
        chosen = self.current() is not None
        self.edit_button.setEnabled(chosen)
        self.delete_button.setEnabled(chosen)


class RecordsDialog(EnterDialog):
    """What a subclass puts into ``body``; at the foot what was refused, and Close."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.note = RefusalNote(self)
        self.close_button = QPushButton(tr("Close"), self)
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
        self.run(tr("Deleted. Ctrl+Z brings it back."), command)

    def _show_refusal(self, refusal: Refusal) -> bool:
        self.note.tell(refusal.message)
        return True
