"""A squeeze walk: one row at a time, one tap for each fruit, and on to the next row."""

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QApplication, QHBoxLayout, QLineEdit, QPushButton, QWidget

from ripenroom.records.book import new_id
from ripenroom.records.entry import parse_feel_counts
from ripenroom.records.orchard import Row, Walk
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.texts import tr, tr_n
from ripenroom.window.dialogs import room_for
from ripenroom.window.forms.check_inputs import HandCounts
from ripenroom.window.session import Session
from ripenroom.window.widgets.amount import AmountLine
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine
from ripenroom.window.widgets.layouts import WrappedLabel, tab_as_laid_out
from ripenroom.window.widgets.when import WhenEdit
from ripenroom.wording.names import by_name


def rows_to_walk(session: Session) -> list[Row]:
    """The rows of trees in the order of the walk sheet."""
    return sorted(session.season.book.rows.values(), key=lambda row: by_name(row.name))


class WalkDialog(FormDialog):
    """Five large buttons as on a check; typed counts, fruit on the ground and a note beside them.

    With ``walk_id`` that walk is shown to be corrected.
    """

    def __init__(
        self,
        session: Session,
        row_id: str | None = None,
        walk_id: str | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(session, parent)
        self._kept = session.season.book.walks.get(walk_id or "")
        self._then = False
        self._saved = ""
        self.setWindowTitle(tr("Edit a squeeze walk") if self._kept else tr("Squeeze walk"))
        self.row = RecordChoice(20)
        self.row.set_choices([(row.id, row.name) for row in rows_to_walk(session)])
        self.hand = HandCounts(self)
        self.counts = TypedLine(14, tr("21 6 3 0"))
        self.ground = AmountLine(session.words)
        self.when, self.note = WhenEdit(session), TypedLine(14)
        self.about, self.done_words = WrappedLabel(parent=self), WrappedLabel(parent=self)
        self.done_words.setObjectName("faint")
        self.next_button = QPushButton(tr("Save, &next row"), self)
        self.next_button.setAutoDefault(False)
        self.next_button.setVisible(self._kept is None)
        self.action_button.setText(tr("Save"))
        self.buttons.insertWidget(1, self.next_button)
        self.setTabOrder(self.action_button, self.next_button)
        self._lay_out()
        self.row.currentIndexChanged.connect(lambda _index: self._show_row())
        self.hand.changed.connect(self._on_tapped)
        self.counts.editingFinished.connect(self._on_typed)
        self.next_button.clicked.connect(self._go_on)
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.focusChanged.connect(self._on_focus)
        if self._kept is not None:
            self._show_walk(self._kept)
        elif row_id is not None:
            self.row.choose(row_id)
        self._show_row()
        self.hand.setFocus()
        line = self.fontMetrics().height()
        self.resize(QSize(44 * line, 34 * line).boundedTo(room_for(self)))

    def _lay_out(self) -> None:
        top, foot = QHBoxLayout(), QHBoxLayout()
        for name, label, editor, box in (
            ("row_id", tr("&Row"), self.row, top),
            ("at", tr("&When"), self.when, top),
            ("feel_counts", tr("Or &type the counts, hard first"), self.counts, foot),
            ("on_ground", tr("On the &ground"), self.ground, foot),
            ("note", tr("N&ote"), self.note, foot),
        ):
            field = Field(label, editor)
            self.board.fields[name] = field
            box.addWidget(field, 1)
            box.setSpacing(12)
        self.body.addLayout(top)
        self.body.addWidget(self.about)
        self.body.addWidget(self.hand, 1)
        self.body.addLayout(foot)
        self.body.addWidget(self.done_words)
        tab_as_laid_out(self.body)

    # One row

    def _show_row(self) -> None:
        """Say which trees they are, and name the buttons as their crop's fruit are told apart."""
        season, words = self.session.season, self.session.words
        row = season.book.rows.get(str(self.row.value()))
        cultivar = season.book.cultivars.get(row.cultivar_id or "") if row else None
        self.hand.show_crop(season.crops.get(cultivar.crop) if cultivar else None)
        parts = [cultivar.name if cultivar else ""]
        if row is not None and row.trees is not None:
            trees = tr_n("{n} tree", "{n} trees", row.trees)
            parts.append(trees.format(n=row.trees))
        before = [w for w in season.book.walks.values() if row is not None and w.row_id == row.id]
        if before and self._kept is None:
            latest = max(before, key=lambda walk: walk.at)
            parts.append(tr("last walk {day}").format(day=words.day(latest.at)))
        parts.append(tr("Squeeze about thirty fruit as they come, and pick none."))
        self.about.setText(" · ".join(part for part in parts if part))
        writable = season.read_only_because is None and row is not None
        self.action_button.setEnabled(writable)
        self.next_button.setEnabled(writable and self._following() is not None)

    def _show_walk(self, walk: Walk) -> None:
        self.row.choose(walk.row_id)
        self.hand.set_counts(walk.feel_counts)
        self.counts.setText(" ".join(map(str, walk.feel_counts or ())))
        self.ground.show_amount(walk.on_ground)
        self.note.setText(walk.note)
        self.when.set_moment(walk.at)

    def _following(self) -> str | None:
        """The row after this one."""
        after = self.row.currentIndex() + 1
        rows = rows_to_walk(self.session)
        return rows[after].id if 0 < after < len(rows) else None

    def _on_tapped(self) -> None:
        self.board.clear()
        self.counts.setText(" ".join(map(str, self.hand.counts() or ())))

    def _on_typed(self) -> None:
        """Show typed counts on the buttons, or say why they cannot be read."""
        if not self.counts.isModified():  # only the keyboard has left
            return
        self.counts.setModified(False)
        try:
            self.hand.set_counts(self._typed_counts())
        except Refusal as refusal:
            self.board.show(refusal)
        else:
            self.board.fields["feel_counts"].clear_refusal()

    def _typed_counts(self) -> tuple[int, int, int, int, int] | None:
        typed = self.counts.text().strip()
        return parse_feel_counts(typed) if typed else None

    def _on_focus(self, _before: QWidget | None, now: QWidget | None) -> None:
        # While something is typed its digits are no squeezes.
        self.hand.use_keys(not isinstance(now, QLineEdit))

    def loses_typed(self) -> bool:
        """What was squeezed counts too."""
        kept = self._kept.feel_counts if self._kept else None
        return self.hand.counts() != kept or super().loses_typed()

    # Saving it, going on

    def _go_on(self) -> None:
        self._then = True
        self.accept()

    def accept(self) -> None:
        """Save the walk; then close, or go on to the next row."""
        following, self._then = self._following() if self._then else None, False
        self.board.clear()
        if not self.session.run("", self.carry_out, self.board.show):
            return
        self.session.say(self._saved)
        if following is None:
            self.done(WalkDialog.DialogCode.Accepted)
            return
        self.done_words.setText(self._saved)
        self.hand.set_counts(None)
        for line in (self.counts, self.ground, self.note):
            line.clear()
        self._typed_texts.forget()
        self.row.choose(following)
        self.hand.setFocus()

    def carry_out(self) -> None:
        """Save what was counted in the row."""
        walk = Walk(
            id=self._kept.id if self._kept else new_id(),
            row_id=str(self.row.value()),
            at=self.when.moment(),
            feel_counts=self._typed_counts(),
            on_ground=self.ground.count("on_ground"),
            note=self.note.text().strip(),
        )
        season = self.session.season
        season.do(actions.orchard.change_walk if self._kept else actions.orchard.add_walk, walk)
        felt = sum(walk.feel_counts or ())
        self._saved = tr("{row}: {felt} fruit squeezed. Saved.").format(
            row=season.book.rows[walk.row_id].name, felt=felt
        )
