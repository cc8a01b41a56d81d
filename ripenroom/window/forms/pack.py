"""The form "Pack": what to take to a market day, what to open next, and what was squeezed."""

from collections.abc import Iterator
from itertools import pairwise

from PySide6.QtWidgets import QVBoxLayout, QWidget

from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.packing import PackingOfCrop, PackLine
from ripenroom.texts import tr
from ripenroom.window.forms.pack_batch import COUNTS, PackRow
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.window.widgets.when import WhenEdit
from ripenroom.wording.market_days.packing import (
    first_words,
    next_words,
    to_pick_words,
    up_to_words,
)
from ripenroom.wording.names import crop_name

_MOST_NAMED = 20
"""So many batches that stay at home are named; nobody looks for one among hundreds."""


class PackDialog(FormDialog):
    """One line for the crates of a batch, in the order in which they are opened."""

    def __init__(self, session: Session, market_day_id: str, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        season, words = session.season, session.words
        self._day = season.book.market_days[market_day_id]
        self.packing = season.ask.packing_list(market_day_id, session.plans.plan)
        self.rows: list[PackRow] = []
        self._row_of: dict[str, PackRow] = {}
        self._rows_of_crop: list[tuple[PackingOfCrop, list[PackRow], WrappedLabel]] = []
        self.setWindowTitle(
            tr("Pack for {name}, {day}").format(
                name=self._day.name, day=words.day(self._day.starts_at)
            )
        )
        self.action_button.setText(tr("Save what was packed"))
        for crop in self.packing.crops:
            self._add_crop(crop)
        if not self.rows:
            if not any(crop.enough for crop in self.packing.crops):
                nothing = tr("No fruit here is expected to be ready for it.")
                self.body.addWidget(WrappedLabel(nothing, self))
            self.action_button.setEnabled(False)
        self.too_soft = RecordChoice(24)
        self.too_soft.set_choices(
            [
                (actions.packing.TooSoft.THROWN.value, tr("is thrown away")),
                (actions.packing.TooSoft.SECOND_GRADE.value, tr("is sold as second grade")),
                (actions.packing.TooSoft.STAYS.value, tr("stays with its batch")),
            ]
        )
        self.when = WhenEdit(session)
        self.add("too_soft", Field(tr("Fruit that is &too soft"), self.too_soft))
        self.add("at", Field(tr("S&queezed at"), self.when))
        self._set_tab_order()
        self._as_opened = self._typed()
        self._show_progress()
        self.fit()
        if self.rows:
            self.rows[0].taken.setFocus()

    def carry_out(self) -> None:
        """Write down the squeeze and what was packed, in one action."""
        try:
            self.session.season.do(
                actions.packing.pack_squeezed,
                self._day.id,
                self._squeezed(),
                self.when.moment(),
                actions.packing.TooSoft(str(self.too_soft.value())),
            )
        except Refusal as refusal:
            row = self.board.fields.get(refusal.field)
            if isinstance(row, PackRow):
                row.point_at(refusal.field)
            raise

    def done_text(self) -> str:
        """What was written down, in one line."""
        taken = sum(row.squeezed().taken for row in self.rows if self._can_be_read(row))
        return tr("{fruit} fruit packed for {name}. The squeeze counts as a check.").format(
            fruit=self.session.words.number(taken), name=self._day.name
        )

    def reject(self) -> None:
        """Throw nothing typed away by one slip: with something typed, ask once more."""
        if self._typed() == self._as_opened or not self._note.isHidden():
            super().reject()
            return
        self._note.tell(tr("What you typed is not saved yet. Press Cancel again to throw it away."))

    def _add_crop(self, crop: PackingOfCrop) -> None:
        words = self.session.words
        name = crop_name(self.session.season.crops, crop.crop)
        heading = WrappedLabel(up_to_words(crop, name, words), self)
        bold = heading.font()
        bold.setBold(True)
        heading.setFont(bold)
        self.body.addWidget(heading)
        progress = WrappedLabel(parent=self)
        progress.setAccessibleName(tr("{crop}: how many are packed").format(crop=name))
        self.body.addWidget(progress)
        box = QVBoxLayout()
        box.setSpacing(4)
        self.body.addLayout(box)
        own: list[PackRow] = []
        if crop.take:
            box.addWidget(WrappedLabel(first_words(crop, words), self))
        for number, line in enumerate(crop.take, start=1):
            own.append(self._add_row(line, number, box))
        if crop.open_next:
            box.addWidget(WrappedLabel(next_words(crop), self))
        for number, line in enumerate(crop.open_next, start=len(own) + 1):
            own.append(self._add_row(line, number, box))
        for row in own:
            row.show_headings(row is own[0])
        if crop.to_pick:
            self.body.addWidget(WrappedLabel(to_pick_words(crop), self))
        if crop.leave and not crop.enough:
            self.body.addWidget(WrappedLabel(self._leave_words(crop), self))
        self._rows_of_crop.append((crop, own, progress))

    def _add_row(self, line: PackLine, number: int, box: QVBoxLayout) -> PackRow:
        book = self.session.season.book
        batch, place = book.batches[line.batch_id], book.places[line.place_id]
        row = PackRow(line, batch, place.name, number, self.session.words, self)
        row.edited.connect(self._show_progress)
        self.rows.append(row)
        # Of crates of one batch that stand in two lines, a refusal is shown at the first.
        first = self._row_of.setdefault(batch.id, row)
        for what in COUNTS:
            self.board.fields[actions.counted.field_of(what, batch.id)] = first
        box.addWidget(row)
        return row

    def _leave_words(self, crop: PackingOfCrop) -> str:
        """What stays at home, by the market day that it is for."""
        book, words = self.session.season.book, self.session.words
        by_day: dict[str, list[str]] = {}
        for line in crop.leave:
            codes = by_day.setdefault(line.later_day_id or "", [])
            codes.append(book.batches[line.batch_id].code)
        parts = []
        for day in sorted(
            (book.market_days[key] for key in by_day if key), key=lambda day: day.starts_at
        ):
            said = tr("for {market}, {day}: {codes}")
            parts.append(
                said.format(
                    market=day.name,
                    day=words.day(day.starts_at),
                    codes=self._codes_words(by_day[day.id]),
                )
            )
        if "" in by_day:
            said = tr("not worth opening now: {codes}")
            parts.append(said.format(codes=self._codes_words(by_day[""])))
        return tr("Leave at home: {batches}.").format(batches="; ".join(parts))

    def _codes_words(self, codes: list[str]) -> str:
        """Batches by their codes, each once; of very many the first few and how many more."""
        each = list(dict.fromkeys(codes))
        named = ", ".join(each[:_MOST_NAMED])
        if len(each) <= _MOST_NAMED:
            return named
        return tr("{codes} and {count} others").format(
            codes=named, count=self.session.words.number(len(each) - _MOST_NAMED)
        )

    def _squeezed(self) -> list[actions.packing.Squeezed]:
        """What was typed, by batch."""
        found: dict[str, actions.packing.Squeezed] = {}
        for row in self.rows:
            one = row.squeezed()
            known = found.get(one.batch_id, actions.packing.Squeezed(one.batch_id, 0, 0, 0))
            found[one.batch_id] = actions.packing.Squeezed(
                one.batch_id,
                known.taken + one.taken,
                known.firm + one.firm,
                known.soft + one.soft,
            )
        return list(found.values())

    def _show_progress(self) -> None:
        for crop, rows, label in self._rows_of_crop:
            said = self._progress_words(crop, rows)
            label.setText(said)
            label.setVisible(bool(said))

    def _progress_words(self, crop: PackingOfCrop, rows: list[PackRow]) -> str:
        """How many are packed by now, and what to open next."""
        words = self.session.words
        counted = [row for row in rows if self._can_be_read(row)]
        packed = crop.packed + sum(row.squeezed().taken for row in counted)
        to_go = crop.bring - packed
        if crop.enough:
            return ""  # the heading says so
        if to_go <= 0:
            return tr("{packed} packed: that is enough. Leave the rest as it is.").format(
                packed=words.number(packed)
            )
        following = next(
            (row for row in rows if row not in counted or not row.squeezed().fruit), None
        )
        said = tr("{packed} packed, {to_go} to go.")
        if following is not None:
            said = tr("{packed} packed, {to_go} to go. Next: open {code}.")
        elif rows:
            said = tr("{packed} packed, {to_go} short: no other batch is worth opening.")
        return said.format(
            packed=words.number(packed),
            to_go=words.number(to_go),
            code=following.batch.code if following is not None else "",
        )

    @staticmethod
    def _can_be_read(row: PackRow) -> bool:
        try:
            row.squeezed()
        except Refusal:
            return False  # said when it is written down
        return True

    def _set_tab_order(self) -> None:
        order: list[QWidget] = [line for row in self.rows for line in row.lines]
        order += [self.too_soft, *self.when.tab_stops, self.cancel_button, self.action_button]
        for before, after in pairwise(order):
            QWidget.setTabOrder(before, after)

    def _typed(self) -> list[object]:
        return [
            *self._texts(),
            self.too_soft.value(),
            self.when.texts(),
        ]

    def _texts(self) -> Iterator[str]:
        for row in self.rows:
            yield from (line.text() for line in row.lines)
