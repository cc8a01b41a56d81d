"""Several seasons side by side: what became of each row of trees, year by year."""

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QPushButton, QWidget

from ripenroom.records.check import TreeLesson
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.orchard.orchard_types import RowFacts, SeasonRows
from ripenroom.texts import tr, tr_n
from ripenroom.window.dialogs import room_for
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.window.widgets.record_list import RecordsDialog
from ripenroom.window.widgets.table import Table, TableColumn
from ripenroom.window.widgets.table_view import Choice, TableView
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import by_name


class CompareSeasonsDialog(RecordsDialog):
    """A column for each season, a line for each row; rows of different seasons meet by their name.

    The files of other seasons are only read.
    """

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setWindowTitle(tr("Seasons side by side"))
        self.seasons: list[SeasonRows] = [session.season.ask.season_rows()]
        self.body.addWidget(
            WrappedLabel(
                tr(
                    "Add the files of earlier seasons: rows of the same name share a line. The "
                    "files are not changed."
                ),
                self,
            )
        )
        self.model: Table[str] = Table([], self, id_of=str, name_of=str)
        self.table = TableView(tr("Rows by season"), self.model, self, Choice.CELL)
        self.body.addWidget(self.table, 1)
        self.add_button = QPushButton(tr("&Add a season…"), self)
        self.add_button.clicked.connect(self._choose)
        self.learned = WrappedLabel(parent=self)
        self.take_button = QPushButton(tr("&Start from what they learned"), self)
        self.forget_button = QPushButton(tr("&Forget that"), self)
        self.take_button.clicked.connect(self._take_lessons)
        self.forget_button.clicked.connect(self._forget_lessons)
        buttons = QHBoxLayout()
        for button in (self.add_button, self.take_button, self.forget_button):
            button.setAutoDefault(False)
            buttons.addWidget(button)
        buttons.addStretch(1)
        self.body.addWidget(self.learned)
        self.body.addLayout(buttons)
        self._show_seasons()
        self.add_button.setFocus()
        room, line = room_for(self), self.fontMetrics().height()
        self.resize(min(52 * line, room.width()), min(34 * line, room.height()))

    def _choose(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self,
            tr("Another season"),
            str(self.session.season.path.parent),
            tr("Seasons (*.ripenroom);;All files (*)"),
        )
        if name:
            self.add_season(Path(name))

    def add_season(self, path: Path) -> None:
        """Read another season beside the window, and show it."""
        self.note.clear()
        ask = self.session.season.ask
        self.session.run_beside("", lambda: ask.rows_of_file(path), self._take, self._refuse)

    def _take(self, rows: SeasonRows) -> None:
        self.seasons.append(rows)
        self._show_seasons()

    def _refuse(self, refusal: Refusal) -> bool:
        self.note.tell(refusal.message)
        return True

    def _show_seasons(self) -> None:
        """A cell for each row of each season; empty where a season has no row of the name."""
        names = {facts.row.name for rows in self.seasons for facts in rows.facts}
        columns = [self._column(rows) for rows in self.seasons]
        self.model.show_rows(sorted(names, key=by_name), columns)
        self.table.resizeColumnsToContents()
        self.table.resizeRowsToContents()
        self._show_lessons()

    def _column(self, rows: SeasonRows) -> TableColumn[str]:
        facts_of = {facts.row.name: facts for facts in rows.facts}

        def said(name: str) -> str:
            facts = facts_of.get(name)
            return season_words(facts, rows, self.session.words) if facts else ""

        return TableColumn(rows.name, said)

    def _show_lessons(self) -> None:
        """From which seasons the rows begin, and how far off those forecasts were."""
        season, words = self.session.season, self.session.words
        said = [tree_lesson_words(lesson, words) for lesson in season.book.tree_lessons.values()]
        begins = tr("Rows start from: {lessons}.").format(lessons="; ".join(sorted(said)))
        self.learned.setText(begins if said else "")
        self.learned.setVisible(bool(said))
        writable = season.read_only_because is None
        offered = any(rows.lessons for rows in self.seasons)
        self.take_button.setEnabled(writable and offered)
        self.forget_button.setVisible(bool(said))
        self.forget_button.setEnabled(writable)

    def _take_lessons(self) -> None:
        lessons = [lesson for rows in self.seasons for lesson in rows.lessons]
        done = tr("Rows start from what other seasons learned. Ctrl+Z takes it back.")
        self.run(done, lambda: self.session.season.do(actions.lessons.take_of_trees, lessons))
        self._show_lessons()

    def _forget_lessons(self) -> None:
        self.run_deletion(lambda: self.session.season.do(actions.lessons.forget_of_trees))
        self._show_lessons()


def tree_lesson_words(lesson: TreeLesson, words: Formats) -> str:
    """``"Late pawpaws, 12 walks of 2025, forecasts off by 2.1 days half of the time"``."""
    walks = tr_n("{n} walk of {season}", "{n} walks of {season}", lesson.walks)
    parts = [
        lesson.cultivar or lesson.crop,
        walks.format(season=lesson.taught_by),
    ]
    if lesson.days_off is not None:
        off = tr("forecasts off by {n} days half of the time")
        parts.append(off.format(n=words.number(lesson.days_off, 1)))
    return ", ".join(parts)


def season_words(facts: RowFacts, rows: SeasonRows, words: Formats) -> str:
    """What became of a row in a season, a line for each thing that is known."""
    said, tally = [], facts.tally
    if facts.row.bloomed_on is not None:
        bloom = tr("bloom {day}")
        said.append(bloom.format(day=words.day(facts.row.bloomed_on)))
    if facts.row.id in rows.picked:
        first, last = rows.picked[facts.row.id]
        picked = tr("picked {first} to {last}")
        said.append(picked.format(first=words.day(first), last=words.day(last)))
    counted = facts.counted.fruit if facts.counted else 0.0
    for count, one in (
        (counted, tr("{n} counted")),
        (tally.picked, tr("{n} picked")),
        (float(facts.on_ground), tr("{n} fallen")),
        (tally.sold + tally.second, tr("{n} sold")),
    ):
        if count >= 1.0:
            said.append(one.format(n=words.number(count)))
    if facts.row.trees and tally.picked:
        tree = tr("{n} picked per tree")
        said.append(tree.format(n=words.number(tally.picked / facts.row.trees, 1)))
    return "\n".join(said)
