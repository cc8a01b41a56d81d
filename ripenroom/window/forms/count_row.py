"""Numbers of one batch in a line of a form: its columns, key A, and refusals below it."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from ripenroom.records.batch import Batch
from ripenroom.window.widgets.field import Choice, Field, mark_refused
from ripenroom.window.widgets.inputs import TypedLine


class CountRow(Field):
    """A line whose numbers are refused one by one; ``at_fault`` is the one to go to.

    Each kind of row says in :meth:`fill_rest` what key A does. Its ``lines`` are watched for it.
    """

    edited = Signal()
    batch: Batch
    at_fault: QWidget

    @property
    def lines(self) -> tuple[TypedLine, ...]:
        """The lines to type in, from the left."""
        raise NotImplementedError

    def fill_rest(self) -> None:
        """Fill in what follows from the other numbers."""
        raise NotImplementedError

    def show_headings(self, shown: bool) -> None:
        """Show what stands above the columns, or nothing."""
        for heading in (self.label, *self.captions):
            heading.setVisible(shown)

    def point_at(self, field: str) -> None:
        """The next refusal is of this field: there the keyboard goes."""
        self.at_fault = self.editor_of(field.removesuffix(f" {self.batch.id}"))

    def editor_of(self, what: str) -> QWidget:
        """The line of that name; the first where there is none."""
        editor: QWidget = getattr(self, what, self.lines[0])
        return editor

    def refuse(self, text: str, choices: Sequence[Choice] = (), part: str = "") -> None:
        """Say below the numbers why one of them was refused, and go to it."""
        super().refuse(text, choices, part)
        self.at_fault.setFocus(Qt.FocusReason.OtherFocusReason)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Key A in one of the numbers fills in the rest: no number has that letter."""
        if (
            event.type() == QEvent.Type.KeyPress
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_A
            and not event.modifiers()
        ):
            self.fill_rest()
            return True
        return super().eventFilter(watched, event)

    def _align(self) -> None:
        """Give each column one width in all rows, though only the first shows its headings."""
        for editor, caption in zip(self.editors[1:], self.captions, strict=False):
            caption.setAlignment(Qt.AlignmentFlag.AlignHCenter)
            editor.setFixedWidth(max(editor.minimumWidth(), caption.sizeHint().width() + 4))
            if isinstance(editor, TypedLine):
                editor.setAlignment(Qt.AlignmentFlag.AlignRight)

    def _mark(self, refused: bool) -> None:
        """Only the number at fault is marked, not its neighbours."""
        for editor in (self.at_fault,) if refused else self.editors:
            mark_refused(editor, refused)
