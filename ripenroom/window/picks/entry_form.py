"""Writing down a pick: fields, a sentence that says what will be made, and one button."""

import json
from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import date

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.batch import Batch
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.entry import PickEntry
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.texts import tr, tr_n
from ripenroom.window.dialogs import pressed_by_enter
from ripenroom.window.forms.pick_fields import MORE, PickFields, draft_key
from ripenroom.window.plain import set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field, RefusalNote
from ripenroom.window.widgets.form_dialog import RefusalBoard
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.window.widgets.refusal_place import RefusalPlace
from ripenroom.wording.names import feel_names


def what_it_makes(entry: PickEntry, crop: CropProfile) -> str:
    """``"Makes 3 batches: 9 slight give, 6 gives, 2 soft"``; empty before anything is counted.

    Where a weight says that more fruit were picked than felt, the sentence says how many, and asks.
    """
    if entry.feel_counts is None:
        return _by_weight(entry, crop)
    counts = entry.feel_counts
    parts = actions.picks.portions(entry, crop.fruit_mass_g.high / 1000.0)
    listed = ", ".join(
        f"{count} {name}" for count, name in zip(counts, feel_names(crop), strict=True) if count
    )
    many = len(parts)
    if many > 1:
        text = tr("Makes {many} batches: {parts}")
        return text.format(many=many, parts=listed)
    felt = sum(counts)
    if entry.count is not None and entry.count > felt:
        text = tr("Makes 1 batch of {count}; felt {felt} of them: {parts}")
        return text.format(count=entry.count, felt=felt, parts=listed)
    fruit = round(actions.picks.fruit_of(entry, crop))
    if entry.count is None and fruit != felt:
        text = tr(
            "Makes 1 batch: {felt} felt of about {fruit} by weight. Do the rest feel alike? If "
            "there are only {felt}, type {felt} as the count."
        )
        return text.format(felt=felt, fruit=fruit)
    return tr("Makes 1 batch: {parts}").format(parts=listed)


def _by_weight(entry: PickEntry, crop: CropProfile) -> str:
    if entry.count is not None or not entry.weight_kg:
        return ""
    text = tr("Makes 1 batch of about {fruit} by weight")
    return text.format(fruit=round(actions.picks.fruit_of(entry, crop)))


_LETTERS_WIDE = 150
"""Letters that the form is wide at most."""


_TYPED_ON = "typed_on"
"""In a draft: the day on which its moment was typed; empty where that is now."""

_MORE_USED = "picks/more_used"
"""Setting: "yes" where the last pick had something in the third line."""


class _Board(RefusalBoard):
    """Opens what is hidden before a refusal is shown at it."""

    def __init__(
        self,
        fields: Mapping[str, Field],
        rest: RefusalNote,
        again: Callable[[], None],
        open_for: Callable[[str], None],
    ) -> None:
        super().__init__(fields, rest, again)
        self._open_for = open_for

    def show(self, refusal: Refusal) -> bool:
        """Show a refusal where it can be seen."""
        self._open_for(refusal.field)
        return super().show(refusal)


class PickForm(QWidget):
    """Enter anywhere in the form adds the pick; the next one keeps row, cultivar and place."""

    added = Signal(object)  # the new batches

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.fields = PickFields(session, self, told_elsewhere=True)
        self.split = QCheckBox(self)
        self.split.setChecked(True)
        self.more = QPushButton(self)
        self.more.setCheckable(True)
        self.more.setAutoDefault(False)
        set_hint(self.more, tr("Row, gauge readings, fruit temperature and note"))
        self.sentence = WrappedLabel(parent=self)
        self.add_button = QPushButton(tr("&Add pick"), self)
        set_hint(self.add_button, tr("Add the pick (Enter)"))
        self.add_button.setProperty("leading", True)
        self.add_button.clicked.connect(self.add)
        note = RefusalNote(self)
        self.board = _Board(self.fields.fields, note, self.add, self._open_for)
        self.fields.make_offers(self.board)
        notes = [*dict.fromkeys(field.note for field in self.fields.fields.values()), note]
        self.told = RefusalPlace(notes, self)
        foot = self._foot = QHBoxLayout()
        foot.setSpacing(14)
        foot.addWidget(self.more)
        foot.addWidget(self.split)
        foot.addWidget(self.sentence, 1)
        foot.addWidget(self.add_button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(self.fields)
        layout.addLayout(foot)
        layout.addWidget(self.told)
        self._limit_width()
        self.fields.edited.connect(self._on_edited)
        session.changed.connect(self._leave_old_day)
        self.split.toggled.connect(self._show_sentence)
        self.more.toggled.connect(self._show_more)
        self.more.clicked.connect(self._enter_more)
        self.fields.judgedBy.connect(self._name_split)
        self._restore_draft()
        used = str(session.settings.value(_MORE_USED, "")) == "yes"
        self.more.setChecked(used or bool(self.fields.more_typed()))
        self._show_more()
        self._name_split(self.fields.judged_by)
        self._show_sentence()

    def add_to_foot(self, button: QPushButton) -> None:
        """Put one more button before the one that adds the pick."""
        self._foot.insertWidget(self._foot.indexOf(self.add_button), button)

    def changeEvent(self, event: QEvent) -> None:
        """A wider form for larger text."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._limit_width()

    def _limit_width(self) -> None:
        # A form across a whole wide screen is slow to read.
        self.setMaximumWidth(_LETTERS_WIDE * self.fontMetrics().horizontalAdvance("n"))

    def refresh(self) -> None:
        """Offer the season's rows, crops and places, and obey a read-only season."""
        self.fields.refresh()
        reason = self.session.season.read_only_because
        self.add_button.setEnabled(reason is None)
        self._show_sentence()

    def add(self) -> None:
        """Add the pick; what was typed stays if it is refused."""
        self.board.clear()
        made: list[Batch] = []

        def command() -> None:
            entry = self.fields.entry(
                split_by_feel=self.split.isChecked(), answered=self.board.answered
            )
            made.extend(self.session.season.do(actions.picks.add, entry))

        if not self.session.run("", command, self.board.show):
            return
        codes = ", ".join(batch.code for batch in made)
        self.session.say(
            tr_n("Added {n} batch: {codes}", "Added {n} batches: {codes}", len(made)).format(
                codes=codes
            )
        )
        self.session.settings.setValue(_MORE_USED, "yes" if self.fields.more_typed() else "no")
        self.board.forget_answers()
        self.fields.clear_what_differs()
        self._show_sentence()
        self.focus_counts()
        self.added.emit(tuple(made))

    def _leave_old_day(self) -> None:
        """A day that was typed is for the picks entered then. On another day an empty form is at
        now again, lest that day's picks get last week's date."""
        when, today = self.fields.when, self.session.season.now().date()
        if when.typed_on not in (None, today) and not self.fields.any_fruit():
            when.follow_now()

    def focus_counts(self) -> None:
        """Be ready for the next counts."""
        self.fields.counts_line.setFocus(Qt.FocusReason.OtherFocusReason)

    def keep_draft(self) -> None:
        """Keep what is typed in the settings, for when the window opens again."""
        state, typed_on = self.fields.state(), self.fields.when.typed_on
        state[_TYPED_ON] = typed_on.isoformat() if typed_on is not None else ""
        self.session.settings.setValue(self._draft_key(), json.dumps(state))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter adds, wherever in the form it is pressed but on another button."""
        if pressed_by_enter(event):
            return
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.add()
        else:
            super().keyPressEvent(event)

    def _show_more(self) -> None:
        """Show or hide the third line; while it is hidden, the button says what is in it."""
        shown, typed = self.more.isChecked(), self.fields.more_typed()
        self.fields.show_more(shown)
        self.more.setText(
            tr("Fewe&r fields")
            if shown
            else tr("Mo&re: {filled}").format(filled=", ".join(typed).lower())
            if typed
            else tr("Mo&re…")
        )

    def _enter_more(self) -> None:
        """Opened by hand, the line takes the keyboard."""
        if self.more.isChecked():
            self.fields.row.setFocus(Qt.FocusReason.OtherFocusReason)

    def _open_for(self, field: str) -> None:
        """A refusal of a hidden field brings it into sight."""
        if field in MORE:
            self.more.setChecked(True)

    def _name_split(self, judged_by: str) -> None:
        """What batches are made of is felt, seen, or not asked for."""
        self.split.setVisible(judged_by != "nothing")
        if judged_by == "colour":
            self.split.setText(tr("One &batch per color"))
            set_hint(
                self.split,
                tr("Fruit of one color ripens together: each color becomes a batch"),
            )
        else:
            self.split.setText(tr("One &batch per feel"))
            set_hint(
                self.split,
                tr("Fruit of one feel ripens together: each feel becomes a batch"),
            )

    def _draft_key(self) -> str:
        return draft_key(self.session.season.book.season.id)

    def _restore_draft(self) -> None:
        kept = self.session.settings.value(self._draft_key(), "")
        try:
            state = json.loads(str(kept)) if kept else {}
        except json.JSONDecodeError:
            return  # a damaged settings file costs a draft, not the window
        if isinstance(state, dict) and state:
            self.fields.restore({str(name): str(text) for name, text in state.items()})
            with suppress(ValueError):  # as it was kept, or by an older program not at all
                self.fields.when.typed_on = date.fromisoformat(str(state.get(_TYPED_ON, "")))
            self._leave_old_day()

    def _on_edited(self) -> None:
        # What was confirmed was another input.
        self.board.forget_answers()
        self.board.clear()
        self._show_sentence()

    def _show_sentence(self) -> None:
        try:
            entry = self.fields.entry(split_by_feel=self.split.isChecked())
        except Refusal:
            self.sentence.setText("")
        else:
            crop = self.session.season.crops.get(entry.crop)
            self.sentence.setText("" if crop is None else what_it_makes(entry, crop))
