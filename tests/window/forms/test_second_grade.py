"""What second grade brings."""

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.window.forms.second_grade import SecondGradeDialog
from ripenroom.window.session import Session


@pytest.fixture
def form(qtbot: QtBot, session: Session) -> SecondGradeDialog:
    made = SecondGradeDialog(session)
    qtbot.addWidget(made)
    made.show()
    return made


def grades(session: Session) -> dict[str, tuple[int, int | None]]:
    found = session.season.book.second_grades.values()
    return {grade.crop: (grade.price_minor, grade.fruit_per_day) for grade in found}


def test_prices_are_changed_and_added_in_one_step(
    form: SecondGradeDialog, session: Session
) -> None:
    before = session.season.book
    assert form.rows[0].price.text() == session.words.number(0.4, 2)
    form.rows[0].price.setText(session.words.number(0.35, 2))
    form.more.click()
    pear = form.rows[1]
    assert pear.crop.value() != "pawpaw"
    assert pear.crop.choose("pear")
    pear.price.setText("0")
    form.action_button.click()
    assert not form.isVisible()
    assert grades(session) == {"pawpaw": (35, 40), "pear": (0, None)}
    session.season.undo()
    assert session.season.book == before


def test_a_line_taken_out_is_no_second_grade_any_more(
    form: SecondGradeDialog, session: Session
) -> None:
    form.rows[0].remove.click()
    assert len(form.rows) == 1
    form.action_button.click()
    assert grades(session) == {}


@pytest.mark.parametrize(
    ("price", "per_day", "word"),
    [
        ("", "5", "Type a price"),
        ("cheap", "", "cheap"),
        ("1", "many", "many"),
        ("1", "0", "a number above 0"),
    ],
)
def test_what_cannot_be_is_refused_at_its_line(
    form: SecondGradeDialog, session: Session, price: str, per_day: str, word: str
) -> None:
    before = session.season.book
    form.more.click()
    form.rows[1].price.setText(price)
    form.rows[1].per_day.setText(per_day)
    form.action_button.click()
    assert form.isVisible()
    assert word in form.rows[1].note.text
    assert form.rows[0].note.text == ""
    assert session.season.book is before


def test_a_refused_price_alone_is_marked_and_has_the_keyboard(
    form: SecondGradeDialog, qtbot: QtBot
) -> None:
    form.activateWindow()
    qtbot.waitUntil(form.isActiveWindow)
    row = form.rows[0]
    row.price.setText("cheap")
    form.action_button.click()
    assert [editor for editor in row.editors if editor.property("refused")] == [row.price]
    assert row.price.hasFocus()
    row.price.setText("1")
    form.action_button.click()
    assert not form.isVisible()
    assert not row.price.property("refused")


def test_a_crop_twice_is_refused_at_the_second_line(form: SecondGradeDialog) -> None:
    form.more.click()
    form.rows[1].crop.choose("pawpaw")
    form.rows[1].price.setText("1")
    form.action_button.click()
    assert "twice" in form.rows[1].note.text


def test_crops_that_the_season_grows_come_first(form: SecondGradeDialog) -> None:
    crop = form.rows[0].crop
    assert [crop.itemText(n) for n in range(3)] == ["Pawpaw", "Avocado", "Pear"]


def test_the_form_grows_with_its_lines(form: SecondGradeDialog) -> None:
    before = form.height()
    for _ in range(2):
        form.more.click()
    assert form.height() > before
    QApplication.processEvents()
    assert not form.more.visibleRegion().isEmpty()
