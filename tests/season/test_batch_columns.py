"""Batches as columns."""

from datetime import timedelta

import numpy as np
import pytest

from ripenroom.records.batch import Move, Removal
from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.batch_columns import BatchColumnsMaker
from ripenroom.season.crop_constants import ConstantsOfCrops
from ripenroom.season.moments import to_hours
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    SHELF,
    YESTERDAY,
    batch_and_move,
    book_of,
    farm_records,
)

NOW_H = to_hours(NOW)


@pytest.fixture
def maker() -> BatchColumnsMaker:
    return BatchColumnsMaker(ConstantsOfCrops(shipped_profiles()))


def removal(number: int, hours: float, count: int, batch_id: str = "batch 1") -> Removal:
    at = NOW + timedelta(hours=hours)
    return Removal(id=f"sold {number}", batch_id=batch_id, at=at, count=count, outcome="sold")


def book() -> Book:
    pull = Move(id="pull", batch_id="batch 2", at=NOW, place_id=ROOM)
    return book_of(
        *farm_records(),
        *batch_and_move(1),
        *batch_and_move(2, SHELF, crop="pear"),
        *batch_and_move(3, crop="medlar"),
        batch_and_move(4)[0],
        pull,
        removal(1, -2.0, 3),
        removal(2, -2.0, 4),
        removal(3, 5.0, 2),
        removal(4, -2.0, 9, "batch 3"),
    )


def test_only_batches_of_which_something_is_known_have_a_line(maker: BatchColumnsMaker) -> None:
    lines = maker.lines(book())
    assert lines.ids == ("batch 1", "batch 2")
    assert [lines.crop_keys[n] for n in lines.crop] == ["pawpaw", "pear"]
    assert lines.batches.picked_h.shape == (2,)


def test_stays_are_padded_with_the_last(maker: BatchColumnsMaker) -> None:
    lines = maker.lines(book())
    assert [[lines.place_ids[n] for n in row] for row in lines.stays.place] == [
        [COLD, COLD],
        [SHELF, ROOM],
    ]
    picked_h = to_hours(YESTERDAY)
    np.testing.assert_allclose(lines.stays.start_h, [[picked_h, picked_h], [picked_h, NOW_H]])


def test_fruit_left_at_any_hour(maker: BatchColumnsMaker) -> None:
    lines = maker.lines(book())
    left = lines.left_at(NOW_H + np.array([-3.0, -2.0, -1.9, 5.0, 5.1]))
    assert left.tolist() == [[20.0, 20.0, 13.0, 13.0, 11.0], [20.0] * 5]


def test_no_less_than_nothing_is_left(maker: BatchColumnsMaker) -> None:
    lines = maker.lines(book_of(*farm_records(), *batch_and_move(1), removal(1, -1.0, 500)))
    assert lines.left_at(np.array([NOW_H])).tolist() == [[0.0]]


def test_some_lines_only(maker: BatchColumnsMaker) -> None:
    lines = maker.lines(book())
    for line in (0, 1):
        one = lines.of(np.array([line]))
        assert one.ids == lines.ids[line : line + 1]
        hours = NOW_H + np.array([-3.0, 9.0])
        assert one.left_at(hours).tolist() == lines.left_at(hours)[[line]].tolist()
        assert one.batches.mean_age.tolist() == lines.batches.mean_age[[line]].tolist()


def test_no_batches_make_no_lines(maker: BatchColumnsMaker) -> None:
    lines = maker.lines(book_of())
    assert lines.ids == ()
    assert lines.left_at(np.array([NOW_H])).shape == (0, 1)


def test_lines_can_be_moved_in_several_ways_at_once(maker: BatchColumnsMaker) -> None:
    lines = maker.lines(book())
    cold, room = (lines.place_ids.index(key) for key in (COLD, ROOM))
    moved = lines.moved(
        np.array([0, 1, 0]), np.array([np.nan, NOW_H + 9.0, NOW_H + 5.0]), np.array([room] * 3)
    )
    assert moved.ids == ("batch 1", "batch 2", "batch 1")
    assert moved.stays.place[:, -1].tolist() == [cold, room, room]
    assert moved.stays.start_h[:, -1].tolist() == [
        lines.stays.start_h[0, -1],
        NOW_H + 9.0,
        NOW_H + 5.0,
    ]
    found = [[moved.rooms[number] for number in row] for row in moved.room_of_stay]
    assert [[place for place, _ in row] for row in found] == moved.stays.place.tolist()
    assert [row[0][1] for row in found] == moved.crop.tolist()
    # What a hypothetical batch holds is for the planner to say.
    assert moved.left_at(np.array([NOW_H + 99.0])).tolist() == [[n] for n in moved.picked]
