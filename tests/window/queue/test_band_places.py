"""Labels of market days: none upon another, every one named while there is room."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.window.queue.layout import Form, Label, Placed, Room, place

ROOM = Room(left=0.0, right=1000.0, height=160.0, least_px=60.0)


def label(x: float, weight: float = 0.0, wants_full: bool = True) -> Label:
    return Label(x, 60.0, (240.0, 50.0), (160.0, 20.0), weight, wants_full)


def overlap(one: Placed, other: Placed) -> bool:
    apart_sideways = one.x + one.width <= other.x or other.x + other.width <= one.x
    apart_upwards = one.above + one.height <= other.above or other.above + other.height <= one.above
    return not (apart_sideways or apart_upwards)


def test_a_lonely_label_stands_on_its_band_in_full() -> None:
    assert place([label(300.0)], ROOM) == [Placed(Form.FULL, 300.0, 0.0, 240.0, 50.0)]


def test_neighbours_pile_up() -> None:
    low, high = place([label(300.0, 1.0), label(360.0)], ROOM)
    assert (low.above, high.above) == (0.0, 50.0)
    assert {low.form, high.form} == {Form.FULL}


@pytest.mark.parametrize("step", [20.0, 44.0, 61.0, 90.0, 133.0])
def test_no_label_lies_upon_another(step: float) -> None:
    labels = [label(n * step, weight=-n) for n in range(12)]
    shown = [one for one in place(labels, ROOM) if one.form is not Form.TICK]
    assert len(shown) >= 3
    assert not any(overlap(one, other) for one, other in combinations(shown, 2))
    assert all(one.above + one.height <= ROOM.height for one in shown)


def test_all_are_named_before_some_are_full() -> None:
    placed = place([label(n * 60.0, weight=-n) for n in range(6)], ROOM)
    assert all(one.form is not Form.TICK for one in placed)
    assert placed[0].form is Form.FULL


def test_a_label_at_the_right_edge_stands_before_its_day() -> None:
    placed = place([label(990.0)], ROOM)[0]
    assert placed.before_day
    assert placed.flag_x == placed.x + placed.width == pytest.approx(1000.0)


@given(
    anchors=st.lists(st.floats(0.0, 410.0), min_size=1, max_size=9),
    band_px=st.floats(4.0, 60.0),
    height=st.floats(22.0, 90.0),
)
def test_a_flag_stands_on_its_day_however_little_room_there_is(
    anchors: list[float], band_px: float, height: float
) -> None:
    labels = [Label(x, band_px, (240.0, 50.0), (160.0, 20.0), -x, wants_full=True) for x in anchors]
    for one, placed in zip(labels, place(labels, Room(0.0, 420.0, height, 60.0)), strict=True):
        assert one.anchor_x - 1e-6 <= placed.flag_x <= one.anchor_x + band_px + 1e-6
        assert placed.form is Form.TICK or (
            placed.x >= -1e-6 and placed.x + placed.width <= 420.001
        )


def test_a_label_may_begin_a_little_inside_its_band() -> None:
    low_room = Room(0.0, 1000.0, 25.0, 60.0)
    first, second = place([label(0.0, 1.0, False), label(120.0, 0.0, False)], low_room)
    assert second.x == pytest.approx(first.x + first.width + 6.0)


def test_out_of_sight_there_is_no_label() -> None:
    assert place([label(-1.0), label(1000.0)], ROOM)[0].form is Form.TICK


def test_what_a_label_covers() -> None:
    placed = place([label(300.0)], ROOM)[0]
    assert placed.covers(310.0, 10.0)
    assert not placed.covers(310.0, 60.0)
    assert not placed.covers(290.0, 10.0)


def test_the_next_market_day_is_full_even_where_others_lose_their_names() -> None:
    low_room = Room(left=0.0, right=400.0, height=52.0, least_px=60.0)
    placed = place([label(n * 30.0, weight=-n) for n in range(5)], low_room)
    assert placed[0].form is Form.FULL
    assert Form.TICK in {one.form for one in placed}


def test_a_label_rather_stands_to_the_left_of_its_band_than_nowhere() -> None:
    low_room = Room(0.0, 1000.0, 25.0, 60.0)
    later, first = place([label(500.0, 0.0, False), label(520.0, 1.0, False)], low_room)
    assert first.x == 520.0
    assert later.form is Form.SHORT
    assert later.x + later.width < first.x
