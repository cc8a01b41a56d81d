"""The form "After the market": what became of the fruit that was brought to a market day."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from ripenroom.records.market import MarketDay, Want
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.texts import tr
from ripenroom.window.forms.pick_layout import place_choices
from ripenroom.window.forms.settle_batch import COUNTS, SettleRow
from ripenroom.window.plain import set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.window.widgets.when import WhenEdit
from ripenroom.wording.market_days import wanted_words
from ripenroom.wording.names import begun, crop_name

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedItinerary


_USUALLY_LASTS = timedelta(hours=4)


def can_be_settled(session: Session, day: MarketDay) -> bool:
    """Whether it is known what became of a market day: it has begun."""
    return day.starts_at <= session.season.now()


class SettleDialog(FormDialog):
    """One line per batch that came; the Tab key goes down the columns.

    A market day that was settled already is shown as it was, to be mended.
    """

    def __init__(self, session: Session, market_day_id: str, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        season, words = session.season, session.words
        book = season.book
        self._day = book.market_days[market_day_id]
        self._wants = {
            want.crop: want for want in book.wants.values() if want.market_day_id == market_day_id
        }
        self._there = season.ask.could_come(self._day)
        self.rows: list[SettleRow] = []
        self.setWindowTitle(
            tr("After the market: {name}, {day}").format(
                name=self._day.name, day=words.day(self._day.starts_at)
            )
        )
        self.action_button.setText(tr("Save"))
        self.body.addWidget(WrappedLabel(self._wanted_words(), self))
        self.rows_box = QVBoxLayout()
        self.rows_box.setSpacing(4)
        self.body.addLayout(self.rows_box)
        self.nothing = WrappedLabel(
            tr("No batch was ready then. Add what you brought, or save that you brought nothing."),
            self,
        )
        self.body.addWidget(self.nothing)
        self.total = WrappedLabel(parent=self)
        self.all_sold = QPushButton(tr("A&ll sold"), self)
        under = QHBoxLayout()
        under.addWidget(self.total, 1)
        under.addWidget(self.all_sold)
        self.body.addLayout(under)
        self.batch = RecordChoice(18)
        self.more = QPushButton(tr("&Add it"), self)
        set_hint(
            self.all_sold,
            tr("In every line, sold becomes all that was brought and not thrown away"),
        )
        for button in (self.more, self.all_sold):
            button.setAutoDefault(False)
        self.more.setAccessibleName(tr("Add the chosen batch"))
        self.add("batch_id", Field(tr("Another &batch"), self.batch, self.more))
        self.back_to = RecordChoice(16)
        self.back_to.set_choices([(None, tr("where it was")), *place_choices(book)])
        self.too_firm = QCheckBox(tr("It was squeezed, and too &firm for these buyers"), self)
        set_hint(
            self.too_firm,
            tr(
                "Tick it if it came back because it was not ready: then it is known to be the "
                "younger part of its batch. Leave it if too few people came to buy."
            ),
        )
        self.when = WhenEdit(session)
        self.add("back_to", Field(tr("What &came back goes"), self.back_to))
        self.body.addWidget(self.too_firm)
        self.board.fields["place_id"] = self.board.fields["back_to"]
        self.add("at", Field(tr("O&ver at"), self.when))
        self._fill()
        self.more.clicked.connect(self._add_chosen)
        self.all_sold.clicked.connect(self.sell_all)
        self._as_opened = self._typed()
        self.fit()
        self._focus_first_gap()

    def sell_all(self) -> None:
        """In every line all that was brought and not thrown away was sold."""
        for row in self.rows:
            row.fill_rest()

    def add_row(self, outcome: actions.outcomes.BatchOutcome, known: bool) -> SettleRow:
        """Another line for a batch."""
        season, words = self.session.season, self.session.words
        batch = season.book.batches[outcome.batch_id]
        name = crop_name(season.crops, batch.crop)
        row = SettleRow(batch, name, self._there.get(batch.id), words, self)
        want: Want | None = self._wants.get(batch.crop)
        row.fill(outcome, known, want.price_minor if want else None)
        row.edited.connect(self._show_total)
        row.removeAsked.connect(lambda: self._remove(row))
        self.rows.append(row)
        self.rows_box.addWidget(row)
        row.show()  # at once, so that a refusal can be shown beside it
        for what in (*COUNTS, "price_minor"):
            self.board.fields[actions.field_of(what, batch.id)] = row
        self._arrange()
        return row

    def carry_out(self) -> None:
        """Write down what became of the market day."""
        try:
            outcomes = [row.outcome() for row in self.rows if not row.is_empty()]
            back_to = self.back_to.value()
            self.session.season.do(
                actions.settling.settle,
                self._day.id,
                outcomes,
                self.when.moment(),
                back_to if isinstance(back_to, str) else None,
                self.too_firm.isChecked(),
            )
        except Refusal as refusal:
            row = self.board.fields.get(refusal.field)
            if isinstance(row, SettleRow):
                row.point_at(refusal.field)
            raise

    def done_text(self) -> str:
        """What was written down, in one line."""
        return tr("{name}: {total}").format(name=self._day.name, total=self._total_words())

    def loses_typed(self) -> bool:
        """Whether anything is otherwise than when it was opened."""
        return self._typed() != self._as_opened

    def _fill(self) -> None:
        season = self.session.season
        book, day = season.book, self._day
        for outcome in season.probably_brought(day, self._planned()):
            known = day.settled_at is not None or outcome.sold + outcome.thrown > 0
            self.add_row(outcome, known)
        self.back_to.choose(actions.outcomes.came_back_to(book, day.id))
        self.too_firm.setChecked(actions.outcomes.was_too_firm(book, day.id))
        over = self._over_at()
        if over is not None:
            self.when.set_moment(over)
        self._arrange()

    def _planned(self) -> "list[PlannedItinerary]":
        """What would be brought by the latest plan that knew of the market day.

        Once it has begun today's plan is silent about it, but not yesterday's.
        """
        plans = self.session.plans
        for plan in (plans.plan, plans.before):
            lines = (
                [line for line in plan.lines if line.market_day_id == self._day.id] if plan else []
            )
            if lines:
                return lines
        return []

    def _over_at(self) -> datetime | None:
        """When the market was over, as written down or as is usual; None: now."""
        book = self.session.season.book
        written = [r.at for r in book.removals.values() if r.market_day_id == self._day.id]
        if written:
            return max(written)
        usual = self._day.starts_at + _USUALLY_LASTS
        return usual if usual < self.session.season.now() else None

    def _wanted_words(self) -> str:
        parts = [wanted_words(self._wants[crop], self.session) for crop in sorted(self._wants)]
        wanted = tr("Wanted: {wants}.").format(wants="; ".join(parts)) if parts else ""
        rest = tr("Fruit that was neither sold nor thrown away came back.")
        return f"{wanted} {rest}".strip()

    def _add_chosen(self) -> None:
        batch_id = self.batch.value()
        if isinstance(batch_id, str):
            self.add_row(
                actions.outcomes.BatchOutcome(batch_id, 0, 0, 0), known=False
            ).brought.setFocus()

    def _remove(self, row: SettleRow) -> None:
        self.rows.remove(row)
        for what in (*COUNTS, "price_minor"):
            del self.board.fields[actions.field_of(what, row.batch.id)]
        self.rows_box.removeWidget(row)
        row.hide()
        row.deleteLater()
        self._arrange()
        (self.rows[-1].brought if self.rows else self.batch).setFocus()

    def _arrange(self) -> None:
        """Headings above the first line only, Tab down the columns, batches that are not there."""
        for row in self.rows:
            row.show_headings(row is self.rows[0])
        self.nothing.setVisible(not self.rows)
        self.all_sold.setEnabled(bool(self.rows))
        book, crops = self.session.season.book, self.session.season.crops
        shown = {row.batch.id for row in self.rows}
        others = sorted(
            (book.batches[batch_id] for batch_id in self._there if batch_id not in shown),
            key=lambda batch: batch.code,
        )
        self.batch.set_choices(
            [(batch.id, f"{batch.code} · {crop_name(crops, batch.crop)}") for batch in others]
        )
        self.more.setEnabled(bool(others))
        order = [
            line
            for column in zip(*(row.lines for row in self.rows), strict=True)
            for line in column
        ]
        order += [button for row in self.rows for button in (row.all_sold, row.remove)]
        order += [self.all_sold, self.batch, self.more, self.back_to, self.too_firm, self.when]
        order += [self.cancel_button, self.action_button]
        for before, after in pairwise(order):
            QWidget.setTabOrder(before, after)
        self._show_total()

    def _focus_first_gap(self) -> None:
        """Go to the first number that is not known yet."""
        lines: Sequence[QWidget] = [
            line
            for line in (*(r.brought for r in self.rows), *(r.sold for r in self.rows))
            if not line.text()
        ]
        first = lines[0] if lines else self.rows[0].brought if self.rows else self.batch
        first.setFocus()

    def _show_total(self) -> None:
        self.total.setText(self._total_words())

    def _total_words(self) -> str:
        """All lines, as far as they can be read: ``"Brought 40, sold 32 for €51.20, 2 thrown away,
        6 came back."``; and of which batches it is still to be said what was sold."""
        words = self.session.words
        brought = sold = thrown = back = money = 0
        priced = False
        unsaid: list[str] = []
        for row in self.rows:
            came_back = row.came_back()
            brought += row.came()
            if came_back is None:
                if not row.is_empty():
                    unsaid.append(row.batch.code)
                continue
            try:
                outcome = row.outcome()
            except Refusal:
                continue  # said when it is written down
            sold += outcome.sold
            thrown, back = thrown + outcome.thrown, back + came_back
            money += outcome.sold * (outcome.price_minor or 0)
            priced |= outcome.price_minor is not None and outcome.sold > 0
        text = (
            tr("brought {brought}, sold {sold}")
            if not priced
            else tr("brought {brought}, sold {sold} for {money}")
        )
        text = text.format(
            brought=words.number(brought), sold=words.number(sold), money=words.money(money)
        )
        rest = tr("{thrown} thrown away, {back} came back").format(
            thrown=words.number(thrown), back=words.number(back)
        )
        said = tr("{text}, {rest}.").format(text=begun(text), rest=rest)
        if not unsaid:
            return said
        still = tr("Still to fill in: {codes}.").format(codes=", ".join(unsaid))
        return f"{said} {still}"

    def _typed(self) -> list[object]:
        rows = [(row.batch.id, *(line.text() for line in row.lines)) for row in self.rows]
        return [rows, self.back_to.value(), self.too_firm.isChecked(), self.when.texts()]
