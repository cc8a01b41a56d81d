"""A table from elsewhere, taken in with mouse and keyboard."""

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QLineEdit
from pytestqt.qtbot import QtBot

from ripenroom.exchange.record_table.grid import grid_of
from ripenroom.season.state import SeasonState
from ripenroom.window.import_table import dialog as dialog_module
from ripenroom.window.import_table import state as state_module
from ripenroom.window.import_table.cells import words_of
from ripenroom.window.import_table.dialog import TableInDialog
from ripenroom.window.import_table.state import TableState
from ripenroom.window.session import Session
from ripenroom.window.shell import file_actions

ROWS = """Pick date;Fruit;Slight give;Gives;Where
14.09.2026 08:30;Pawpaw;12;5;Cold room
15.09.2026;Dragon fruit;9;;Cold room
16.09.2026;Pawpaw;nine;;Cold room
"""


Make = Callable[[str], TableInDialog]


@pytest.fixture
def make(session: Session, qtbot: QtBot) -> Make:
    def made(text: str) -> TableInDialog:
        dialog = TableInDialog(session, grid_of(text.splitlines()), "walk.csv")
        qtbot.addWidget(dialog)
        dialog.show()
        return dialog

    return made


@pytest.fixture
def dialog(session: Session, qtbot: QtBot) -> TableInDialog:
    dialog = TableInDialog(session, grid_of(ROWS.splitlines()), "walk.csv")
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


def cell(dialog: TableInDialog, row: int, column: int) -> str:
    return str(dialog.model.data(dialog.model.index(row, column)))


@pytest.mark.parametrize(
    ("locale", "day"), [("en_US", "12 May"), ("en_GB", "5 Dec"), ("de_DE", "5 Dec")]
)
def test_dates_are_read_as_the_locale_writes_them_and_said_back_in_words(
    session: Session, qtbot: QtBot, locale: str, day: str
) -> None:
    session.locale = QLocale(locale)
    table = "Pick date,Crop,Fruit\n5/12/2025,Pawpaw,9\n5/12/2025,Pawpaw,9\n"
    dialog = TableInDialog(session, grid_of(table.splitlines()), "walk.csv")
    qtbot.addWidget(dialog)
    assert f"“5/12/2025” is read as {day} 2025: if not, change “Dates are”." in (
        dialog.about.text()
    )


def test_what_was_understood_is_shown_and_what_is_wrong_stands_beside_it(
    dialog: TableInDialog,
) -> None:
    assert dialog.understood.kind.value() == "picks"
    assert dialog.understood.order.value() == "dmy"
    assert cell(dialog, 0, 0) == "✓"
    assert "Dragon fruit" in cell(dialog, 1, 0)
    assert "whole number" in cell(dialog, 2, 0)
    assert dialog.take_button.text() == "&Save 1 row"
    dialog.table.setCurrentIndex(dialog.model.index(1, 2))
    assert dialog.about_row.text().startswith("Row 3: ")


def test_a_cell_is_mended_in_place_and_right_rows_are_taken_first(
    dialog: TableInDialog, session: Session
) -> None:
    before = len(session.season.book.batches)
    dialog.take_button.click()
    assert dialog.isVisible()
    assert len(session.season.book.batches) == before + 1
    assert dialog.model.rowCount() == 2
    dialog.model.setData(dialog.model.index(0, 2), "pear")
    dialog.model.setData(dialog.model.index(1, 3), "9")
    assert dialog.take_button.text() == "&Save 2 rows"
    dialog.take_button.click()
    assert not dialog.isVisible()
    assert len(session.season.book.batches) == before + 3
    assert dialog.taken == 3
    session.season.undo()
    session.season.undo()
    assert len(session.season.book.batches) == before


def test_only_rows_to_mend_can_be_shown(dialog: TableInDialog) -> None:
    dialog.only_wrong.setChecked(True)
    assert [row.number for row in dialog.model.rows] == [3, 4]


def test_columns_can_be_given_another_meaning(dialog: TableInDialog) -> None:
    date = dialog.understood.meanings[0]
    date.setCurrentIndex(0)
    assert "Picked on" in dialog.about.text()
    assert not dialog.take_button.isEnabled()
    assert date.choose("picked_at")
    assert dialog.take_button.isEnabled()
    # A meaning is given once.
    assert dialog.understood.meanings[2].choose("gives")
    assert dialog.understood.meanings[3].value() is None


def test_a_slip_is_asked_about_and_taken_if_it_is_right(session: Session, qtbot: QtBot) -> None:
    rows = "Date,Fruit,Where,Readings,Unit,Probe\n2026-09-14,Pawpaw,Cold room,480,N,8\n"
    dialog = TableInDialog(session, grid_of(rows.splitlines()), "gauge.csv")
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.table.setCurrentIndex(dialog.model.index(0, 1))
    trouble = dialog.state.troubles.get(dialog.model.rows[0].number)
    assert trouble is not None
    if trouble.asks:
        qtbot.keyClick(dialog, Qt.Key.Key_R, Qt.KeyboardModifier.ControlModifier)  # type: ignore[no-untyped-call]
        assert dialog.state.troubles.get(dialog.model.rows[0].number) is None
    else:
        assert not dialog.right_button.isEnabled()


def test_many_rows_are_looked_over_beside_the_window(session: Session, qtbot: QtBot) -> None:
    lines = ["Date,Fruit,Count,Where"] + ["2026-09-14,Pawpaw,12,Cold room"] * 900
    dialog = TableInDialog(session, grid_of(lines), "long.csv")
    qtbot.addWidget(dialog)
    dialog.show()
    assert not dialog.take_button.isEnabled()
    qtbot.waitUntil(lambda: dialog.take_button.isEnabled(), timeout=20_000)
    assert len(dialog.state.good) == 900
    dialog.understood.kind.setCurrentIndex(1)
    dialog.reject()
    assert dialog._task is None


def test_a_table_is_pasted(
    session: Session, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, dialog: TableInDialog
) -> None:
    opened: list[str] = []

    def look(shown: QDialog) -> int:
        assert isinstance(shown, TableInDialog)
        opened.append(shown.state.name)
        shown.take()
        shown.reject()
        return 0

    monkeypatch.setattr(file_actions, "ask", look)
    QGuiApplication.clipboard().setText(ROWS.replace(";", "\t"))
    assert file_actions.bring_in_copied(session, dialog) == 1
    assert opened == ["the copied table"]
    QGuiApplication.clipboard().setText("  ")
    said: list[object] = []
    session.refused.connect(said.append)
    assert file_actions.bring_in_copied(session, dialog) == 0
    assert said


def test_a_file_that_cannot_be_read_is_told(
    qtbot: QtBot, session: Session, dialog: TableInDialog, tmp_path: Path
) -> None:
    said: list[object] = []
    session.refused.connect(said.append)
    file_actions.bring_in_file(session, tmp_path / "gone.csv", dialog)
    qtbot.waitUntil(lambda: bool(said))
    assert said


def test_all_that_is_wrong_with_a_row_is_said_and_enter_goes_to_the_cell(make: Make) -> None:
    dialog = make("Pick date,Crop,Fruit\nsoon,Pawpaw,many\n16.09.2026,Pawpaw,9\n")
    trouble = dialog.state.troubles[2]
    said = words_of(dialog.state, trouble)
    assert "soon" in said or "Picked on" in said
    assert "many" in said or "Fruit" in said
    # The table says no place either, and none is chosen.
    assert {trouble.key, *(key for key, _ in trouble.also)} == {"picked_at", "count", "place"}
    dialog.table.setCurrentIndex(dialog.model.index(0, 0))
    QTest.keyClick(dialog.table, Qt.Key.Key_Return)
    assert dialog.table.currentIndex().column() == 1
    assert dialog.table.findChild(QLineEdit) is not None


def test_plain_headings_are_guessed_by_what_is_in_their_cells(make: Make) -> None:
    dialog = make("Date,Variety,Fruit,Feel\n16.09.2026,,20,slight give\n17.09.2026,,12,3 9 0 0\n")
    assert dialog.state.mapping.meaning_of == ("picked_at", "cultivar", "count", "feel")
    named = make("Date,Fruit,Feel\n16.09.2026,Pawpaw,3 9 6 2\n")
    assert named.state.mapping.meaning_of == ("picked_at", "crop", "feel")


def test_a_feel_in_words_is_that_of_all_fruit(make: Make, session: Session) -> None:
    before = set(session.season.book.batches)
    dialog = make("Date,Crop,Fruit count,Feel,Place\n16.09.2026,Pawpaw,20,slight give,Cold room\n")
    dialog.take_button.click()
    (batch,) = (b for i, b in session.season.book.batches.items() if i not in before)
    assert (batch.count, batch.feel_counts) == (20, (0, 20, 0, 0, 0))


def test_escape_asks_before_fixed_cells_are_lost(make: Make) -> None:
    dialog = make("Pick date,Crop,Fruit count\nsoon,Pawpaw,9\n")
    dialog.model.setData(dialog.model.index(0, 1), "17.09.2026")
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert dialog.isVisible()
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert not dialog.isVisible()


def test_the_first_row_to_fix_has_its_whole_reason_below(dialog: TableInDialog) -> None:
    assert dialog.about_row.text().startswith("Row 3: ")
    assert "Dragon fruit" in dialog.about_row.text()
    assert dialog.understood.kind.hasFocus() or not dialog.table.hasFocus()


def test_an_unknown_crop_and_a_feel_that_cannot_be_read_are_both_said(make: Make) -> None:
    dialog = make("Pick date,Crop,Feel,Where\n2026-09-16,Pawpow,5 x,Cold room\n")
    said = cell(dialog, 0, 0)
    assert "“Pawpow”" in said
    assert "5 x" in said
    trouble = dialog.state.troubles[2]
    assert trouble.why_of("crop") is not None
    assert trouble.why_of("feel") is not None


def test_one_wrong_date_leaves_all_others_as_they_are_read(session: Session, qtbot: QtBot) -> None:
    session.locale = QLocale("en_US")
    table = (
        "Pick date,Crop,Fruit,Where\n"
        "9/14/2026,Pawpaw,9,Cold room\n"
        "31/31/2026,Pawpaw,9,Cold room\n"
        "9/15/2026,Pawpaw,9,Cold room\n"
    )
    dialog = TableInDialog(session, grid_of(table.splitlines()), "walk.csv")
    qtbot.addWidget(dialog)
    assert dialog.understood.order.value() == "mdy"
    assert list(dialog.state.troubles) == [3]


def test_an_own_cultivar_in_the_column_of_crops_is_that_cultivar(
    make: Make, session: Session
) -> None:
    cultivar = next(iter(session.season.book.cultivars.values()))
    before = set(session.season.book.batches)
    dialog = make(f"Pick date,Fruit,Count,Where\n2026-09-16,{cultivar.name.upper()},9,Cold room\n")
    assert cell(dialog, 0, 0) == "✓"
    dialog.take_button.click()
    [made] = set(session.season.book.batches) - before
    batch = session.season.book.batches[made]
    assert (batch.crop, batch.cultivar_id) == (cultivar.crop, cultivar.id)


WIDE = "\n".join(
    (
        "Pick date,Fruit,Pieces,Where," + ",".join(f"Remark {n}" for n in range(20)) + ",Firmness",
        "16.09.2026,Pawpaw,9,Cold room," + ",".join(["seen"] * 20) + ",",
        "16.09.2026,Pawpaw,9,Cold room," + ",".join(["seen"] * 20) + ",no number",
        "16.09.2026,Pawpaw,9,Cold room," + ",".join(["seen"] * 20) + ",none too",
    )
)


def in_sight(dialog: TableInDialog, row: int, column: int) -> bool:
    spot = dialog.table.visualRect(dialog.model.index(row, column))
    return dialog.table.viewport().rect().contains(spot)


def test_enter_on_a_wrong_row_begins_to_fix_its_cell_and_saves_nothing(
    dialog: TableInDialog, session: Session
) -> None:
    before = set(session.season.book.batches)
    dialog.activateWindow()
    dialog.table.setFocus()
    dialog.table.setCurrentIndex(dialog.model.index(2, 0))
    QTest.keyClick(dialog.table, Qt.Key.Key_Return)
    assert dialog.table.currentIndex() == dialog.model.index(2, 3)
    editor = dialog.table.findChild(QLineEdit)
    assert editor is not None
    assert editor.text() == "nine"
    QTest.keyClicks(editor, "9")
    QTest.keyClick(editor, Qt.Key.Key_Return)
    QApplication.processEvents()
    assert cell(dialog, 2, 0) == "✓"
    # A row that is right has nothing to fix in its first cell, and Enter saves none.
    dialog.table.setCurrentIndex(dialog.model.index(0, 0))
    QTest.keyClick(dialog.table, Qt.Key.Key_Return)
    assert set(session.season.book.batches) == before
    assert dialog.isVisible()


def test_the_cell_to_fix_is_in_sight_at_first_and_after_a_click_on_its_row(make: Make) -> None:
    dialog = make(WIDE)
    last = dialog.model.columnCount() - 1
    assert list(dialog.state.troubles) == [3, 4]
    assert dialog.table.currentIndex().row() == 1
    assert in_sight(dialog, 1, last)
    bar = dialog.table.horizontalScrollBar()
    assert bar.maximum() > 0
    bar.setValue(0)
    assert not in_sight(dialog, 2, last)
    spot = dialog.table.visualRect(dialog.model.index(2, 0)).center()
    QTest.mouseClick(dialog.table.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    # Qt waits until no second click can come.
    QTest.qWait(QGuiApplication.styleHints().mouseDoubleClickInterval() + 300)
    assert in_sight(dialog, 2, last)


def test_what_is_wrong_is_said_of_the_files_own_heading(make: Make) -> None:
    dialog = make("Pick date,Fruit,Pieces,Where\n16.09.2026,Pawpaw,nine,Cold room\n")
    assert dialog.state.mapping.meaning_of == ("picked_at", "crop", "count", "place")
    assert cell(dialog, 0, 0) == "! Pieces (Fruit): must be a whole number"
    same = make("Pick date,Crop,fruit,Where\n16.09.2026,Pawpaw,nine,Cold room\n")
    assert same.understood.meanings[2].choose("count")
    assert cell(same, 0, 0) == "! Fruit: must be a whole number"


@pytest.mark.parametrize(
    ("head", "named"), [("Feel", "Feel (Hand feel)"), ("Hand feel", "Hand feel")]
)
def test_a_feel_that_cannot_be_read_is_said_of_its_own_heading(
    make: Make, head: str, named: str
) -> None:
    dialog = make(f"Picked,Crop,Count,{head},Where\n9/30/2026,Pawpaw,5,soft-ish,Cold room\n")
    assert dialog.state.mapping.meaning_of[3] == "feel"
    assert cell(dialog, 0, 0).startswith(f"! {named}: type whole numbers with spaces between")


TO_MEND = """Picked,Crop,Variety,How many,Feel,Where
9/29/2026,Pawpaw,Middle,12,soft-ish,Celler
9/30/2026,Pawpaw,Late,5,gives,Cold room
9/30/2026,Pawpaw,,four,gives,Cold room
"""


def type_in_cell(dialog: TableInDialog, key: Qt.Key, text: str, end: Qt.Key) -> None:
    """Begin to type in the current cell with a key, type over what is there, end with a key."""
    QTest.keyClick(dialog.table, key)
    editor = dialog.focusWidget()
    assert isinstance(editor, QLineEdit)
    editor.selectAll()
    QTest.keyClicks(editor, text)
    QTest.keyClick(editor, end)
    QApplication.processEvents()


def place_of_keyboard(dialog: TableInDialog) -> tuple[int, int]:
    """The line and column that the keyboard is on; it has to be in the table."""
    assert dialog.focusWidget() is dialog.table
    row = dialog.table.current()
    assert row is not None
    return row.number, dialog.table.currentIndex().column()


@pytest.mark.parametrize("only_wrong", [False, True])
def test_enter_after_a_mended_cell_stays_in_the_table_and_goes_to_the_next_fault(
    make: Make, session: Session, only_wrong: bool
) -> None:
    dialog = make(TO_MEND)
    dialog.activateWindow()
    dialog.only_wrong.setChecked(only_wrong)
    dialog.table.setFocus()
    before = len(session.season.book.batches)
    first = dialog.model.rows[0].number
    dialog.table.setCurrentIndex(dialog.model.index(0, 6))
    type_in_cell(dialog, Qt.Key.Key_F2, "Cold room", Qt.Key.Key_Return)
    assert place_of_keyboard(dialog) == (first, 3)  # the variety and the feel are wrong still
    type_in_cell(dialog, Qt.Key.Key_Return, "Late pawpaws", Qt.Key.Key_Return)
    assert place_of_keyboard(dialog) == (first, 5)
    type_in_cell(dialog, Qt.Key.Key_Return, "Nope", Qt.Key.Key_Return)
    assert place_of_keyboard(dialog) == (first, 5)
    type_in_cell(dialog, Qt.Key.Key_Return, "gives", Qt.Key.Key_Return)
    number, column = place_of_keyboard(dialog)
    assert (number in dialog.state.troubles, column) == (True, 0)
    assert number != first
    type_in_cell(dialog, Qt.Key.Key_Return, "Nope", Qt.Key.Key_Return)
    assert place_of_keyboard(dialog) == (number, 3)
    QTest.keyClick(dialog.focusWidget(), Qt.Key.Key_Return)
    assert dialog.isVisible()
    assert len(session.season.book.batches) == before


def test_tab_after_a_mended_cell_begins_the_cell_beside_it(make: Make) -> None:
    dialog = make(TO_MEND)
    dialog.activateWindow()
    dialog.table.setFocus()
    dialog.table.setCurrentIndex(dialog.model.index(0, 6))
    type_in_cell(dialog, Qt.Key.Key_F2, "Cold room", Qt.Key.Key_Return)
    dialog.table.setCurrentIndex(dialog.model.index(2, 4))
    type_in_cell(dialog, Qt.Key.Key_F2, "4", Qt.Key.Key_Tab)
    assert dialog.table.isAncestorOf(dialog.focusWidget())
    assert dialog.table.currentIndex() == dialog.model.index(2, 5)


def test_enter_goes_on_also_where_a_thread_reads_the_rows(make: Make, qtbot: QtBot) -> None:
    right = ["2026-09-14,Pawpaw,12,Cold room"] * 450
    wrong = "2026-09-14,Pawpaw,nine,Cold room"
    dialog = make("\n".join(["Date,Crop,Count,Where", wrong, *right, wrong]))
    dialog.activateWindow()
    qtbot.waitUntil(lambda: len(dialog.state.troubles) == 2, timeout=20_000)
    dialog.table.setFocus()
    dialog.table.setCurrentIndex(dialog.model.index(0, 0))
    type_in_cell(dialog, Qt.Key.Key_Return, "9", Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: len(dialog.state.troubles) == 1, timeout=20_000)
    assert place_of_keyboard(dialog) == (dialog.model.rows[451].number, 0)


def many_rows(make: Make, qtbot: QtBot, head: list[str]) -> TableInDialog:
    """A table that a thread reads: its first rows, two wrong ones at its end, and right ones."""
    right = ["2026-09-14,Pawpaw,12,Cold room"] * 450
    dialog = make("\n".join(["Date,Crop,Count,Where", *head, *right, *WRONG]))
    dialog.activateWindow()
    qtbot.waitUntil(lambda: not dialog.reading, timeout=20_000)
    dialog.table.setFocus()
    return dialog


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch) -> Iterator[threading.Event]:
    """While it is closed, no thread begins to read rows."""
    opened, real = threading.Event(), state_module.looked_over
    opened.set()

    def after_the_gate(state: TableState, season: SeasonState) -> TableState:
        assert opened.wait(20.0)
        return real(state, season)

    monkeypatch.setattr(dialog_module, "looked_over", after_the_gate)
    yield opened
    opened.set()


WRONG = ["2026-09-14,Pawpaw,nine,Cold room", "2026-09-14,Pawpaw,ten,Cold room"]


def begin_to_type(dialog: TableInDialog, row: int, column: int, text: str) -> QLineEdit:
    dialog.table.setCurrentIndex(dialog.model.index(row, column))
    QTest.keyClick(dialog.table, Qt.Key.Key_F2)
    editor = dialog.focusWidget()
    assert isinstance(editor, QLineEdit)
    editor.selectAll()
    QTest.keyClicks(editor, text)
    return editor


def test_what_is_half_typed_stays_while_a_thread_reads_the_rows(
    make: Make, qtbot: QtBot, gate: threading.Event
) -> None:
    dialog = many_rows(make, qtbot, ["2026-09-14,Pawpaw,nine,Cold room"])
    gate.clear()
    dialog.table.setCurrentIndex(dialog.model.index(0, 3))
    type_in_cell(dialog, Qt.Key.Key_F2, "9", Qt.Key.Key_Return)
    editor = begin_to_type(dialog, 452, 3, "1")
    assert dialog.reading
    gate.set()
    qtbot.waitUntil(lambda: not dialog.reading, timeout=20_000)
    QApplication.processEvents()
    assert dialog.focusWidget() is editor
    QTest.keyClicks(editor, "7")
    QTest.keyClick(editor, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: not dialog.reading and len(dialog.state.troubles) == 1, timeout=20_000)
    assert dialog.state.grid.rows[452][2] == "17"
    assert cell(dialog, 452, 3) == "17"
    assert cell(dialog, 0, 0) == "✓"


def test_what_is_half_typed_and_thrown_away_does_not_keep_the_rows_old(
    make: Make, qtbot: QtBot, gate: threading.Event
) -> None:
    dialog = many_rows(make, qtbot, ["2026-09-14,Pawpaw,nine,Cold room"])
    gate.clear()
    dialog.table.setCurrentIndex(dialog.model.index(0, 3))
    type_in_cell(dialog, Qt.Key.Key_F2, "9", Qt.Key.Key_Return)
    editor = begin_to_type(dialog, 452, 3, "1")
    gate.set()
    qtbot.waitUntil(lambda: not dialog.reading, timeout=20_000)
    QTest.keyClick(editor, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: cell(dialog, 0, 0) == "✓")
    assert dialog.isVisible()
    assert cell(dialog, 452, 3) == "ten"


def test_a_cell_typed_while_the_rest_of_a_saved_table_is_read_is_that_of_its_row(
    make: Make, qtbot: QtBot, gate: threading.Event
) -> None:
    """What is left of it has other places than what is still shown."""
    wrong = ["2026-09-14,Pawpaw,many,Cold room"] * 420
    dialog = many_rows(make, qtbot, ["2026-09-14,Pawpaw,8,Cold room", *wrong])
    gate.clear()
    dialog.take()
    numbers = [row.number for row in dialog.model.rows]
    at = next(n for n, number in enumerate(numbers) if number in dialog.state.troubles)
    number = numbers[at + 3]
    begin_to_type(dialog, at + 3, 3, "23")
    QTest.keyClick(dialog.focusWidget(), Qt.Key.Key_Return)
    assert dialog.reading
    gate.set()
    qtbot.waitUntil(lambda: not dialog.reading, timeout=20_000)
    typed = dict(zip(dialog.state.grid.numbers, dialog.state.grid.rows, strict=True))
    assert [n for n, row in typed.items() if row[2] == "23"] == [number]


def test_rows_that_are_right_now_are_brought_back(dialog: TableInDialog) -> None:
    dialog.only_wrong.setChecked(True)
    dialog.model.setData(dialog.model.index(0, 2), "pear")
    dialog.model.setData(dialog.model.index(0, 3), "9")
    assert dialog.model.rowCount() == 0
    assert dialog.only_wrong.isEnabled()
    dialog.only_wrong.click()
    assert dialog.model.rowCount() == 3
    assert not dialog.only_wrong.isEnabled()


@pytest.mark.parametrize("heading", ["Variety", "Row"])
def test_a_cultivar_of_one_crop_says_the_crop(make: Make, session: Session, heading: str) -> None:
    book = session.season.book
    row = next(row for row in book.rows.values() if row.cultivar_id)
    cultivar = book.cultivars[row.cultivar_id or ""]
    name = cultivar.name if heading == "Variety" else row.name
    before = set(book.batches)
    dialog = make(f"Date,{heading},Gives,Where\n2026-09-14,{name},12,Cold room\n")
    assert dialog.about.text() == "The row can be saved."
    dialog.take()
    [made] = set(session.season.book.batches) - before
    assert session.season.book.batches[made].crop == cultivar.crop
