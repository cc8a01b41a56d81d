"""Moves in their order."""

from datetime import timedelta

from ripenroom.records.batch import Move
from ripenroom.season.whereabouts import moves_by_batch, moves_of
from tests.season.farm import NOW, batch_and_move, book_of


def test_moves_of_each_batch_earliest_first() -> None:
    later = [
        Move(id=f"later {n}", batch_id="batch 1", at=NOW + timedelta(days=n), place_id="room")
        for n in (5, 1, 3)
    ]
    book = book_of(*later, *batch_and_move(1), *batch_and_move(2))
    found = moves_by_batch(book)
    assert [m.id for m in found["batch 1"]] == ["move 1", "later 1", "later 3", "later 5"]
    assert [m.id for m in found["batch 2"]] == ["move 2"]
    assert all(moves_of(book, batch_id) == moves for batch_id, moves in found.items())
    assert moves_of(book, "none") == []
