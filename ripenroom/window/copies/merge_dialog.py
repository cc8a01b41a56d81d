"""Brings in what was changed in another copy of the season, conflict by conflict."""

from dataclasses import fields

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QPlainTextEdit,
    QPushButton,
    QRadioButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.book import Book, Record, differences
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.copies import Conflict, Merge, Side
from ripenroom.texts import tr
from ripenroom.window.dialogs import EnterDialog, room_for
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import RefusalNote
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.copies import kind_words, record_words, told
from ripenroom.wording.record_fields import field_words, value_words


class MergeDialog(EnterDialog):
    """What comes over, and for each record that both sides changed: which side counts."""

    def __init__(
        self, session: Session, meeting: Merge, name: str, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.session = session
        self.meeting = meeting
        self._name = name
        self._choices: dict[str, QButtonGroup] = {}
        self.setWindowTitle(tr("Bring in changes from {name}").format(name=name))
        self.about = WrappedLabel(parent=self)
        self.text = QPlainTextEdit(self)
        self.text.setReadOnly(True)
        self.text.setAccessibleName(tr("What would change here"))
        self.text.setTabChangesFocus(True)
        self._note = RefusalNote(self)
        self.take_button = QPushButton(tr("&Bring them in"), self)
        self.take_button.setDefault(True)
        self.take_button.clicked.connect(self.take)
        cancel = QPushButton(tr("Cancel"), self)
        cancel.setAutoDefault(False)
        cancel.clicked.connect(self.reject)
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(cancel)
        foot.addWidget(self.take_button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.addWidget(self.about)
        if meeting.conflicts:
            layout.addWidget(self._conflicts(), 2)
        layout.addWidget(self.text, 1)
        layout.addWidget(self._note)
        layout.addLayout(foot)
        room, em = room_for(self), self.fontMetrics().horizontalAdvance("n")
        self.resize(min(em * 96, room.width()), min(em * 70, room.height()))
        self._show()

    def _conflicts(self) -> QWidget:
        inner = QWidget(self)
        column = QVBoxLayout(inner)
        for conflict in self.meeting.conflicts:
            column.addWidget(self._conflict(conflict, inner))
        column.addStretch(1)
        scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(inner)
        return scroll

    def _conflict(self, conflict: Conflict, parent: QWidget) -> QWidget:
        frame = QFrame(parent)
        frame.setFrameShape(QFrame.Shape.StyledPanel)
        record = conflict.record
        name = record_words(record, self._book_with(record), self.session.words)
        heading = PlainLabel(f"{kind_words(type(record))}: {name}", frame)
        heading.setObjectName("sectionTitle")
        group = QButtonGroup(frame)
        grid = QGridLayout(frame)
        grid.addWidget(heading, 0, 0, 1, 2)
        grid.setColumnStretch(1, 1)
        grid.setHorizontalSpacing(14)
        for row, (says, side) in enumerate(
            (
                (tr("keep this"), conflict.mine),
                (tr("take the copy’s"), conflict.theirs),
            ),
            start=1,
        ):
            button = QRadioButton(says, frame)
            about = WrappedLabel(self._side_words(side, conflict), frame)
            button.setAccessibleName(f"{heading.text()}, {says}: {about.text()}")
            group.addButton(button, row)
            grid.addWidget(button, row, 0)
            grid.addWidget(about, row, 1)
        first = group.button(1)
        first.setChecked(True)
        group.idToggled.connect(lambda *_: self._show())
        self._choices[conflict.key] = group
        return frame

    def _book_with(self, record: Record) -> Book:
        """The book that holds a record, for the names of what it refers to."""
        mine = self.meeting.mine
        return mine if mine.holds(record) else self.meeting.theirs

    def _side_words(self, side: Record | None, conflict: Conflict) -> str:
        if side is None:
            return tr("deleted")
        book = self._book_with(side)
        names = conflict.differs_in or tuple(
            field.name for field in fields(side) if field.name != "id" and getattr(side, field.name)
        )
        return ", ".join(
            f"{field_words(name)}: {value_words(side, name, book, self.session.words)}"
            for name in names
        )

    def choices(self) -> dict[str, Side]:
        """Which side counts, by the key of each conflict."""
        return {
            key: "mine" if group.checkedId() == 1 else "theirs"
            for key, group in self._choices.items()
        }

    def _show(self) -> None:
        season = self.session.season
        together = self.meeting.together(self.choices())
        found = differences(self.meeting.mine, together)
        asked = len(self.meeting.conflicts)
        if asked:
            text = tr("Changed here and in the copy: {count}. Choose which to keep.").format(
                count=asked
            )
        elif found:
            text = tr("Nothing was changed in both copies. This would come in:")
        else:
            text = tr("Everything in the copy is here already.")
        if self.meeting.base is None and (asked or found):
            text += " " + tr(
                "It is not known when the two copies were last the same, so nothing is deleted."
            )
        self.about.setText(text)
        self.text.setPlainText(told(found, self.meeting.mine, together, self.session.words).text)
        self.take_button.setEnabled(bool(found) and season.read_only_because is None)
        set_hint(self.take_button, season.read_only_because or "")

    def take(self) -> None:
        """Bring the changes in, as one action."""
        done = tr("The changes from {name} are in. Ctrl+Z takes them back.")
        if self.session.run(
            done.format(name=self._name),
            lambda: self.session.season.do(
                actions.season.take_in, self.meeting, self.choices(), self._name
            ),
            self._tell,
        ):
            self.accept()

    def _tell(self, refusal: Refusal) -> bool:
        self._note.tell(refusal.message)
        return True
