"""Adding a row of trees, or changing one: what stands in it, and what hangs on it."""

import re
from datetime import date, timedelta

from PySide6.QtCore import QLocale, Signal
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QWidget

from ripenroom.records.book import new_id
from ripenroom.records.orchard import Row
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.texts import tr
from ripenroom.window.session import Session
from ripenroom.window.widgets.amount import AmountLine, parse_count
from ripenroom.window.widgets.day_line import DayLine, Now
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine, typed_number
from ripenroom.window.widgets.layouts import WrappedLabel, begin_with
from ripenroom.wording.names import by_name, crop_name

_BLOOM_BEFORE_PICK = timedelta(days=130)
"""So long before the first pick a row usually blooms: only where the day's field begins."""

_DOUBTS = (0.1, 0.2, 0.3, 0.5, 1.0)


class RowDialog(FormDialog):
    """Name, cultivar and trees of a row, its bloom, and how much fruit hangs in it."""

    def __init__(self, session: Session, row_id: str | None, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        book = session.season.book
        self._row = book.rows[row_id] if row_id else None
        self.setWindowTitle(tr("Edit row") if self._row else tr("Add a row"))
        self.action_button.setText(tr("Save") if self._row else tr("Add"))
        first_day = book.season.first_day
        self.name = TypedLine(18)
        self.cultivar = RecordChoice(16)
        words = session.words
        self.trees, self.planted = AmountLine(words), AmountLine(words)
        locale, now = session.locale, session.season.now
        self.bloom = KnownDay(locale, now, tr("Known"), first_day - _BLOOM_BEFORE_PICK)
        self.fruit, self.branch_counts = AmountLine(words, 8), TypedLine(20)
        self.branches, self.mass = AmountLine(words), TypedLine(6)
        self.counted = KnownDay(locale, now, tr("on"), first_day)
        self.doubt = RecordChoice(18)
        self.estimate = WrappedLabel(parent=self)
        self._lay_out()
        if self._row is not None:
            self._show_row(self._row)
        for line in (self.fruit, self.branch_counts, self.branches, self.trees):
            line.textChanged.connect(lambda _text: self._show_estimate())
        self.doubt.currentIndexChanged.connect(lambda _index: self._show_estimate())
        self._show_estimate()
        self.fit()

    def _lay_out(self) -> None:
        book, crops = self.session.season.book, self.session.season.crops
        cultivars = sorted(book.cultivars.values(), key=lambda c: (c.crop, by_name(c.name)))
        self.cultivar.set_choices(
            [
                (None, tr("not known")),
                *((c.id, f"{crop_name(crops, c.crop)} · {c.name}") for c in cultivars),
            ]
        )
        kept = {self._row.fruit_doubt} if self._row else set()
        self.doubt.set_choices(
            [(doubt, self._doubt_words(doubt)) for doubt in sorted({*_DOUBTS, *kept})]
        )
        self.doubt.choose(Row(id="new", name="new").fruit_doubt)
        self.add("name", Field(tr("&Name"), self.name))
        self.add("cultivar_id", Field(tr("&Cultivar"), self.cultivar))
        self.add(
            "trees",
            Field(tr("&Trees"), self.trees, self.planted, captions=[tr("Planted in")]),
        )
        self.board.fields["planted_year"] = self.board.fields["trees"]
        self._add_day("bloomed_on", Field(tr("Full &bloom"), self.bloom))
        self.add("fruit_on_trees", Field(tr("&Fruit on all its trees"), self.fruit))
        self.add(
            "branch_counts",
            Field(
                tr("&Or fruit on each of some branches"),
                self.branch_counts,
                self.branches,
                captions=[tr("Such branches on a tree")],
                hint=tr("One number for each branch, with spaces between: 3 0 5 2"),
            ),
        )
        self.board.fields["branches_per_tree"] = self.board.fields["branch_counts"]
        self.add("fruit_doubt", Field(tr("&How sure is that?"), self.doubt))
        self.body.addWidget(self.estimate)
        self._add_day(
            "counted_on",
            Field(
                tr("Counted before the first pick, or"),
                self.counted,
                hint=tr("Fruit picked before that day is not in the count"),
            ),
        )
        self.add("fruit_mass_g", Field(tr("&Weight of one fruit (g)"), self.mass))

    def _doubt_words(self, doubt: float) -> str:
        if doubt >= 1.0:
            return tr("a guess: may be half or twice as many")
        return tr("within {share}").format(share=self.session.words.share(doubt))

    def _show_row(self, row: Row) -> None:
        words = self.session.words
        self.name.setText(row.name)
        self.cultivar.choose(row.cultivar_id)
        for line, value in (
            (self.trees, row.trees),
            (self.planted, row.planted_year),
            (self.fruit, row.fruit_on_trees),
            (self.branches, row.branches_per_tree),
        ):
            line.setText("" if value is None else str(value))
        self.branch_counts.setText(" ".join(map(str, row.branch_counts)))
        self.mass.setText("" if row.fruit_mass_g is None else words.number(row.fruit_mass_g, 0))
        self.bloom.set_day(row.bloomed_on)
        self.counted.set_day(row.counted_on)
        self.doubt.choose(row.fruit_doubt)

    def _show_estimate(self) -> None:
        """How many fruit that makes, once it can be told."""
        words, text = self.session.words, ""
        try:
            found = self.session.season.ask.counted_fruit(self._typed())
        except Refusal:
            found = None
        if found is not None:
            text = tr("About {count} fruit in the row, {range} four times in five.").format(
                count=words.number(found.range.mid),
                range=words.number_range(found.range.low, found.range.high),
            )
        self.estimate.setText(text)
        self.estimate.setVisible(bool(text))

    def _typed(self) -> Row:
        words = self.session.words
        cultivar, doubt = self.cultivar.value(), self.doubt.value()
        counts = re.split(r"[\s;,/]+", self.branch_counts.text().strip())
        on_branches = [parse_count(count, words) for count in counts if count]
        if None in on_branches:
            raise Refusal(
                "branch_counts",
                "Type one whole number for each branch, with blanks between: 3 0 5 2.",
            )
        return Row(
            id=self._row.id if self._row else new_id(),
            name=self.name.text().strip(),
            cultivar_id=cultivar if isinstance(cultivar, str) else None,
            trees=self.trees.count("trees"),
            planted_year=self.planted.count("planted_year"),
            bloomed_on=self.bloom.typed_day("bloomed_on"),
            fruit_on_trees=self.fruit.count("fruit_on_trees"),
            branch_counts=tuple(count for count in on_branches if count is not None),
            branches_per_tree=self.branches.count("branches_per_tree"),
            counted_on=self.counted.typed_day("counted_on"),
            fruit_doubt=doubt if isinstance(doubt, float) else 0.3,
            fruit_mass_g=typed_number(self.mass, words, "fruit_mass_g")
            if self.mass.text().strip()
            else None,
        )

    def _add_day(self, name: str, field: Field) -> None:
        (known,) = field.editors
        assert isinstance(known, KnownDay)
        known.say_of_what(known.accessibleName())
        self.add(name, field)

    def carry_out(self) -> None:
        """Save the row."""
        self.session.season.do(actions.orchard.save_row, self._typed())


class KnownDay(QWidget):
    """A day that is past, or that it is not known; ``likely`` is where the day begins once the box
    is ticked."""

    edited = Signal()
    misread = Signal(str)

    def __init__(self, locale: QLocale, now: Now, known: str, likely: date) -> None:
        super().__init__()
        self.box = QCheckBox(known, self)
        self.edit = DayLine(locale, now, "back", self)
        self.edit.set_day(likely)
        self.edit.setEnabled(False)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.box)
        layout.addWidget(self.edit, 1)
        begin_with(self, self.box)
        self.box.toggled.connect(self.edit.setEnabled)
        self.box.toggled.connect(self._on_toggled)
        self.edit.dayChanged.connect(self.edited)
        self.edit.misread.connect(self.misread)

    def say_of_what(self, label: str) -> None:
        """What a listener is told, to whom the box alone says too little."""
        for widget in (self.box, self.edit):
            widget.setAccessibleName(f"{label}: {self.box.text()}")

    def typed_day(self, field: str) -> date | None:
        """The day, None if it is not known; refuses (``field``) a text that is no day."""
        return self.edit.typed_day(field) if self.box.isChecked() else None

    def set_day(self, on: date | None) -> None:
        """Show a day, or that none is known."""
        if on is not None:
            self.edit.set_day(on)
        self.box.setChecked(on is not None)

    def _on_toggled(self, known: bool) -> None:
        if not known:
            self.misread.emit("")  # what is not asked for is not wrong
        self.edited.emit()
