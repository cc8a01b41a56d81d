"""Where the parts of a want stand."""

from PySide6.QtCore import QRectF

from ripenroom.window.market_days.wants_cell import WantParts

COLUMNS = WantParts((80.0, 150.0, 0.0, 120.0, 100.0), bar_at=3, most=50.0)


def test_texts_keep_their_widths_and_the_bar_takes_what_is_left() -> None:
    bar, cells = COLUMNS.cells(QRectF(10, 5, 700, 20))
    assert [cell.width() for cell in cells] == [80.0, 150.0, 0.0, 120.0, 100.0]
    assert bar.left() == cells[1].right()
    assert bar.width() > 150.0
    assert cells[3].left() > bar.right()
    assert cells[4].right() <= 710.0


def test_without_room_there_is_no_bar_and_nothing_runs_out_of_the_cell() -> None:
    bar, cells = COLUMNS.cells(QRectF(10, 5, 400, 20))
    assert bar.width() == 0.0
    assert max(cell.right() for cell in cells) <= 410.0


def test_what_does_not_fit_into_one_line_takes_as_many_as_it_needs() -> None:
    assert COLUMNS.lines(450.0) == 1
    assert COLUMNS.lines(449.0) == 2
    assert COLUMNS.lines(240.0) == 3
    # What a want says nothing of takes no line of its own, unless more stands below it.
    assert COLUMNS.lines(449.0, (True, True, False, True, False)) == 1
    assert COLUMNS.lines(240.0, (True, True, False, False, True)) == 3
    bar, (crop, wanted, _none, ready, said) = COLUMNS.cells(QRectF(10, 5, 320, 20))
    assert bar.isEmpty()
    assert crop.top() == wanted.top() == 5.0
    assert ready.top() == said.top() == 25.0
    assert ready.left() == wanted.left()  # what goes on stands beside the crop
    assert max(wanted.right(), said.right()) <= 330.0
    assert said.width() >= 100.0


def test_even_a_cell_that_is_too_narrow_for_anything_shows_every_part() -> None:
    _, cells = COLUMNS.cells(QRectF(0, 0, 100, 20))
    there = [cell for n, cell in enumerate(cells) if COLUMNS.widths[n]]
    assert len({cell.top() for cell in there[1:]}) == 3
    assert all(cell.width() >= 0.0 and cell.right() <= 100.0 for cell in there)
