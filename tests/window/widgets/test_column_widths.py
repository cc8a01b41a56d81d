"""How the width of a table is shared out."""

from dataclasses import replace

import pytest

from ripenroom.window.widgets.column_widths import ColumnWidth, shared_out

LETTER = 10
CODE = ColumnWidth()
CROP = ColumnWidth(8, in_two_lines=True)
PLACE = ColumnWidth(6, left_out=1)
PICKED = ColumnWidth(left_out=0, rather_than="broken")
COLUMNS, NATURAL, WHOLE = [CODE, CROP, PLACE, PICKED], [60, 200, 120, 80], [60, 140, 120, 80]


def shared(room: int, unused: tuple[bool, ...] = (False,) * 4) -> list[int]:
    return shared_out(COLUMNS, NATURAL, WHOLE, unused, room, LETTER)


def test_with_room_air_comes_between_and_the_last_takes_the_rest() -> None:
    assert shared(500) == [70, 210, 130, 90]
    assert shared(1000) == [90, 230, 150, 530]
    first = [ColumnWidth(takes_rest=True), CODE]
    assert shared_out(first, [50, 50], [50, 50], [False, False], 300, LETTER) == [220, 80]


@pytest.mark.parametrize("room", [*range(0, 700, 7)])
def test_nothing_is_wider_than_the_room_while_something_can_give_way(room: int) -> None:
    taken = shared(room)
    assert sum(taken) <= max(room, 60 + 80)  # what never gives way, and the crop's letters
    for px, low in zip(taken, (60, 80, 60, 80), strict=True):
        assert px == 0 or px >= low
    if room >= sum(NATURAL):
        assert sum(taken) == room


def test_columns_are_left_out_before_texts_are_broken_and_these_before_they_are_cut() -> None:
    assert shared(460) == NATURAL
    assert shared(459)[3] == 0
    assert shared(380) == [60, 200, 120, 0]
    assert shared(350) == [60, 170, 120, 0]
    assert shared(320) == [60, 140, 120, 0]
    assert shared(260) == [60, 110, 90, 0]
    assert shared(200) == [60, 80, 60, 0]
    assert shared(190) == [60, 130, 0, 0]
    assert shared(0) == [60, 80, 0, 0]


def test_a_column_that_is_rather_left_out_than_cut_may_be_broken() -> None:
    row = ColumnWidth(in_two_lines=True, left_out=0, rather_than="cut")
    columns, natural, whole = [CODE, CROP, row], [60, 200, 100], [60, 140, 50]
    none = (False,) * 3
    assert shared_out(columns, natural, whole, none, 250, LETTER) == [60, 140, 50]
    assert shared_out(columns, natural, whole, none, 249, LETTER) == [60, 189, 0]
    kept = [CODE, CROP, replace(row, rather_than="broken")]
    assert shared_out(kept, natural, whole, none, 359, LETTER)[2] == 0


def test_an_unused_column_takes_no_room() -> None:
    taken = shared(460, (False, False, True, False))
    assert taken[2] == 0
    assert sum(taken) == 460
    assert shared_out([], [], [], [], 100, LETTER) == []
