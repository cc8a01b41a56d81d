"""The dialog of a form, and the board on which a form shows beside its fields what is refused."""

from collections.abc import Callable, Iterator, Mapping

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.refusal import Question, Refusal
from ripenroom.texts import tr
from ripenroom.window.dialogs import EnterDialog, room_for
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Choice, Field, RefusalNote
from ripenroom.window.widgets.typed_texts import TypedTexts, close_or_ask

Suggested = Callable[[object], str]
"""What the button says that takes a question's suggestion."""


class RefusalBoard:
    """The fields of one form by name, and which of their questions were answered with yes.

    A refusal of ``want_2.price`` is one of the part ``price`` of the field ``want_2``.
    ``again`` hands the form in once more. ``take`` puts a suggestion into its field, by the
    field's name, and returns what the button for it says (see :meth:`offer`).
    """

    def __init__(
        self,
        fields: Mapping[str, Field],
        rest: RefusalNote,
        again: Callable[[], None],
    ) -> None:
        self.fields = dict(fields)
        self.answered: frozenset[str] = frozenset()
        self._rest = rest
        self._again = again
        self._offers: dict[str, tuple[Suggested, Callable[[object], object]]] = {}

    def offer(self, name: str, says: Suggested, take: Callable[[object], object]) -> None:
        """For questions about field ``name``: the button's words, and how to take a suggestion."""
        self._offers[name] = (says, take)

    def show(self, refusal: Refusal) -> bool:
        """Show a refusal at its field, or at the form's foot if no field has its name."""
        self.clear()
        choices = self._choices(refusal) if isinstance(refusal, Question) else []
        name, _, part = refusal.field.partition(".")
        field = self.fields.get(name)
        if field is None or field.isHidden():
            self._rest.tell(refusal.message, choices)
        else:
            field.refuse(refusal.message, choices, part)
        return True

    def clear(self) -> None:
        """Take all refusals off the form."""
        for field in self.fields.values():
            field.clear_refusal()
        self._rest.clear()

    def forget_answers(self) -> None:
        """Ask again next time; called once the form was entered or the input changed."""
        self.answered = frozenset()

    def _choices(self, question: Question) -> list[Choice]:
        choices: list[Choice] = []
        offer = self._offers.get(question.field)
        if question.suggestion is not None and offer is not None:
            says, take = offer

            def take_it() -> None:
                take(question.suggestion)
                self._again()

            choices.append((says(question.suggestion), take_it))

        if not question.possible or question.field in self.answered:
            return choices  # it cannot be kept, or was kept once already and that did not help

        def keep() -> None:
            self.answered |= {question.field}
            self._again()

        choices.append((tr("Keep as typed"), keep))
        return choices


class FormDialog(EnterDialog):
    """Subclasses name the dialog and its action button, add fields, and carry the action out.

    What was typed stays when the season refuses it: the dialog shows the refusal beside the field
    and remains open. It is not thrown away by one slip either: Escape and Cancel ask first.
    """

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self._typed_texts = TypedTexts(self)
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

    def loses_typed(self) -> bool:
        """Whether something typed would be thrown away if it were closed now."""
        return self._typed_texts.any()

    def reject(self) -> None:
        """Close; where something typed would be lost, only when asked once more."""
        if close_or_ask(self._note, self.loses_typed(), self.cancel_button.text()):
            super().reject()

    def accept(self) -> None:
        """Carry out; close only if it was not refused."""
        self.board.clear()
        if self.session.run(self.done_text(), self.carry_out, self.board.show):
            super().accept()
