"""Fruit that leaves a batch: sold, or discarded."""

from PySide6.QtWidgets import QWidget

from ripenroom.records.batch import Outcome
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.window.forms.choices import Choices
from ripenroom.window.forms.field import Field
from ripenroom.window.forms.form_dialog import FormDialog
from ripenroom.window.forms.typed_line import TypedLine
from ripenroom.window.forms.when import WhenEdit
from ripenroom.window.session import Session


class TakeOutDialog(FormDialog):
    """Asks how many and when; for sold fruit also on which market day."""

    def __init__(
        self, session: Session, batch_id: str, outcome: Outcome, parent: QWidget | None = None
    ) -> None:
        super().__init__(session, parent)
        self._batch_id, self._outcome = batch_id, outcome
        book, projection = session.season.book, session.projection()
        code = book.batches[batch_id].code
        line = projection.line_of.get(batch_id)
        # Where nothing can be worked out of a batch, its fruit is counted by hand.
        left = "" if line is None else session.words.number(float(projection.left[line]))
        sold = outcome == "sold"
        title = self.tr("Sold from {code}") if sold else self.tr("Discarded from {code}")
        self.setWindowTitle(title.format(code=code))
        self.action_button.setText(self.tr("Sold") if sold else self.tr("Discard"))
        self.count = TypedLine(6)
        self.count.setText(left)
        self.count.selectAll()
        self.when = WhenEdit(session)
        self.day = Choices(18)
        days = sorted(book.market_days.values(), key=lambda day: day.starts_at)
        self.day.set_choices(
            [
                (None, self.tr("no market day")),
                *((day.id, f"{session.words.day(day.starts_at)} · {day.name}") for day in days),
            ]
        )
        self.add(
            "count",
            Field(
                self.tr("&Fruit (of {left} left)").format(left=left) if left else self.tr("&Fruit"),
                self.count,
            ),
        )
        self.add("at", Field(self.tr("&When"), self.when))
        if sold:
            self.add("market_day_id", Field(self.tr("&Market day"), self.day))
            self._choose_todays_market()
        self.fit()
        self.count.setFocus()

    def _choose_todays_market(self) -> None:
        today = self.session.season.now().date()
        for day in self.session.season.book.market_days.values():
            if self.session.words.local(day.starts_at).date() == today:
                self.day.choose(day.id)
                return
        self.day.choose(None)

    def carry_out(self) -> None:
        """Take the fruit out of the batch."""
        text = self.count.text().strip()
        count = self.session.words.parse_number(text)
        if count is None or count != int(count):
            raise Refusal("count", "Fruit: type a whole number, not “{typed}”.", typed=text)
        day = self.day.value()
        self.session.season.do(
            actions.batches.take_out,
            self._batch_id,
            int(count),
            self._outcome,
            self.when.moment(),
            day if isinstance(day, str) else None,
        )
