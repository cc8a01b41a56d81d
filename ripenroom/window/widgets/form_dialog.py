"""A dialog that is filled in, carries out one command, and closes only when that worked."""

from collections.abc import Iterator

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from ripenroom.texts import tr
from ripenroom.window.dialogs import EnterDialog, room_for
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field, RefusalNote
from ripenroom.window.widgets.refusal_board import RefusalBoard


class FormDialog(EnterDialog):
    """Subclasses name the dialog and its action button, add fields, and carry the action out.

    What was typed stays when the season refuses it: the dialog shows the refusal beside the field
    and remains open.
    """

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self._note = RefusalNote(self)
        self.board = RefusalBoard({}, self._note, self.accept)
        inner = QWidget(self)
        self.body = QVBoxLayout(inner)
        self.body.setSpacing(10)
        # A small screen scrolls the fields; the buttons stay in reach.
        scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(inner)
        self._scroll = scroll
        self.action_button = QPushButton(self)
        self.action_button.setDefault(True)
        self.action_button.clicked.connect(self.accept)
        self.cancel_button = QPushButton(tr("Cancel"), self)
        self.cancel_button.setAutoDefault(False)
        self.cancel_button.clicked.connect(self.reject)
        self.buttons = QHBoxLayout()
        self.buttons.addStretch(1)
        self.buttons.addWidget(self.cancel_button)
        self.buttons.addWidget(self.action_button)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(18, 14, 18, 14)
        outer.setSpacing(10)
        outer.addWidget(scroll, 1)
        outer.addWidget(self._note)
        outer.addLayout(self.buttons)

    def add(self, name: str, field: Field) -> Field:
        """Put a field into the form; refusals of ``name`` will be shown beside it."""
        self.board.fields[name] = field
        self.body.addWidget(field)
        return field

    def fit(self) -> None:
        """Take the size that shows every field, as far as the screen allows."""
        self.body.addStretch(1)
        self._scroll.ensurePolished()
        inner = self._scroll.widget()
        assert inner is not None
        wanted = inner.sizeHint()
        room = room_for(self)
        margins = 40
        # What does not fit in height gets a scroll bar, which must not lie over the fields.
        bar = self._scroll.verticalScrollBar().sizeHint().width()
        self.resize(
            min(max(wanted.width() + margins + bar, 420), room.width()),
            min(wanted.height() + self.buttons.sizeHint().height() + 2 * margins, room.height()),
        )

    def grow(self) -> None:
        """Become as high as lines that were added ask for, as far as the screen allows."""
        inner = self._scroll.widget()
        assert inner is not None
        lines = inner.layout()
        if lines is not None:
            lines.activate()
        missing = inner.sizeHint().height() - self._scroll.viewport().height()
        if missing > 0:
            self.resize(self.width(), min(self.height() + missing, room_for(self).height()))

    def showEvent(self, event: QShowEvent) -> None:
        """Come with the keyboard in the first field, where no other was chosen."""
        if self.focusWidget() is None:
            first = next(self._fields_for_tab(), None)
            if first is not None:
                first.setFocus(Qt.FocusReason.OtherFocusReason)
        super().showEvent(event)

    def _fields_for_tab(self) -> Iterator[QWidget]:
        inner = self._scroll.widget()
        assert inner is not None
        for widget in inner.findChildren(QWidget):
            tab = widget.focusPolicy() & Qt.FocusPolicy.TabFocus
            if tab and widget.isEnabled() and widget.isVisibleTo(inner):
                yield widget

    def fields_room_px(self, dialog_px: int) -> int:
        """How wide fields may be in a dialog of that width without being cut off."""
        outer = self.layout()
        assert outer is not None
        frames = (outer.contentsMargins(), self.body.contentsMargins())
        bar = self._scroll.verticalScrollBar().sizeHint().width()
        return dialog_px - bar - sum(frame.left() + frame.right() for frame in frames)

    def done_text(self) -> str:
        """What to say once it worked; nothing by default, as the change itself is seen."""
        return ""

    def carry_out(self) -> None:
        """Do what the action button says; raises ``Refusal`` for what cannot be done."""
        raise NotImplementedError

    def accept(self) -> None:
        """Carry out; close only if it was not refused."""
        self.board.clear()
        if self.session.run(self.done_text(), self.carry_out, self.board.show):
            super().accept()
