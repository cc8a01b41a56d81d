"""The dialog that takes a table in: what it holds, what its columns mean, which rows are right."""

from dataclasses import replace

from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from ripenroom.exchange.record_table.columns import (
    ColumnMapping,
    Kind,
    guess,
    guess_kind,
    unclear_date,
)
from ripenroom.exchange.record_table.grid import Grid
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.texts import tr, tr_n
from ripenroom.window.background.task import BackgroundTask
from ripenroom.window.dialogs import EnterDialog, room_for
from ripenroom.window.forms.grows import grown_in
from ripenroom.window.import_table.cells import CellTable, words_of
from ripenroom.window.import_table.corrections import Understood, meaning_name
from ripenroom.window.import_table.state import TableState, looked_over
from ripenroom.window.plain import set_hint, set_margins, within
from ripenroom.window.session import Session
from ripenroom.window.widgets.day_words import day_words
from ripenroom.window.widgets.field import RefusalNote
from ripenroom.window.widgets.layouts import WrappedLabel

_AT_ONCE = 400
"""So many rows are looked over in a moment; more go to a thread of their own."""


class TableInDialog(EnterDialog):
    """Shows a table from elsewhere as it was understood, until its rows are in the season."""

    def __init__(
        self, session: Session, grid: Grid, name: str, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.session = session
        self.setWindowTitle(tr("Import {name}").format(name=name))
        self._task: BackgroundTask[TableState] | None = None
        self.state = TableState(name, grid, self._guess(grid, guess_kind(grid)), self._usual())
        self.taken = 0
        self._fixed = 0
        """Cells that were fixed and are in no row that is saved, as far as is counted."""
        self._asked = False
        self._build()
        self._set_kind(self.state.kind)
        room = room_for(self)
        em = self.fontMetrics().horizontalAdvance("n")
        self.resize(min(em * 130, room.width()), min(em * 80, room.height()))

    def _guess(self, grid: Grid, kind: Kind) -> ColumnMapping:
        order, us = day_words(self.session.locale).order, self.session.words.season.units == "us"
        if order == "ymd":  # which says nothing of dates that end with their year
            order = "mdy" if us else "dmy"
        return guess(grid, kind, order, us=us)

    def _usual(self) -> actions.table_rows.ImportDefaults:
        """A crop or a place that need not be named where there is only one."""
        book = self.session.season.book
        used = grown_in(book, self.session.settings)
        return actions.table_rows.ImportDefaults(
            crop=next(iter(used)) if len(used) == 1 else None,
            place_id=next(iter(book.places)) if len(book.places) == 1 else None,
        )

    def _build(self) -> None:
        self.understood = Understood(self.session, self.state, self)
        splitter = within(QSplitter(self))
        splitter.setChildrenCollapsible(False)
        splitter.addWidget(self.understood)
        splitter.addWidget(self._table_side())
        splitter.setStretchFactor(1, 1)
        self._note = RefusalNote(self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.addWidget(splitter, 1)
        layout.addWidget(self._note)
        layout.addLayout(self._foot())
        self._connect()

    def _table_side(self) -> QWidget:
        side = QWidget(self)
        self.about = WrappedLabel(parent=side)
        self.only_wrong = QCheckBox(tr("&Only rows to fix"), side)
        self.table = CellTable(self._mend, side)
        self.model = self.table.table
        layout = QVBoxLayout(side)
        set_margins(layout, 8, 0, 0, 0)
        layout.addWidget(self.about)
        layout.addWidget(self.only_wrong)
        layout.addWidget(self.table, 1)
        self.about_row = WrappedLabel(parent=side)
        layout.addWidget(self.about_row)
        return side

    def _foot(self) -> QHBoxLayout:
        self.right_button = QPushButton(tr("This row is &right"), self)
        self.right_button.setAutoDefault(False)
        set_hint(self.right_button, tr("Save the row as it is, although it looks wrong"))
        self.take_button = QPushButton(self)
        self.take_button.setDefault(True)
        self.close_button = QPushButton(tr("Cancel"), self)
        self.close_button.setAutoDefault(False)
        foot = QHBoxLayout()
        foot.addWidget(self.right_button)
        foot.addStretch(1)
        foot.addWidget(self.close_button)
        foot.addWidget(self.take_button)
        return foot

    def _connect(self) -> None:
        self.understood.kindChosen.connect(self._set_kind)
        self.understood.corrected.connect(self._look_over)
        self.only_wrong.toggled.connect(self._show)
        self.right_button.clicked.connect(self.say_right)
        self.take_button.clicked.connect(self.take)
        self.close_button.clicked.connect(self.reject)
        self.table.selectionModel().currentChanged.connect(self._enable)
        QShortcut(QKeySequence("Ctrl+R"), self, self.say_right)

    @property
    def reading(self) -> bool:
        """Whether a thread reads the rows."""
        return self._task is not None

    def _mend(self, number: int, column: int, text: str) -> None:
        grid = self.state.grid
        if number not in grid.numbers:
            self._note.tell(tr("That row is saved already. Change it on its own page."))
            return
        self._fixed += 1
        self._asked = False
        row = grid.numbers.index(number)
        self._look_over(replace(self.state, grid=grid.with_cell(row, column, text)))

    def reject(self) -> None:
        """Throw no fixed cell away by one slip: with some that are not saved, ask once more."""
        if not self._fixed or self._asked:
            super().reject()
            return
        self._asked = True
        text = tr_n(
            "The cell you fixed is not saved yet. Press {button} again to throw it away.",
            "The {n} cells you fixed are not saved yet. Press {button} again to throw them away.",
            self._fixed,
        )
        leave = self.close_button.text().replace("&", "")
        self._note.tell(text.format(button=leave))

    def say_right(self) -> None:
        """Take the chosen row although it looks like a slip."""
        row, trouble = self.table.current(), self.table.trouble()
        if row is None or trouble is None or not trouble.asks:
            return
        number = row.number
        answered = dict(self.state.answered)
        answered[number] = answered.get(number, frozenset()) | {"readings", "probe_mm", "count"}
        answered[number] |= {trouble.key, "feel_counts", "weight_kg", "picked_at", "pulp_c"}
        self._look_over(replace(self.state, answered=answered))

    # Looking over and showing

    def _set_kind(self, kind: Kind) -> None:
        self.understood.offer(kind)
        self._look_over(replace(self.state, mapping=self._guess(self.state.grid, kind)))

    def _look_over(self, state: TableState) -> None:
        """Read the table anew; what was at work for an older state is dropped."""
        if self._task is not None:
            self._task.drop()
            self._task = None
        self.table.forget_postponed()
        self.state = state
        self.understood.follow(state)
        season = self.session.season.state
        if len(state.grid.rows) <= _AT_ONCE:
            self._take_over(looked_over(state, season))
            return
        self.about.setText(tr("Reading the rows…"))
        self.take_button.setEnabled(False)
        self._task = self.session.tasks.run(lambda _cancel, _tell: looked_over(state, season))
        self._task.ended.connect(self._on_looked_over)

    def _on_looked_over(self) -> None:
        task, self._task = self._task, None
        if task is None:
            return
        if task.report_error():
            self.about.setText(tr("The rows could not be read. Nothing is lost."))
        elif task.result is not None:
            self._take_over(task.result)

    def _take_over(self, state: TableState) -> None:
        self.state = state
        self.understood.show_state(state)
        self._show()

    def _show(self) -> None:
        self.table.show_state(self.state, only_wrong=self.only_wrong.isChecked())
        self.about.setText(self._about())
        self._enable()

    def _about(self) -> str:
        state = self.state
        missing = state.mapping.missing()
        if missing:
            return tr("Say which column means: {what}.").format(
                what=", ".join(map(meaning_name, missing))
            )
        good, wrong = len(state.good), len(state.troubles)
        said = [self._how_many(good, good + wrong)]
        if wrong:
            said.append(
                tr(
                    "Fix the others in their cells now or later: the right rows are saved, the "
                    "rest stay in this window."
                )
                if good
                else tr("Fix them in their cells.")
            )
        unclear = unclear_date(state.grid, state.mapping)
        if unclear is not None:
            written, day = unclear
            said.append(
                tr("“{written}” is read as {day}: if not, change “Dates are”.").format(
                    written=written, day=self.session.words.full_day(day)
                )
            )
        return " ".join(said)

    def _how_many(self, good: int, of_all: int) -> str:
        if of_all == 1:
            return tr("The row can be saved.") if good else tr("The row cannot be saved yet.")
        return tr("{good} of {all} rows can be saved.").format(good=good, all=of_all)

    def _about_row(self) -> str:
        """The whole reason why the chosen row cannot be taken: its column cuts long ones off."""
        row, trouble = self.table.current(), self.table.trouble()
        if row is None or trouble is None:
            return ""
        said = words_of(self.state, trouble)
        if trouble.asks:
            said += tr(" If it is right, press Ctrl+R.")
        return tr("Row {number}: {why}").format(number=row.number, why=said)

    def _enable(self) -> None:
        good = len(self.state.good)
        writable = self.session.season.read_only_because is None
        self.take_button.setText(tr_n("&Save {n} row", "&Save {n} rows", good))
        self.take_button.setEnabled(good > 0 and writable and self._task is None)
        if not writable:
            set_hint(self.take_button, self.session.season.read_only_because or "")
        trouble = self.table.trouble()
        self.right_button.setEnabled(trouble is not None and trouble.asks)
        self.about_row.setText(self._about_row())
        # Ticked it stays to be unticked: all rows would else be out of sight for good.
        self.only_wrong.setEnabled(bool(self.state.troubles) or self.only_wrong.isChecked())

    # Writing down

    def take(self) -> None:
        """Write down every row that is right; the others stay to be mended."""
        self._note.clear()
        state = self.state
        taken: list[int] = []

        def write() -> None:
            found = self.session.season.do(
                actions.table_import.take_in, state.kind, state.good, state.usual, state.name
            )
            taken.extend(found.taken)

        if not self.session.run("", write, self._tell):
            return
        self.taken += len(taken)
        self.session.say(tr_n("{n} row is saved", "{n} rows are saved", len(taken)))
        self._fixed = 0
        left = state.without_taken(frozenset(taken))
        if not left.grid.rows:
            self.accept()
            return
        self.close_button.setText(tr("Leave out the others"))
        self._look_over(left)

    def _tell(self, refusal: Refusal) -> bool:
        self._note.tell(refusal.message)
        return True

    def done(self, result: int) -> None:
        """Close; nobody waits for what is still looked over."""
        if self._task is not None:
            self._task.drop()
            self._task = None
        super().done(result)
