"""Forms of what is done with batches: moved to another place, taken out, given ethylene."""

import math
from collections.abc import Sequence

from PySide6.QtWidgets import QWidget

from ripenroom.records.batch import Batch, Outcome
from ripenroom.records.crop.crop_names import called
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.texts import tr
from ripenroom.window.forms.pick_layout import place_choices
from ripenroom.window.plain import PlainLabel
from ripenroom.window.session import Session
from ripenroom.window.widgets.amount import AmountLine
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine, typed_number
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.window.widgets.when import WhenEdit


class MoveDialog(FormDialog):
    """Asks where to and when."""

    def __init__(
        self, session: Session, batch_ids: Sequence[str], parent: QWidget | None = None
    ) -> None:
        super().__init__(session, parent)
        self._batch_ids = list(batch_ids)
        book = session.season.book
        codes = ", ".join(book.batches[batch_id].code for batch_id in batch_ids)
        self.setWindowTitle(tr("Move {codes}").format(codes=codes))
        self.action_button.setText(tr("Move"))
        self.place = RecordChoice(16)
        here = session.season.place_of(batch_ids[0]) if batch_ids else None
        self.place.set_choices(
            [choice for choice in place_choices(book) if here is None or choice[0] != here.id]
        )
        self.when = WhenEdit(session, "near")
        if here is not None:
            now = PlainLabel(tr("Now in: {place}").format(place=here.name), self)
            self.body.addWidget(now)
        self.add("place_id", Field(tr("&To"), self.place))
        self.add("at", Field(tr("&When"), self.when))
        ahead = PlainLabel(
            tr("For a planned move, type a time still to come: the queue shows it."), self
        )
        ahead.setWordWrap(True)
        self.body.addWidget(ahead)
        self.fit()

    def carry_out(self) -> None:
        """Move."""
        place = self.place.value()
        if not isinstance(place, str):
            raise Refusal("place_id", "There is no other place. Add one on Places first.")
        self.session.season.do(actions.moves.move, self._batch_ids, place, self.when.moment())


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
        title = tr("Sold from {code}") if sold else tr("Discarded from {code}")
        self.setWindowTitle(title.format(code=code))
        self.action_button.setText(tr("Sold") if sold else tr("Discard"))
        self.count = AmountLine(session.words)
        self.count.setText(left)
        self.count.selectAll()
        self.when = WhenEdit(session)
        self.day = RecordChoice(18)
        days = sorted(book.market_days.values(), key=lambda day: day.starts_at)
        self.day.set_choices(
            [
                (None, tr("no market day")),
                *((day.id, f"{session.words.day(day.starts_at)} · {day.name}") for day in days),
            ]
        )
        self.add(
            "count",
            Field(
                tr("&Fruit (of {left} left)").format(left=left) if left else tr("&Fruit"),
                self.count,
            ),
        )
        self.add("at", Field(tr("&When"), self.when))
        if sold:
            self.add("market_day_id", Field(tr("&Market day"), self.day))
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
        count = self.count.needed_count("count")
        day = self.day.value()
        self.session.season.do(
            actions.batches.take_out,
            self._batch_id,
            count,
            self._outcome,
            self.when.moment(),
            day if isinstance(day, str) else None,
        )


_HOURS_PER_DAY = 24.0
_QUARTER_H = 6.0


def opened_by_ethylene(season: Season, batch: Batch) -> bool:
    """Whether ethylene does anything for a batch here."""
    crop = season.profile_of(batch.id)
    return crop is not None and crop.gate is not None and crop.gate.ethylene_days is not None


def _usual_hours(days: float) -> float:
    """Hours that are enough, in quarters of a day: nobody times a ripening room by the minute."""
    return _QUARTER_H * math.ceil(days * _HOURS_PER_DAY / _QUARTER_H - 1e-9)


class EthyleneDialog(FormDialog):
    """Asks for how long and from when on; says first what can go wrong."""

    def __init__(self, session: Session, batch_id: str, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self._batch_id = batch_id
        season, words = session.season, session.words
        batch = season.book.batches[batch_id]
        self.setWindowTitle(tr("Ethylene for {code}").format(code=batch.code))
        self.action_button.setText(tr("Save"))
        caution = WrappedLabel(
            tr(
                "! Ethylene burns and explodes: use it only with the proper equipment, in a room "
                "that is made for it, and ventilate before you go in. Local codes and licensed "
                "practice come first."
            ),
            self,
        )
        caution.setObjectName("refusal")
        self.body.addWidget(caution)
        self.hours = TypedLine(6)
        crop = season.profile_of(batch.id)
        if crop is not None and crop.gate is not None and crop.gate.ethylene_days is not None:
            days = crop.gate.ethylene_days
            self.hours.setText(words.number(_usual_hours(days.value)))
            self.body.addWidget(
                WrappedLabel(
                    tr("{crop} needs {hours} h of it ({low}–{high}).").format(
                        crop=called(crop),
                        hours=words.number(_usual_hours(days.value)),
                        low=words.number(days.low * _HOURS_PER_DAY),
                        high=words.number(days.high * _HOURS_PER_DAY),
                    ),
                    self,
                )
            )
        self.when = WhenEdit(session, "near")
        self.add("hours", Field(tr("&Hours"), self.hours))
        self.add("at", Field(tr("&From"), self.when))
        self.fit()
        self.hours.setFocus()
        self.hours.selectAll()

    def carry_out(self) -> None:
        """Write the treatment down."""
        hours = typed_number(self.hours, self.session.words, "hours")
        self.session.season.do(actions.batches.treat, [self._batch_id], hours, self.when.moment())
