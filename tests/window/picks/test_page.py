"""The form and the list of the page Picks, one over the other."""

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton

from ripenroom.window.main_window import MainWindow
from ripenroom.window.picks.page import PicksPage
from tests.draws import one_in
from tests.window.test_sizes import settle


@pytest.fixture
def page(window: MainWindow) -> PicksPage:
    assert window.desk is not None
    window.desk.go_to("picks")
    settle()
    made = window.desk.page("picks")
    assert isinstance(made, PicksPage)
    return made


def tops(page: PicksPage) -> list[int]:
    """Where the list, and the button that adds a pick, stand in the window."""
    settle()
    widgets = (page.list.table, page.list.finder, page.form.add_button)
    return [widget.mapTo(page, QPoint()).y() for widget in widgets]


@pytest.mark.parametrize(
    ("size", "text_percent"),
    one_in(3, [((1024, 700), 100), ((1366, 768), 100), ((1024, 700), 150)]),
)
def test_a_refused_pick_moves_nothing_under_the_hand(
    window: MainWindow, page: PicksPage, size: tuple[int, int], text_percent: int
) -> None:
    window.appearance.set_text_percent(text_percent)
    window.resize(*size)
    stood, fields = tops(page), page.form.fields
    fields.feel.set_text("3 9 6 2")
    QTest.keyClicks(fields.count, "2.5")
    page.form.add()
    note = fields.fields["count"].note
    assert note.isVisible()
    assert note.visibleRegion().boundingRect() == note.rect()
    assert tops(page) == stood
    QTest.keyClicks(fields.count, "5")
    assert not note.isVisible()
    assert tops(page) == stood
    fields.when.day.line.setText("31 Feb")
    QTest.keyClicks(fields.when.day.line, " ")
    fields.count.setFocus()
    assert tops(page) == stood
    window.appearance.set_text_percent(100)


def test_nor_does_a_question_with_its_buttons(window: MainWindow, page: PicksPage) -> None:
    stood, fields = tops(page), page.form.fields
    page.form.more.setChecked(True)
    stood = tops(page)
    fields.feel.set_text("3 9 6 2")
    fields.pulp.setText("70")
    fields.pulp_unit.choose("C")
    page.form.add()
    note = fields.fields["pulp_c"].note
    buttons = note.findChildren(QPushButton)
    assert [button.isVisible() for button in buttons] == [True] * len(buttons)
    assert buttons
    assert tops(page) == stood


def test_what_is_expected_comes_back_once_nothing_is_refused(page: PicksPage) -> None:
    fields = page.form.fields
    assert page.expected.isVisible()
    QTest.keyClicks(fields.count, "2.5")
    page.form.add()
    assert not page.expected.isVisible()
    QTest.keyClicks(fields.count, "5")
    assert page.expected.isVisible()


def test_the_form_is_as_high_as_before_once_letters_are_small_again(
    window: MainWindow, page: PicksPage
) -> None:
    window.resize(1024, 700)
    grid = page.form.fields.grid
    for more in (False, True):
        page.form.more.setChecked(more)
        settle()
        high = page.form.height()
        for percent in (150, 200):
            window.appearance.set_text_percent(percent)
            settle()
            window.appearance.set_text_percent(100)
            settle()
            assert not grid.narrow
            assert page.form.height() == high
