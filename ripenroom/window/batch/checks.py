"""The checks of a batch: what each found, what it changes, and buttons to mend or drop it."""

import operator
import threading
from collections.abc import Mapping
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, Signal
from PySide6.QtWidgets import QCheckBox, QPushButton, QWidget

from ripenroom.records.check import Check
from ripenroom.season import actions
from ripenroom.window.background.task import BackgroundTask, Progress
from ripenroom.window.batch.deed_list import DeedList
from ripenroom.window.checks import open_check
from ripenroom.window.checks.words import check_words
from ripenroom.window.forms.flow import FlowLayout
from ripenroom.window.forms.wrapped_label import WrappedLabel
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.session import Session

if TYPE_CHECKING:
    from ripenroom.season.taught import Taught


class CheckTable(DeedList):
    """Some lines per check; hidden where there is none.

    What each check changes is learned anew without it, beside the window; ``told`` follows.
    """

    told = Signal()

    def __init__(self, session: Session, batch_id: str, parent: QWidget | None = None) -> None:
        heading = QCoreApplication.translate("CheckTable", "Checks")
        super().__init__(session, batch_id, heading, parent)
        self.pulls: dict[str, PlainLabel] = {}
        self.counted: dict[str, QCheckBox] = {}
        self.edit_buttons: list[QPushButton] = []
        self._task: BackgroundTask[Mapping[str, Taught]] | None = None
        self._asked: tuple[object, ...] = ()
        self._known: Mapping[str, Taught] = {}

    def refresh(self) -> None:
        """Show the checks as they are now."""
        self.clear()
        self.pulls, self.counted, self.edit_buttons = {}, {}, []
        season = self.session.season
        batch = season.book.batches.get(self.batch_id)
        checks = [c for c in season.book.checks.values() if c.batch_id == self.batch_id]
        self.setVisible(bool(checks))
        crop = season.crops.get(batch.crop) if batch else None
        for line, check in enumerate(sorted(checks, key=lambda c: c.at)):
            found = check_words(check, crop, self.session.words)
            if check.note:
                found = f"{found} · {check.note}"
            self.add_line(3 * line, self.when(check.at), found)
            self._add_pull(3 * line + 1, check)
            self._add_buttons(3 * line + 2, check)
        self._ask_pulls(checks)

    def _add_pull(self, row: int, check: Check) -> None:
        label = WrappedLabel(parent=self)
        label.setObjectName("faint")
        self.pulls[check.id] = label
        self._grid.addWidget(label, row, 1, 1, 2)
        self._word(check.id)

    def _add_buttons(self, row: int, check: Check) -> None:
        season = self.session.season
        when = self.when(check.at)
        counted = QCheckBox(self.tr("counts"), self)
        counted.setChecked(check.counted)
        counted.setAccessibleName(self.tr("Check of {moment} counts").format(moment=when))
        set_hint(
            counted,
            self.tr("Take the tick away to see the forecast without this check; it stays noted"),
        )
        counted.clicked.connect(
            lambda on, key=check.id: self.session.run(
                "", partial(season.do, actions.checks.count_in, key, on)
            )
        )
        edit = QPushButton(self.tr("Edit…"), self)
        edit.setAutoDefault(False)
        edit.setAccessibleName(self.tr("Edit check of {moment}").format(moment=when))
        edit.clicked.connect(
            lambda _on=False, key=check.id: open_check(self.session, self.batch_id, self, key)
        )
        delete = self.delete_button(
            self.tr("Delete check of {moment}").format(moment=when),
            self.tr("Check deleted. Ctrl+Z brings it back."),
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

        def work(cancel: threading.Event, _tell: Progress) -> "Mapping[str, Taught]":
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
        if task is None or task.result is None:
            return  # what a check changes is left out; the check itself stands there
        self._known = task.result
        for check_id in self.pulls:
            self._word(check_id)
        self.told.emit()

    def _word(self, check_id: str) -> None:
        from ripenroom.window.learning.words import pull_words, surprise_words

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
        if not check.counted:
            parts.insert(0, self.tr("left out"))
        self.pulls[check_id].setText("; ".join(part for part in parts if part))
