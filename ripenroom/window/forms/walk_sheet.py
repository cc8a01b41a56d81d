"""The walk sheet typed in: the same lines and columns as on paper, rows down, feels across."""

from datetime import datetime

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QWidget

from ripenroom.records.batch import FEELS, FeelCounts
from ripenroom.records.book import new_id
from ripenroom.records.orchard import Row, Walk
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.texts import tr, tr_n
from ripenroom.window.dialogs import room_for
from ripenroom.window.forms.walk import rows_to_walk
from ripenroom.window.plain import PlainLabel
from ripenroom.window.session import Session
from ripenroom.window.widgets.amount import AmountLine
from ripenroom.window.widgets.field import Field, RefusalNote, mark_refused
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import TypedLine
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.window.widgets.when import WhenEdit
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import begun, feel_names

_GROUND, _NOTE = len(FEELS), len(FEELS) + 1


class SheetLine:
    """The cells of one row of trees: a number for each feel, fruit on the ground, a note."""

    def __init__(self, row: Row, heads: tuple[str, ...], words: Formats, parent: QWidget) -> None:
        self.row = row
        self.numbers = [AmountLine(words, 3, parent=parent) for _ in range(_NOTE)]
        self.cells: list[TypedLine] = [*self.numbers, TypedLine(12, parent=parent)]
        self.total = PlainLabel(parent=parent)
        self.total.setObjectName("faint")
        self.note = RefusalNote(parent)
        for cell, head in zip(self.cells, heads, strict=True):
            cell.setAccessibleName(f"{row.name}: {head}")
        for number in self.numbers:
            number.setAlignment(Qt.AlignmentFlag.AlignRight)

    @property
    def is_empty(self) -> bool:
        """Whether nothing is typed in it."""
        return not any(cell.text().strip() for cell in self.cells)


class WalkSheetDialog(FormDialog):
    """Tab goes to the right and on to the next line, Enter to the next line, arrows up and down.

    Lines without a number are rows that nobody walked; all others are saved in one step.
    """

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.setWindowTitle(tr("Type in a walk sheet"))
        self.action_button.setText(tr("Save"))
        self.action_button.setEnabled(session.season.read_only_because is None)
        self.when = WhenEdit(session)
        self.add("at", Field(tr("&Walked"), self.when))
        self._heads = (
            *(begun(name) for name in feel_names()),
            tr("Ground"),
            tr("Note"),
        )
        self.lines = [
            SheetLine(row, self._heads, session.words, self) for row in rows_to_walk(session)
        ]
        self.sum = WrappedLabel(parent=self)
        self.sum.setObjectName("faint")
        self._lay_out()
        for line in self.lines:
            for cell in line.cells:
                cell.installEventFilter(self)
                cell.textChanged.connect(lambda _text: self._show_sums())
        self._show_sums()
        if self.lines:
            self.lines[0].cells[0].setFocus()
        height = self.fontMetrics().height()
        wanted = QSize(46 * height, (12 + 3 * len(self.lines)) * height)
        self.resize(wanted.boundedTo(QSize(room_for(self).width(), 40 * height)))

    def _lay_out(self) -> None:
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(4)
        for column, head in enumerate(
            (tr("Row"), *self._heads[:_GROUND], "", *self._heads[_GROUND:])
        ):
            label = PlainLabel(head, self)
            label.setObjectName("faint")
            grid.addWidget(label, 0, column)
        for number, line in enumerate(self.lines):
            at = 1 + 2 * number
            grid.addWidget(PlainLabel(line.row.name, self), at, 0)
            for n, cell in enumerate(line.cells):
                grid.addWidget(cell, at, 1 + n + (n >= _GROUND))
            grid.addWidget(line.total, at, 1 + _GROUND)
            grid.addWidget(line.note, at + 1, 0, 1, _NOTE + 3)
        grid.setColumnStretch(_NOTE + 2, 1)
        self.body.addLayout(grid)
        self.body.addWidget(self.sum)
        self.body.addStretch(1)

    def _show_sums(self) -> None:
        walked = 0
        for line in self.lines:
            counts = [number.whole() for number in line.numbers[:_GROUND]]
            felt = sum(count for count in counts if count)
            line.total.setText(tr("= {n}").format(n=felt) if felt else "")
            walked += not line.is_empty
        self.sum.setText(tr_n("{n} row walked", "{n} rows walked", walked))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter and the arrows go from line to line."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            spot = next(
                ((n, line.cells.index(watched)) for n, line in enumerate(self.lines)
                 if watched in line.cells),
                None,
            )  # fmt: skip
            if spot is not None and self._moved(event.key(), *spot):
                return True
        return super().eventFilter(watched, event)

    def _moved(self, key: int, line: int, column: int) -> bool:
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            line, column = line + 1, 0
        elif key == Qt.Key.Key_Down:
            line += 1
        elif key == Qt.Key.Key_Up:
            line -= 1
        else:
            return False
        if line >= len(self.lines):
            self.action_button.setFocus(Qt.FocusReason.TabFocusReason)
        elif line >= 0:
            cell = self.lines[line].cells[column]
            cell.setFocus(Qt.FocusReason.TabFocusReason)
            cell.selectAll()
        return True

    # Saving it

    def accept(self) -> None:
        """Save all lines in one step; a wrong one is shown where it stands, and none is saved."""
        for line in self.lines:
            line.note.clear()
            for cell in line.cells:
                mark_refused(cell, False)
        super().accept()

    def carry_out(self) -> None:
        """Save the rows that were walked."""
        at = self.when.moment()
        walks = [self._walk(line, at) for line in self.lines if not line.is_empty]
        self.session.season.do(actions.orchard.add_walks, walks)

    def done_text(self) -> str:
        """How many rows were walked."""
        walked = sum(not line.is_empty for line in self.lines)
        return tr_n("Walk of {n} row saved.", "Walk of {n} rows saved.", walked)

    def _walk(self, line: SheetLine, at: datetime) -> Walk:
        numbers = [self._number(line, n) for n in range(_GROUND + 1)]
        *felt, ground = numbers
        a, b, c, d, e = (count or 0 for count in felt)
        counts: FeelCounts | None = (a, b, c, d, e) if any(felt) else None
        walk = Walk(
            id=new_id(),
            row_id=line.row.id,
            at=at,
            feel_counts=counts,
            on_ground=ground,
            note=line.cells[_NOTE].text().strip(),
        )
        try:
            actions.orchard.add_walk(self.session.season.state, walk)  # looked at, not saved
        except Refusal as refusal:
            if refusal.field != "at":
                self._refuse(line, 0, refusal)
            raise
        return walk

    def _number(self, line: SheetLine, column: int) -> int | None:
        try:
            return line.numbers[column].count("")
        except Refusal as refusal:
            self._refuse(line, column, refusal)
            raise

    def _refuse(self, line: SheetLine, column: int, refusal: Refusal) -> None:
        mark_refused(line.cells[column], True)
        line.note.tell(refusal.message)
        line.cells[column].setFocus(Qt.FocusReason.OtherFocusReason)
