"""A labelled input with room beside it for why it was refused, and a line of several numbers."""

from collections.abc import Callable, Sequence
from typing import Protocol, runtime_checkable

from PySide6.QtCore import QEvent, QObject, Qt, Signal, SignalInstance
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.batch import Batch
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.widgets.inputs import TypedLine
from ripenroom.window.widgets.layouts import WrappedLabel

Choice = tuple[str, Callable[[], None]]
"""What a button says and what it does."""


class RefusalNote(QWidget):
    """Nothing until :meth:`tell`; then a marked line of text, and a button for each choice."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._label = WrappedLabel(parent=self)
        self._label.setObjectName("refusal")
        self._buttons = QHBoxLayout()
        self._buttons.setContentsMargins(0, 0, 0, 0)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 2, 0, 2)
        layout.setSpacing(8)
        layout.addWidget(self._label, 1)
        layout.addLayout(self._buttons)
        self.hide()

    @property
    def text(self) -> str:
        """What is told at the moment."""
        return self._label.text()

    def tell(self, text: str, choices: Sequence[Choice] = ()) -> None:
        """Show ``text`` and a button for each choice; the first of them takes the keyboard."""
        self.clear()
        # The mark says "warning" where colour cannot.
        self._label.setText("! " + text)
        for says, does in choices:
            button = QPushButton(says, self)
            button.setAutoDefault(False)
            button.clicked.connect(lambda _checked=False, act=does: act())
            self._buttons.addWidget(button)
        self.show()
        first = self._buttons.itemAt(0)
        if first is not None and (button_widget := first.widget()) is not None:
            button_widget.setFocus(Qt.FocusReason.OtherFocusReason)

    def clear(self) -> None:
        """Take the text and its buttons away."""
        self._label.clear()
        while (item := self._buttons.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                # A choice may be what is being clicked just now: let that end first.
                widget.deleteLater()
        self.hide()


@runtime_checkable
class MayMisread(Protocol):
    """An editor that reads what is typed into it, and says why it cannot (empty: it can)."""

    misread: SignalInstance


class Field(QWidget):
    """A label above one or several editors in a line, and below them the refusal, if any.

    The label's letter goes to the first editor, or to the first line of an editor that has several.
    What an editor cannot read is said below it as long as it stands there; why it was refused,
    until it holds something else. ``captions`` stand above the other editors. Editors without an
    accessible name of their own take their caption or the label.
    """

    def __init__(
        self,
        label: str,
        *editors: QWidget,
        captions: Sequence[str] = (),
        hint: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.editors = editors
        self.captions: list[PlainLabel] = []
        self.label = PlainLabel(label, self)
        self.label.setBuddy(_first_line(editors[0]))
        self._misread = ""
        self.parts: dict[str, QWidget] = {}
        """Editors that a refusal may name by themselves."""
        self.note = RefusalNote(self)
        grid = QGridLayout()
        grid.setHorizontalSpacing(6)
        grid.setVerticalSpacing(3)
        if captions:
            grid.addWidget(self.label, 0, 0)
        grid.setColumnStretch(0, 1)
        plain = label.replace("&", "")
        for column, editor in enumerate(editors):
            caption = captions[column - 1] if 0 < column <= len(captions) else ""
            if caption:
                above = PlainLabel(caption, self)
                self.captions.append(above)
                grid.addWidget(above, 0, column)
            grid.addWidget(editor, 1, column)
            if not editor.accessibleName():
                editor.setAccessibleName(f"{plain}: {caption}" if caption else plain)
            if hint and not editor.toolTip():
                _explain(editor, hint)
            if column and isinstance(editor, QComboBox):
                # Where Linux reads out a choice for its name, only a label of its own says of what.
                said = (editor.accessibleName(), editor.accessibleDescription())
                editor.setAccessibleDescription(". ".join(filter(None, said)))
            if isinstance(editor, MayMisread):
                editor.misread.connect(self._on_misread)
            for name in _EDITED:
                edited = getattr(editor, name, None)
                if edited is not None:
                    edited.connect(self._forget_refusal)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(3)
        if not captions:
            layout.addWidget(self.label)  # a long one makes the first of several no wider
        layout.addLayout(grid)
        layout.addWidget(self.note)
        layout.addStretch(1)

    def rename(self, label: str, captions: Sequence[str], hint: str) -> None:
        """Call the field and every captioned editor something else."""
        self.label.setText(label)
        plain = label.replace("&", "")
        self.editors[0].setAccessibleName(plain)
        for above, editor, caption in zip(self.captions, self.editors[1:], captions, strict=True):
            above.setText(caption)
            editor.setAccessibleName(f"{plain}: {caption}")
        for editor in self.editors:
            _explain(editor, hint)

    def refuse(self, text: str, choices: Sequence[Choice] = (), part: str = "") -> None:
        """Say beside the field why it was refused, or the one ``part`` of it that is named; without
        choices that takes the keyboard."""
        alone = self.parts.get(part)
        if alone is None:
            self._mark(True)
        else:
            mark_refused(_first_line(alone), True)
        self.note.tell(text, choices)
        if not choices:
            (alone or self.editors[0]).setFocus(Qt.FocusReason.OtherFocusReason)

    def clear_refusal(self) -> None:
        """Forget an earlier refusal; what still cannot be read is said on."""
        if self._misread:
            self._on_misread(self._misread)
        elif not self.note.isHidden():
            self._mark(False)
            self.note.clear()

    def _forget_refusal(self, *_typed: object) -> None:
        """A refusal is of what was typed before: it does not stand beside something else."""
        if not self._misread:
            self.clear_refusal()

    def _on_misread(self, why: str) -> None:
        had, self._misread = self._misread, why
        if why:
            self._mark(True)
            self.note.tell(why)
        elif had:
            self.clear_refusal()

    def _mark(self, refused: bool) -> None:
        for editor in self.editors:
            mark_refused(_first_line(editor), refused)


_EDITED = ("textEdited", "dayChanged", "timeChanged", "edited", "activated")
"""Signals by which editors say that they hold something else; each has one of them or none."""


def _first_line(editor: QWidget) -> QWidget:
    """Where the keyboard goes that is sent to an editor: it may be made of several lines."""
    inner = editor.focusProxy()
    return editor if inner is None else _first_line(inner)


def mark_refused(editor: QWidget, refused: bool) -> None:
    """Frame an editor as refused, or no longer."""
    editor.setProperty("refused", refused)
    # A style sheet reads a property only when a widget is polished anew.
    editor.style().unpolish(editor)
    editor.style().polish(editor)


def _explain(editor: QWidget, hint: str) -> None:
    set_hint(editor, hint)
    editor.setAccessibleDescription(hint)


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
