"""Brings a refusal to the field that caused it, and carries a question's answer back."""

from collections.abc import Callable, Mapping

from ripenroom.records.refusal import Question, Refusal
from ripenroom.texts import tr
from ripenroom.window.widgets.field import Choice, Field, RefusalNote

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
