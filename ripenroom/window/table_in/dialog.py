"""The dialog that takes a table in: what it holds, what its columns mean, which rows are right."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any, cast

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractItemView,
    QCheckBox,
    QDialog,
    QGridLayout,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QScrollArea,
    QSplitter,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from ripenroom.exchange.table_in.columns import MEANINGS, Kind
from ripenroom.exchange.table_in.grid import Grid
from ripenroom.exchange.table_in.mapping import ColumnMapping, guess, guess_kind
from ripenroom.records.refusal import Refusal
from ripenroom.season.changes.importing import Usual
from ripenroom.window.dialogs import room_for
from ripenroom.window.errand import Errand
from ripenroom.window.forms.choices import Choices
from ripenroom.window.forms.refusal_note import RefusalNote, refusal_text
from ripenroom.window.forms.wrapped_label import WrappedLabel
from ripenroom.window.names import crop_name
from ripenroom.window.session import Session
from ripenroom.window.table_in.model import TableInModel
from ripenroom.window.table_in.names import kind_name, meaning_name
from ripenroom.window.table_in.state import RowTrouble, TableState, looked_over
from ripenroom.window.theme import ink

_AT_ONCE = 400
"""So many rows are looked over in a moment; more go to a thread of their own."""


class TableInDialog(QDialog):
    """Shows a table from elsewhere as it was understood, until its rows are in the season."""

    def __init__(
        self, session: Session, grid: Grid, name: str, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.session = session
        self.setWindowTitle(self.tr("Bring in {name}").format(name=name))
        self._errand: Errand[TableState] | None = None
        self.state = TableState(name, grid, self._guess(grid, guess_kind(grid)), self._usual())
        self.taken = 0
        self._build()
        self._set_kind(self.state.kind)
        room = room_for(self)
        em = self.fontMetrics().horizontalAdvance("n")
        self.resize(min(em * 130, room.width()), min(em * 80, room.height()))

    def _guess(self, grid: Grid, kind: Kind) -> ColumnMapping:
        us = self.session.season.book.season.units == "us"
        return guess(grid, kind, "mdy" if us else "dmy")

    def _usual(self) -> Usual:
        """A crop or a place that need not be named where there is only one."""
        book = self.session.season.book
        used = {batch.crop for batch in book.batches.values()}
        used |= {cultivar.crop for cultivar in book.cultivars.values()}
        return Usual(
            crop=next(iter(used)) if len(used) == 1 else None,
            place_id=next(iter(book.places)) if len(book.places) == 1 else None,
        )

    # What stands where

    def _build(self) -> None:
        self.kind = Choices(12)
        self.kind.set_choices([(kind, kind_name(kind)) for kind in MEANINGS])
        self.order = Choices(14)
        self.order.set_choices(
            [
                ("ymd", self.tr("year, month, day")),
                ("dmy", self.tr("day, month, year")),
                ("mdy", self.tr("month, day, year")),
            ]
        )
        self.mark = Choices(8)
        self.mark.set_choices([(".", self.tr("point: 2.5")), (",", self.tr("comma: 2,5"))])
        self.mass = Choices(4)
        self.mass.set_choices([("kg", "kg"), ("lb", "lb")])
        self.temperature = Choices(4)
        self.temperature.set_choices([("C", "°C"), ("F", "°F")])
        self.crop = Choices(14)
        self.place = Choices(14)
        side = QWidget(self)
        self._form = QGridLayout(side)
        self._form.setColumnStretch(1, 1)
        self._lines: dict[str, tuple[QLabel, QWidget]] = {}
        for key, label, editor in (
            ("kind", self.tr("&It holds"), self.kind),
            ("order", self.tr("&Dates are"), self.order),
            ("mark", self.tr("Deci&mal mark"), self.mark),
            ("mass", self.tr("&Weights are in"), self.mass),
            ("temperature", self.tr("&Temperatures are in"), self.temperature),
            ("crop", self.tr("&Crop, if not told"), self.crop),
            ("place", self.tr("&Place, if not told"), self.place),
        ):
            self._add_line(key, label, editor)
        self._columns_title = QLabel(self.tr("What its columns mean"), side)
        self._columns_title.setObjectName("sectionTitle")
        self._form.addWidget(self._columns_title, self._form.rowCount(), 0, 1, 2)
        self._meanings: list[Choices] = []
        for number, head in enumerate(self.state.grid.heads):
            choices = Choices(14)
            self._meanings.append(choices)
            name = head or self.tr("Column {number}").format(number=number + 1)
            self._add_line(f"column {number}", name.replace("&", "&&"), choices)
        self._form.setRowStretch(self._form.rowCount(), 1)
        scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(side)
        bar = scroll.verticalScrollBar().sizeHint().width()
        scroll.setMinimumWidth(side.sizeHint().width() + bar)
        splitter = QSplitter(self)
        splitter.setChildrenCollapsible(False)
        splitter.addWidget(scroll)
        splitter.addWidget(self._table_side())
        splitter.setStretchFactor(1, 1)
        self._note = RefusalNote(self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.addWidget(splitter, 1)
        layout.addWidget(self._note)
        layout.addLayout(self._foot())
        self._connect()

    def _add_line(self, key: str, text: str, editor: QWidget) -> None:
        label = QLabel(text, self)
        label.setBuddy(editor)
        editor.setAccessibleName(text.replace("&&", "\0").replace("&", "").replace("\0", "&"))
        row = self._form.rowCount()
        self._form.addWidget(label, row, 0)
        self._form.addWidget(editor, row, 1)
        self._lines[key] = (label, editor)

    def _table_side(self) -> QWidget:
        side = QWidget(self)
        self.about = WrappedLabel(parent=side)
        self.only_wrong = QCheckBox(self.tr("&Only rows to mend"), side)
        self.model = TableInModel(ink(self), self)
        self.table = QTableView(side)
        self.table.setModel(self.model)
        self.table.setAccessibleName(self.tr("Rows of the table"))
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectItems)
        self.table.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft)
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        self.table.setTabKeyNavigation(False)
        layout = QVBoxLayout(side)
        layout.setContentsMargins(8, 0, 0, 0)
        layout.addWidget(self.about)
        layout.addWidget(self.only_wrong)
        layout.addWidget(self.table, 1)
        self.about_row = WrappedLabel(parent=side)
        layout.addWidget(self.about_row)
        return side

    def _foot(self) -> QHBoxLayout:
        self.right_button = QPushButton(self.tr("This row is &right"), self)
        self.right_button.setAutoDefault(False)
        self.right_button.setToolTip(
            self.tr("Take the row as it is, although it looks like a slip")
        )
        self.take_button = QPushButton(self)
        self.take_button.setDefault(True)
        self.close_button = QPushButton(self.tr("Cancel"), self)
        self.close_button.setAutoDefault(False)
        foot = QHBoxLayout()
        foot.addWidget(self.right_button)
        foot.addStretch(1)
        foot.addWidget(self.close_button)
        foot.addWidget(self.take_button)
        return foot

    def _connect(self) -> None:
        def kind_chosen() -> None:
            self._set_kind(cast(Kind, self.kind.value()))

        self.kind.currentIndexChanged.connect(kind_chosen)
        for choices, name in (
            (self.order, "date_order"),
            (self.mark, "decimal_mark"),
            (self.mass, "mass_unit"),
            (self.temperature, "temperature_unit"),
        ):
            choices.currentIndexChanged.connect(self._corrector(choices, name))
        for choices in (self.crop, self.place):
            choices.currentIndexChanged.connect(self._usual_chosen)
        for number, choices in enumerate(self._meanings):
            choices.currentIndexChanged.connect(self._meaning_chooser(number))
        self.model.mended.connect(self._mend)
        self.only_wrong.toggled.connect(self._show)
        self.right_button.clicked.connect(self.say_right)
        self.take_button.clicked.connect(self.take)
        self.close_button.clicked.connect(self.reject)
        self.table.selectionModel().currentChanged.connect(lambda *_: self._enable())
        QShortcut(QKeySequence("Ctrl+R"), self, self.say_right)

    def _corrector(self, choices: Choices, name: str) -> Callable[[], None]:
        def correct() -> None:
            doubtful = self.state.mapping.dates_doubtful and name != "date_order"
            corrected: dict[str, Any] = {name: choices.value(), "dates_doubtful": doubtful}
            mapping = replace(self.state.mapping, **corrected)
            self._look_over(replace(self.state, mapping=mapping))

        return correct

    def _meaning_chooser(self, number: int) -> Callable[[], None]:
        def choose() -> None:
            key = cast(str | None, self._meanings[number].value())
            meaning_of = list(self.state.mapping.meaning_of)
            if key is not None and key in meaning_of:
                # A meaning is given once: the column that had it is left out now.
                meaning_of[meaning_of.index(key)] = None
            meaning_of[number] = key
            mapping = replace(self.state.mapping, meaning_of=tuple(meaning_of))
            self._look_over(replace(self.state, mapping=mapping))

        return choose

    def _usual_chosen(self) -> None:
        usual = Usual(cast(str | None, self.crop.value()), cast(str | None, self.place.value()))
        self._look_over(replace(self.state, usual=usual))

    def _mend(self, row: int, column: int, text: str) -> None:
        self._look_over(replace(self.state, grid=self.state.grid.with_cell(row, column, text)))

    def say_right(self) -> None:
        """Take the chosen row although it looks like a slip."""
        index = self.table.currentIndex()
        trouble = self.model.trouble_of(index.row())
        if trouble is None or not trouble.asks:
            return
        number = self.model.number_of(index.row())
        answered = dict(self.state.answered)
        answered[number] = answered.get(number, frozenset()) | {"readings", "probe_mm", "count"}
        answered[number] |= {trouble.key, "feel_counts", "weight_kg", "picked_at", "pulp_c"}
        self._look_over(replace(self.state, answered=answered))

    # Looking over and showing

    def _set_kind(self, kind: Kind) -> None:
        state = replace(self.state, mapping=self._guess(self.state.grid, kind))
        for choices in self._meanings:
            with QSignalBlocker(choices):
                choices.set_choices(
                    [
                        (None, self.tr("leave out")),
                        *((m.key, meaning_name(m.key)) for m in MEANINGS[kind]),
                    ]
                )
        season = self.session.season
        for choices, offered in (
            (self.crop, [(key, crop_name(season.crops, key)) for key in season.crops]),
            (self.place, [(key, p.name) for key, p in season.book.places.items()]),
        ):
            with QSignalBlocker(choices):
                choices.set_choices([(None, self.tr("choose…")), *offered])
        self._look_over(state)

    def _look_over(self, state: TableState) -> None:
        """Read the table anew; what was at work for an older state is dropped."""
        if self._errand is not None:
            self._errand.drop()
            self._errand = None
        self.state = state
        season = self.session.season
        book, crops, now, zone = season.book, season.crops, season.now(), season.zone
        if len(state.grid.rows) <= _AT_ONCE:
            self._take_over(looked_over(state, book, crops, now, zone))
            return
        self.about.setText(self.tr("Looking the rows over…"))
        self.take_button.setEnabled(False)
        self._errand = self.session.plans.send(
            lambda _cancel, _tell: looked_over(state, book, crops, now, zone)
        )
        self._errand.ended.connect(self._on_looked_over)

    def _on_looked_over(self) -> None:
        errand, self._errand = self._errand, None
        if errand is None:
            return
        if errand.report_error():
            self.about.setText(self.tr("The rows could not be looked over. Nothing is lost."))
        elif errand.result is not None:
            self._take_over(errand.result)

    def _take_over(self, state: TableState) -> None:
        self.state = state
        mapping = state.mapping
        for choices, value in (
            (self.kind, mapping.kind),
            (self.order, mapping.date_order),
            (self.mark, mapping.decimal_mark),
            (self.mass, mapping.mass_unit),
            (self.temperature, mapping.temperature_unit),
            (self.crop, state.usual.crop),
            (self.place, state.usual.place_id),
            *zip(self._meanings, mapping.meaning_of, strict=True),
        ):
            with QSignalBlocker(choices):
                choices.choose(value)
        self._show_lines()
        self._show()

    def _show_lines(self) -> None:
        """Ask only for what matters to the columns that are there."""
        mapping = self.state.mapping
        there = set(mapping.meaning_of)
        needed = {
            "mass": "weight_kg" in there,
            "temperature": bool(there & {"pulp_c", "set_point_c"}),
            "crop": mapping.kind in ("picks", "market days"),
            "place": mapping.kind == "picks",
        }
        for key, shown in needed.items():
            for widget in self._lines[key]:
                widget.setVisible(shown)

    def _show(self) -> None:
        kept = self.table.currentIndex()
        spot = (kept.row(), kept.column())
        self.model.show_state(self.state, self.only_wrong.isChecked())
        self.table.resizeColumnsToContents()
        widest = self.fontMetrics().horizontalAdvance("n") * 40
        for column in range(self.model.columnCount()):
            self.table.setColumnWidth(column, min(self.table.columnWidth(column) + 8, widest))
        if spot[0] >= 0 and self.model.rowCount():
            row = min(spot[0], self.model.rowCount() - 1)
            self.table.setCurrentIndex(self.model.index(row, max(spot[1], 0)))
        self.about.setText(self._about())
        self._enable()

    def _about(self) -> str:
        state = self.state
        missing = state.mapping.missing()
        if missing:
            return self.tr("Say which column means: {what}.").format(
                what=", ".join(map(meaning_name, missing))
            )
        good, wrong = len(state.good), len(state.troubles)
        said = [self._how_many(good, good + wrong)]
        if wrong:
            said.append(
                self.tr(
                    "Mend the others here, in their cells, or leave them: what is right is taken, "
                    "and the rest stays in this window."
                )
                if good
                else self.tr("Mend them here, in their cells.")
            )
        if state.mapping.dates_doubtful:
            said.append(self.tr("Day and month could be the other way round: look at the dates."))
        return " ".join(said)

    def _how_many(self, good: int, of_all: int) -> str:
        if of_all == 1:
            return (
                self.tr("The row can be written down.")
                if good
                else self.tr("The row cannot be written down yet.")
            )
        return self.tr("{good} of {all} rows can be written down.").format(good=good, all=of_all)

    def _about_row(self, trouble: RowTrouble | None) -> str:
        """The whole reason why the chosen row cannot be taken: its column cuts long ones off."""
        if trouble is None:
            return ""
        said = self.model.words_of(trouble)
        if trouble.asks:
            said += self.tr(" If it is right all the same, press Ctrl+R.")
        number = self.model.number_of(self.table.currentIndex().row())
        return self.tr("Row {number}: {why}").format(number=number, why=said)

    def _enable(self) -> None:
        good = len(self.state.good)
        writable = self.session.season.read_only_because is None
        self.take_button.setText(
            self.tr("&Write down 1 row")
            if good == 1
            else self.tr("&Write down {count} rows").format(count=good)
        )
        self.take_button.setEnabled(good > 0 and writable and self._errand is None)
        if not writable:
            self.take_button.setToolTip(self.session.season.read_only_because or "")
        trouble = self.model.trouble_of(self.table.currentIndex().row())
        self.right_button.setEnabled(trouble is not None and trouble.asks)
        self.about_row.setText(self._about_row(trouble))
        self.only_wrong.setEnabled(bool(self.state.troubles))

    # Writing down

    def take(self) -> None:
        """Write down every row that is right; the others stay to be mended."""
        self._note.clear()
        state = self.state
        taken: list[int] = []

        def write() -> None:
            found = self.session.season.tables.take_in(
                state.kind, state.good, state.usual, state.name
            )
            taken.extend(found.taken)

        if not self.session.run("", write, self._tell):
            return
        self.taken += len(taken)
        self.session.say(
            self.tr("1 row is written down")
            if len(taken) == 1
            else self.tr("{count} rows are written down").format(count=len(taken))
        )
        left = state.without_taken(frozenset(taken))
        if not left.grid.rows:
            self.accept()
            return
        self.close_button.setText(self.tr("Leave the others"))
        self._look_over(left)

    def _tell(self, refusal: Refusal) -> bool:
        self._note.tell(refusal_text(refusal))
        return True

    def done(self, result: int) -> None:
        """Close; nobody waits for what is still looked over."""
        if self._errand is not None:
            self._errand.drop()
            self._errand = None
        super().done(result)
