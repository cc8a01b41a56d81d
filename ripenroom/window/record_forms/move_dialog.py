"""Moving batches to another place, now, earlier, or ahead of time as a pull."""

from collections.abc import Sequence

from PySide6.QtWidgets import QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.window.forms.choices import Choices
from ripenroom.window.forms.field import Field
from ripenroom.window.forms.form_dialog import FormDialog
from ripenroom.window.forms.when import WhenEdit
from ripenroom.window.plain import PlainLabel
from ripenroom.window.record_forms.choices import place_choices
from ripenroom.window.session import Session


class MoveDialog(FormDialog):
    """Asks where to and when."""

    def __init__(
        self, session: Session, batch_ids: Sequence[str], parent: QWidget | None = None
    ) -> None:
        super().__init__(session, parent)
        self._batch_ids = list(batch_ids)
        book = session.season.book
        codes = ", ".join(book.batches[batch_id].code for batch_id in batch_ids)
        self.setWindowTitle(self.tr("Move {codes}").format(codes=codes))
        self.action_button.setText(self.tr("Move"))
        self.place = Choices(16)
        here = session.season.place_of(batch_ids[0]) if batch_ids else None
        self.place.set_choices(
            [choice for choice in place_choices(book) if here is None or choice[0] != here.id]
        )
        self.when = WhenEdit(session, "near")
        if here is not None:
            now = PlainLabel(self.tr("Now in: {place}").format(place=here.name), self)
            self.body.addWidget(now)
        self.add("place_id", Field(self.tr("&To"), self.place))
        self.add("at", Field(self.tr("&When"), self.when))
        ahead = PlainLabel(self.tr("A time ahead plans a pull: the queue counts with it."), self)
        ahead.setWordWrap(True)
        self.body.addWidget(ahead)
        self.fit()

    def carry_out(self) -> None:
        """Move."""
        place = self.place.value()
        if not isinstance(place, str):
            raise Refusal("place_id", "There is no other place. Add one on Places first.")
        self.session.season.do(actions.moves.move, self._batch_ids, place, self.when.moment())
