"""What was done with a batch: checks, moves and treatments, a line each, to be taken back."""

import operator
import threading
from collections.abc import Callable, Mapping
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QGridLayout, QPushButton, QVBoxLayout, QWidget

from ripenroom.records.check import Check
from ripenroom.season import actions
from ripenroom.texts import tr
from ripenroom.window.background.task import BackgroundTask, Progress
from ripenroom.window.forms import open_check
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import FlowLayout, WrappedLabel
from ripenroom.wording.checks import check_words

if TYPE_CHECKING:
    from ripenroom.season.date_shifts import DateShift


class HistoryList(QWidget):
    """Subclasses say in :meth:`refresh` which lines there are."""

    def __init__(
        self, session: Session, batch_id: str, heading: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.session = session
        self.batch_id = batch_id
        self.delete_buttons: list[QPushButton] = []
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(1, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        if heading:
            title = PlainLabel(heading, self)
            title.setObjectName("sectionTitle")
            layout.addWidget(title)
        layout.addLayout(self._grid)

    def refresh(self) -> None:
        """Show the lines as they are now."""
        raise NotImplementedError

    def clear(self) -> None:
        """Take all lines away."""
        self.delete_buttons = []
        while (item := self._grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()

    def when(self, at: datetime) -> str:
        """A moment in words, marked where it lies ahead."""
        moment = self.session.words.moment(at)
        if at > self.session.season.now():
            return tr("{moment} (planned)").format(moment=moment)
        return moment

    def add_line(self, line: int, when: str, what: str) -> None:
        """Show a line: since when, and what."""
        for column, text in enumerate((when, what)):
            label = PlainLabel(text, self)
            label.setWordWrap(column > 0)
            self._grid.addWidget(label, line, column)

    def add_delete(self, line: int, name: str, done: str, delete: Callable[[], None]) -> None:
        """Put a :meth:`delete_button` beside a line."""
        self._grid.addWidget(self.delete_button(name, done, delete), line, 2)

    def delete_button(self, name: str, done: str, delete: Callable[[], None]) -> QPushButton:
        """A button that deletes; ``name`` is what a listener hears, ``done`` is said after."""
        button = QPushButton(tr("Delete"), self)
        button.setAutoDefault(False)
        button.setAccessibleName(name)
        button.setEnabled(self.session.season.read_only_because is None)
        button.clicked.connect(lambda: self.session.run(done, delete))
        self.delete_buttons.append(button)
        return button


class CheckHistory(HistoryList):
    """Some lines per check; hidden where there is none.

    What each check changes is learned anew without it, beside the window; ``told`` follows. Until
    then, and while checks are learned from, a line says so: what was true before says nothing now.
    """

    told = Signal()

    def __init__(self, session: Session, batch_id: str, parent: QWidget | None = None) -> None:
        heading = tr("Checks")
        super().__init__(session, batch_id, heading, parent)
        self.pulls: dict[str, PlainLabel] = {}
        self.counted: dict[str, QCheckBox] = {}
        self.edit_buttons: list[QPushButton] = []
        self._task: BackgroundTask[Mapping[str, DateShift]] | None = None
        self._asked: tuple[object, ...] = ()
        self._known: Mapping[str, DateShift] = {}
        session.learning.working_changed.connect(self._word_all)

    def refresh(self) -> None:
        """Show the checks as they are now."""
        self.clear()
        self.pulls, self.counted, self.edit_buttons = {}, {}, []
        season = self.session.season
        batch = season.book.batches.get(self.batch_id)
        checks = [c for c in season.book.checks.values() if c.batch_id == self.batch_id]
        self.setVisible(bool(checks))
        self._ask_pulls(checks)
        crop = season.crops.get(batch.crop) if batch else None
        for line, check in enumerate(sorted(checks, key=lambda c: c.at)):
            found = check_words(check, crop, self.session.words)
            if check.note:
                found = f"{found} · {check.note}"
            self.add_line(3 * line, self.when(check.at), found)
            self._add_pull(3 * line + 1, check)
            self._add_buttons(3 * line + 2, check)

    def _add_pull(self, row: int, check: Check) -> None:
        label = WrappedLabel(parent=self)
        label.setObjectName("faint")
        self.pulls[check.id] = label
        self._grid.addWidget(label, row, 1, 1, 2)
        self._word(check.id)

    def _add_buttons(self, row: int, check: Check) -> None:
        season = self.session.season
        when = self.when(check.at)
        counted = QCheckBox(tr("counts"), self)
        counted.setChecked(check.counted)
        counted.setAccessibleName(tr("Check of {moment} counts").format(moment=when))
        set_hint(
            counted,
            tr("Untick to see the forecast without this check; the check is kept"),
        )
        counted.clicked.connect(
            lambda on, key=check.id: self.session.run(
                "", partial(season.do, actions.checks.count_in, key, on)
            )
        )
        edit = QPushButton(tr("Edit…"), self)
        edit.setAutoDefault(False)
        edit.setAccessibleName(tr("Edit the check of {moment}").format(moment=when))
        edit.clicked.connect(
            lambda _on=False, key=check.id: open_check(self.session, self.batch_id, self, key)
        )
        delete = self.delete_button(
            tr("Delete the check of {moment}").format(moment=when),
            tr("Check deleted. Ctrl+Z brings it back."),
            partial(season.do, actions.checks.delete, check.id),
        )
        holder = QWidget(self)
        row_of_buttons = FlowLayout(holder, spacing=6)
        for widget in (counted, edit, delete):
            row_of_buttons.addWidget(widget)
        for widget in (counted, edit):
            widget.setEnabled(season.read_only_because is None)
            if season.read_only_because is not None:
                set_hint(widget, season.read_only_because)
        self.counted[check.id] = counted
        self.edit_buttons.append(edit)
        self._grid.addWidget(holder, row, 1, 1, 2)

    # What each check changes

    def _ask_pulls(self, checks: list[Check]) -> None:
        season = self.session.season
        asked = (season.book, season.learned)
        if not checks or (self._asked and all(map(operator.is_, asked, self._asked))):
            return
        self._asked = asked
        self.stop()
        ask, batch_id = season.ask, self.batch_id

        def work(cancel: threading.Event, _tell: Progress) -> "Mapping[str, DateShift]":
            return ask.date_shifts(batch_id, cancel)

        self._task = self.session.tasks.run(work)
        self._task.ended.connect(self._take_pulls)

    def stop(self) -> None:
        """No one looks any more: what is being learned anew need not be."""
        if self._task is not None:
            self._task.drop()
            self._task = None

    def _take_pulls(self) -> None:
        task, self._task = self._task, None
        if task is None:
            return
        # Where nothing came of it, what a check changes is left out; the check itself stands there.
        self._known = task.result or {}
        self._word_all()
        if task.result is not None:
            self.told.emit()

    def _word_all(self) -> None:
        for check_id in self.pulls:
            self._word(check_id)

    def _word(self, check_id: str) -> None:
        from ripenroom.wording.checks import pull_words, surprise_words

        season = self.session.season
        check = season.book.checks.get(check_id)
        pull = self._known.get(check_id)
        fit = season.learned.checks.get(check_id) if season.learned else None
        if check is None:
            return
        crop = season.crops.get(season.book.batches[check.batch_id].crop)
        by_colour = crop is not None and crop.judged_by == "colour"
        parts = [surprise_words(fit, by_colour)] if fit is not None else []
        parts += [pull_words(pull, check.counted, self.session.words)] if pull else []
        if self._task is not None or self.session.learning.working:
            parts = [tr("what it changes is being worked out…")]
        if not check.counted:
            parts.insert(0, tr("left out"))
        self.pulls[check_id].setText("; ".join(part for part in parts if part))


class MoveTable(HistoryList):
    """One line per move: since when, and where."""

    def __init__(self, session: Session, batch_id: str, parent: QWidget | None = None) -> None:
        super().__init__(session, batch_id, parent=parent)

    def refresh(self) -> None:
        """Show the moves as they are now."""
        self.clear()
        season = self.session.season
        for line, move in enumerate(season.moves_of(self.batch_id)):
            place = season.book.places.get(move.place_id)
            when = self.when(move.at)
            self.add_line(line, when, place.name if place else "")
            # The first move says where the pick was put; without it the batch would be nowhere.
            if line > 0:
                self.add_delete(
                    line,
                    tr("Delete the move of {moment}").format(moment=when),
                    tr("Move deleted. Ctrl+Z brings it back."),
                    partial(season.do, actions.moves.delete, move.id),
                )


class TreatmentTable(HistoryList):
    """One line per treatment: since when, and how long; hidden where there is none."""

    def __init__(self, session: Session, batch_id: str, parent: QWidget | None = None) -> None:
        heading = tr("Ethylene")
        super().__init__(session, batch_id, heading, parent)

    def refresh(self) -> None:
        """Show the treatments as they are now."""
        self.clear()
        season, words = self.session.season, self.session.words
        found = [t for t in season.book.treatments.values() if t.batch_id == self.batch_id]
        self.setVisible(bool(found))
        for line, treatment in enumerate(sorted(found, key=lambda t: t.at)):
            when = self.when(treatment.at)
            hours = tr("{hours} h").format(hours=words.number(treatment.hours))
            self.add_line(line, when, hours)
            self.add_delete(
                line,
                tr("Delete the ethylene of {moment}").format(moment=when),
                tr("Ethylene deleted. Ctrl+Z brings it back."),
                partial(season.do, actions.batches.delete_treatment, treatment.id),
            )
