"""How the width of a table is shared out."""

import pytest

from ripenroom.window.widgets.column_widths import ColumnWidth, shared_out

LETTER = 10
CODE = ColumnWidth()
CROP = ColumnWidth(8, gives_first=True)
PLACE = ColumnWidth(6, left_out=1)
PICKED = ColumnWidth(left_out=0)
COLUMNS, NATURAL = [CODE, CROP, PLACE, PICKED], [60, 200, 120, 80]


def shared(room: int, unused: tuple[bool, ...] = (False,) * 4) -> list[int]:
    return shared_out(COLUMNS, NATURAL, unused, room, LETTER)


def test_with_room_air_comes_between_and_the_last_takes_the_rest() -> None:
    assert shared(500) == [70, 210, 130, 90]
    assert shared(1000) == [90, 230, 150, 530]
    first = [ColumnWidth(takes_rest=True), CODE]
    assert shared_out(first, [50, 50], [False, False], 300, LETTER) == [220, 80]


@pytest.mark.parametrize("room", [*range(0, 700, 7)])
def test_nothing_is_wider_than_the_room_while_something_can_give_way(room: int) -> None:
    taken = shared(room)
    least = [60, 80]  # what never gives way, and the crop's letters
    assert sum(taken) <= max(room, sum(least))
    for px, natural, low in zip(taken, NATURAL, (60, 80, 60, 80), strict=True):
        assert px == 0 or px >= low
        assert px >= min(natural, low) or px == 0
    if room >= sum(NATURAL):
        assert sum(taken) == room


def test_the_crop_gives_way_first_then_all_that_can_then_columns_are_left_out() -> None:
    assert shared(400) == [60, 140, 120, 80]
    assert shared(320)[1:3] == [80, 100]
    assert shared(280) == [60, 80, 60, 80]
    assert shared(270)[3] == 0
    assert shared(190)[2:] == [0, 0]
    assert shared(0) == [60, 80, 0, 0]


def test_an_unused_column_takes_no_room() -> None:
    taken = shared(460, (False, False, True, False))
    assert taken[2] == 0
    assert sum(taken) == 460
    assert shared_out([], [], [], 100, LETTER) == []
