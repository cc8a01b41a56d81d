"""The form "Pack": what to take to a market day, what to open next, and what was squeezed."""

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

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
from ripenroom.wording.names import crop_name
from ripenroom.wording.packing import (
    first_words,
    leave_words,
    line_words,
    next_words,
    ready_words,
    to_pick_words,
    up_to_words,
)


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
        self._added: set[str] = set()
        self._lines_of = Counter(
            line.batch_id for crop in self.packing.crops for line in (*crop.take, *crop.open_next)
        )
        self._box_of: dict[str, QVBoxLayout] = {}
        self._left_at_home: list[tuple[PackingOfCrop, WrappedLabel]] = []
        self.setWindowTitle(
            tr("Pack for {name}, {day}").format(
                name=self._day.name, day=words.day(self._day.starts_at)
            )
        )
        self.action_button.setText(tr("Save what was packed"))
        if self.packing.crops and session.plans.plan is None:
            said = tr(
                "There is no plan yet: some of these crates may be needed for another market day."
            )
            self.body.addWidget(WrappedLabel(said, self))
        for crop in self.packing.crops:
            self._add_crop(crop)
        if not self.rows and not any(crop.enough for crop in self.packing.crops):
            nothing = tr("No fruit here is expected to be good to sell then.")
            self.body.addWidget(WrappedLabel(nothing, self))
        self.batch = RecordChoice(18)
        self.more = QPushButton(tr("A&dd it"), self)
        self.more.setAutoDefault(False)
        self.more.setAccessibleName(tr("Add the chosen batch"))
        self.more.clicked.connect(self._add_chosen)
        others = self.add("batch_id", Field(tr("Another &batch"), self.batch, self.more))
        others.setVisible(bool(self._others()))
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
        self._arrange()
        self._as_opened = self._typed()
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

    def loses_typed(self) -> bool:
        """Whether anything is otherwise than when it was opened."""
        return self._typed() != self._as_opened

    def _add_crop(self, crop: PackingOfCrop) -> None:
        words = self.session.words
        name = crop_name(self.session.season.crops, crop.crop)
        heading = WrappedLabel(up_to_words(crop, name, words), self)
        bold = heading.font()
        bold.setBold(True)
        heading.setFont(bold)
        self.body.addWidget(heading)
        if not crop.enough:
            self.body.addWidget(WrappedLabel(ready_words(crop), self))
        progress = WrappedLabel(parent=self)
        progress.setAccessibleName(tr("{crop}: how many are packed").format(crop=name))
        self.body.addWidget(progress)
        box = QVBoxLayout()
        box.setSpacing(4)
        self.body.addLayout(box)
        self._box_of[crop.crop] = box
        own: list[PackRow] = []
        if crop.take:
            box.addWidget(WrappedLabel(first_words(crop, words), self))
        for number, line in enumerate(crop.take, start=1):
            own.append(self._add_row(line, number, box))
        if crop.open_next:
            box.addWidget(WrappedLabel(next_words(crop), self))
        for number, line in enumerate(crop.open_next, start=len(own) + 1):
            own.append(self._add_row(line, number, box))
        if crop.to_pick:
            self.body.addWidget(WrappedLabel(to_pick_words(crop), self))
        if crop.leave and not crop.enough:
            at_home = WrappedLabel(parent=self)
            self.body.addWidget(at_home)
            self._left_at_home.append((crop, at_home))
        self._rows_of_crop.append((crop, own, progress))

    def _add_row(self, line: PackLine, number: int, box: QVBoxLayout) -> PackRow:
        book = self.session.season.book
        batch = book.batches[line.batch_id]
        apart = self._lines_of[batch.id] > 1
        called = line_words(line, number, apart, self.session)
        row = PackRow(line, batch, called, self.session.words, self)
        row.edited.connect(self._show_progress)
        self.rows.append(row)
        # Of crates of one batch that stand in two lines, a refusal is shown at the first.
        first = self._row_of.setdefault(batch.id, row)
        for what in COUNTS:
            self.board.fields[actions.field_of(what, batch.id)] = first
        box.addWidget(row)
        return row

    def _others(self) -> dict[str, PackLine]:
        """All that stays at home and may be opened all the same: of each batch one line."""
        left = [crop.left_by_batch() for crop in self.packing.crops]
        return {key: line for own in left for key, line in own.items() if key not in self._row_of}

    def _add_chosen(self) -> None:
        """Another line, for a batch that was opened though the list does not say so."""
        line = self._others().get(str(self.batch.value()))
        if line is None:
            return
        crop = self.session.season.book.batches[line.batch_id].crop
        own = next(rows for packing, rows, _ in self._rows_of_crop if packing.crop == crop)
        row = self._add_row(line, len(own) + 1, self._box_of[crop])
        own.append(row)
        self._added.add(line.batch_id)
        row.show()  # at once, so that a refusal can be shown beside it
        self._arrange()
        row.taken.setFocus()

    def _arrange(self) -> None:
        """Headings above the first line of each crop, Tab along the lines, what is left at home."""
        book = self.session.season.book
        for _, rows, _ in self._rows_of_crop:
            for row in rows:
                row.show_headings(row is rows[0])
        for crop, label in self._left_at_home:
            left = [line for line in crop.leave if line.batch_id not in self._added]
            said = leave_words(left, self.session)
            label.setText(said)
            label.setVisible(bool(said))
        others = self._others()
        self.batch.set_choices(
            sorted(
                (
                    (key, f"{book.batches[key].code} · {book.places[line.place_id].name}")
                    for key, line in others.items()
                ),
                key=lambda choice: choice[1],
            )
        )
        self.more.setEnabled(bool(others))
        self.action_button.setEnabled(bool(self.rows))
        self._set_tab_order()
        self._show_progress()

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
        order: list[QWidget] = [
            line for _, rows, _ in self._rows_of_crop for row in rows for line in row.lines
        ]
        order += [
            self.batch,
            self.more,
            self.too_soft,
            self.when,
            self.cancel_button,
            self.action_button,
        ]
        for before, after in pairwise(order):
            QWidget.setTabOrder(before, after)

    def _typed(self) -> list[object]:
        return [
            *filter(None, self._texts()),
            self.too_soft.value(),
            self.when.texts(),
        ]

    def _texts(self) -> Iterator[str]:
        for row in self.rows:
            yield from (line.text() for line in row.lines)
