"""Lines about one crop each: added, taken away, and refused where two tell of one crop."""

import pytest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from ripenroom.records.refusal import Refusal
from ripenroom.window.forms.crop_rows import CropChoices, CropRow, CropRows
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import RefusalNote
from ripenroom.window.widgets.form_dialog import RefusalBoard
from ripenroom.window.widgets.inputs import TypedLine

CROPS = CropChoices([("pawpaw", "Pawpaw"), ("fig", "Fig")])


class Form(QWidget):
    """A form with such lines alone."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.board = RefusalBoard({}, RefusalNote(self), lambda: None)
        self.lines: CropRows[CropRow] = CropRows(self.board, self.another)
        self.setLayout(self.lines)

    def another(self) -> CropRow:
        number = [(TypedLine(5), "Fruit, {currency}")]
        made = self.lines.made
        row = CropRow(
            f"row_{made}", "Label", (CROPS, "Crop"), number, "Remove", self.session.words, self
        )
        row.crop.choose(self.lines.unused(CROPS))
        return self.lines.put(row)


@pytest.fixture
def form(qtbot: QtBot, session: Session) -> Form:
    made = Form(session)
    qtbot.addWidget(made)
    made.show()
    return made


def number_of(row: CropRow) -> TypedLine:
    line = row.editors[1]
    assert isinstance(line, TypedLine)
    return line


def test_each_line_takes_a_crop_that_none_has_yet(form: Form) -> None:
    rows = [form.another() for _ in range(3)]
    assert [row.crop.value() for row in rows][:2] == ["pawpaw", "fig"]
    assert form.lines.unused(CROPS) is None
    assert number_of(rows[0]).accessibleName() == f"Fruit, {form.session.words.currency_sign}"


def test_only_the_first_line_shows_its_label_and_one_is_always_there(form: Form) -> None:
    first, second = form.another(), form.another()
    assert [row.label.isHidden() for row in (first, second)] == [False, True]
    first.remove.click()
    assert form.lines.rows == [second]
    assert not second.label.isHidden()
    second.remove.click()
    (third,) = form.lines.rows
    assert third.key == "row_2"
    assert list(form.board.fields) == ["row_2"]


def test_a_crop_that_two_filled_lines_tell_of_is_refused_at_the_second(form: Form) -> None:
    first, second = form.another(), form.another()
    second.crop.choose(first.crop.value())
    number_of(first).setText("3")
    form.lines.refuse_twice("{crop} twice")
    number_of(second).setText("4")
    with pytest.raises(Refusal) as refused:
        form.lines.refuse_twice("{crop} twice")
    assert (refused.value.field, refused.value.message) == (second.key, "Pawpaw twice")


def test_a_line_without_a_crop_is_refused(form: Form) -> None:
    row = form.another()
    assert row.crop_key() == "pawpaw"
    row.crop.set_choices([(None, "choose…")])
    with pytest.raises(Refusal, match="Choose a crop"):
        row.crop_key()
