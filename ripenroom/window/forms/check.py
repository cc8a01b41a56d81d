"""Writing down a check in seconds, and going on to the next batch."""

from dataclasses import replace

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from ripenroom.records.batch import Batch
from ripenroom.records.check import Check
from ripenroom.records.entry import CheckEntry
from ripenroom.season import actions
from ripenroom.season.amounts import fruit_left
from ripenroom.texts import tr
from ripenroom.window.dialogs import room_for
from ripenroom.window.forms.check_counting import Counting, Draft
from ripenroom.window.plain import PlainLabel, set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import TypedLine
from ripenroom.window.widgets.layouts import WrappedLabel, tab_as_laid_out
from ripenroom.window.widgets.when import WhenEdit
from ripenroom.wording.batch_facts import next_date
from ripenroom.wording.checks import check_words
from ripenroom.wording.names import crop_name


class CheckDialog(FormDialog):
    """One batch at a time, and which batch to squeeze next.

    With ``check_id`` that check is shown to be mended. What was counted is kept when the dialog is
    left without writing it down, and is there again when the batch is checked next.
    """

    def __init__(
        self,
        session: Session,
        batch_id: str,
        check_id: str | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(session, parent)
        self._mended = session.season.book.checks.get(check_id or "")
        self._seen: list[str] = []
        self._next: str | None = None
        self._then: str | None = None
        self._written = ""
        self.batch_id = batch_id
        self._title = PlainLabel(parent=self)
        self._title.setObjectName("pageTitle")
        self._title.setWordWrap(True)
        self._about, self._done = WrappedLabel(parent=self), WrappedLabel(parent=self)
        self._done.setObjectName("faint")
        self.counting = Counting(session, self)
        self.counting.show_on(self.board)
        self.when = WhenEdit(session)
        self.note = TypedLine(14)
        self.next_button = QPushButton(self)
        self.next_button.setAutoDefault(False)
        self._lay_out()
        self.action_button.clicked.disconnect(self.accept)
        self.action_button.clicked.connect(self._finish)
        self.next_button.clicked.connect(self._go_on)
        self.counting.changed.connect(self._on_counted)
        self._load(batch_id)
        if self._mended is not None:
            self._show_check(self._mended)
        line = self.fontMetrics().height()
        self.resize(QSize(47 * line, 38 * line).boundedTo(room_for(self)))

    def _lay_out(self) -> None:
        foot = QHBoxLayout()
        foot.setSpacing(12)
        for name, field in (
            ("at", Field(tr("&When"), self.when)),
            ("note", Field(tr("N&ote"), self.note)),
        ):
            self.board.fields[name] = field
            foot.addWidget(field, 1)
        self.body.addWidget(self._title)
        self.body.addWidget(self._about)
        self.body.addWidget(self.counting, 1)
        self.body.addLayout(foot)
        self.body.addWidget(self._done)
        tab_as_laid_out(self.body)
        self.buttons.insertWidget(0, self.next_button)

    # One batch

    def _load(self, batch_id: str) -> None:
        """Begin with a batch."""
        self.batch_id = batch_id
        self._seen.append(batch_id)
        season, mending = self.session.season, self._mended is not None
        title = tr("Edit a check of {code}") if mending else tr("Check {code}")
        title = title.format(code=season.book.batches[batch_id].code)
        self.setWindowTitle(title)
        self._title.setText(title)
        self._about.setText(self._about_words())
        self.when.follow_now()
        draft = None if mending else Draft.kept(self.session.settings, season.book.season.id)
        if draft is not None and draft.batch_id != batch_id:
            draft = None
        if draft is not None:
            self._done.setText(tr("What you counted before is still here."))
        self.note.setText(draft.note if draft else "")
        self._next = None if mending else self._next_batch()
        self.next_button.setVisible(not mending)
        self.next_button.setEnabled(self._next is not None)
        self.action_button.setText(tr("Save"))
        self.action_button.setEnabled(season.read_only_because is None)
        set_hint(self.action_button, season.read_only_because or "")
        self.counting.show_batch(batch_id, draft)

    def _about_words(self) -> str:
        season = self.session.season
        batch = season.book.batches[self.batch_id]
        cultivar = season.book.cultivars.get(batch.cultivar_id or "")
        place = season.place_of(batch.id)
        parts = [
            cultivar.name if cultivar else crop_name(season.crops, batch.crop),
            place.name if place else "",
            tr("{n} left").format(n=self._left_words(batch)),
            next_date(self.session, batch.id),
        ]
        return " · ".join(part for part in parts if part)

    def _left_words(self, batch: Batch) -> str:
        """As the list of batches says it: of a weighed batch the nearest whole number."""
        season = self.session.season
        known = batch.crop in season.crops
        left = fruit_left(season.book, season.crops, batch, season.now()) if known else 0.0
        return self.session.words.number(left)

    def _show_check(self, check: Check) -> None:
        self.when.set_moment(check.at)
        self.note.setText(check.note)
        self.counting.show_check(check)

    def _on_counted(self) -> None:
        self.board.clear()
        self.board.forget_answers()
        self.next_button.setText(self._next_words())

    # Writing it down, going on

    def _next_batch(self) -> str | None:
        """What the plan gains most from, else what is least sure."""
        season = self.session.season
        seen = {*self._seen, *season.ask.checked_lately()}
        worth = [advice.batch_id for advice in self.session.plans.check_next]
        worth += season.worth_checking()
        left = (i for i in worth if i not in seen and i in season.book.batches)
        return next((batch_id for batch_id in left if season.ask.fruit_left(batch_id) > 0), None)

    def _next_words(self) -> str:
        if self._next is None:
            return tr("No other batch needs a check")
        code = self.session.season.book.batches[self._next].code
        if self.counting.number:
            return tr("Save, &next: {code}").format(code=code)
        return tr("&Next: {code}").format(code=code)

    def _finish(self) -> None:
        self._then = None
        self.accept()

    def _go_on(self) -> None:
        self._then = self._next
        if self.counting.number:
            self.accept()
        elif self._next is not None:
            self._load(self._next)

    def accept(self) -> None:
        """Write the check down; then close, or go on to the next batch."""
        self.board.clear()
        if not self.session.run("", self.carry_out, self.board.show):
            return
        self.board.forget_answers()
        self.session.say(self._written)
        if self._then is None:
            self.done(CheckDialog.DialogCode.Accepted)
        else:
            self._done.setText(self._written)
            self._load(self._then)

    def loses_typed(self) -> bool:
        """What is mended; anything else is kept for the next check."""
        mended = self._mended
        if mended is None:
            return False
        return self.counting.hand.counts() != mended.feel_counts or super().loses_typed()

    def reject(self) -> None:
        """Close; what was counted is kept."""
        if self._mended is None:
            counting = self.counting
            draft = Draft(
                self.batch_id,
                counting.hand.counts(),
                counting.gauge.input.line.text(),
                self.note.text(),
            )
            draft.keep(self.session.settings, self.session.season.book.season.id)
        super().reject()

    def carry_out(self) -> None:
        """Write down, or mend, what was counted."""
        season, answered = self.session.season, self.board.answered
        read = self.counting.read(self.batch_id, self.when.moment(), self.note.text().strip())
        if self._mended is not None:
            check = replace(read, id=self._mended.id, counted=self._mended.counted)
            season.do(actions.checks.change, check, answered)
        else:
            check = season.do(
                actions.checks.add,
                CheckEntry(
                    batch_id=read.batch_id,
                    at=read.at,
                    feel_counts=read.feel_counts,
                    readings=read.readings,
                    reading_unit=read.reading_unit,
                    probe_mm=read.probe_mm,
                    note=read.note,
                    answered=answered,
                ),
            )
            Draft.forget(self.session.settings, season.book.season.id)
        batch = season.book.batches[self.batch_id]
        found = check_words(check, season.crops.get(batch.crop), self.session.words)
        text = tr("{code}: {found}, saved.")
        self._written = text.format(code=batch.code, found=found)
