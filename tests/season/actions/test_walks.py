"""Squeeze walks: saved for one row or many, changed, deleted; nothing is picked by one."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from ripenroom.records.book import new_id
from ripenroom.records.orchard import Row, Walk
from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.season.farm import NOW, refused


def walk(at: datetime = NOW, **given: object) -> Walk:
    facts: dict[str, object] = {
        "id": new_id(),
        "row_id": "row",
        "at": at,
        "feel_counts": (21, 6, 3, 0, 0),
    }
    return Walk(**{**facts, **given})  # type: ignore[arg-type]


def test_a_walk_is_saved_and_undone_and_nothing_is_picked(living: Season) -> None:
    batches = living.book.batches
    one = walk(on_ground=4, note="after the wind")
    living.do(actions.walks.add, one)
    assert living.book.walks == {one.id: one}
    assert living.book.batches is batches
    assert living.undo_label == "walk of Creek row"
    living.undo()
    assert living.book.walks == {}


def test_a_sheet_of_rows_is_one_step(living: Season) -> None:
    living.do(actions.orchard.save_row, Row(id="lane", name="By the lane"))
    living.do(actions.walks.add_all, [walk(), walk(row_id="lane", feel_counts=None, on_ground=0)])
    assert len(living.book.walks) == 2
    assert living.undo_label == "walk of 2 rows"
    living.undo()
    assert living.book.walks == {}


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"feel_counts": None}, "feel_counts", "No fruit counted yet"),
        ({"feel_counts": (0, 0, 0, 0, 0)}, "feel_counts", "All feels are 0"),
        ({"row_id": "gone"}, "row_id", "not in the season any more"),
        ({"at": NOW + timedelta(days=1)}, "at", "still to come"),
        ({"at": NOW - timedelta(days=300)}, "at", "120 days before"),
        ({"on_ground": -1}, "on_ground", "-1 fruit on the ground"),
    ],
)
def test_what_no_walk_can_be(
    living: Season, given: dict[str, object], field: str, words: str
) -> None:
    refusal = refused(living, lambda: living.do(actions.walks.add, walk(**given)))  # type: ignore[arg-type,call-overload]
    assert refusal.field == field
    assert words in refusal.message


def test_an_empty_sheet_and_the_same_walk_twice_are_refused(living: Season) -> None:
    assert (
        "No fruit counted yet"
        in refused(living, lambda: living.do(actions.walks.add_all, [])).message
    )
    living.do(actions.walks.add, walk())
    again = refused(living, lambda: living.do(actions.walks.add, walk()))
    assert "Creek row" in again.message
    assert refused(living, lambda: living.do(actions.walks.add_all, [walk(), walk()])).field == "at"


def test_a_walk_is_changed_and_deleted(living: Season) -> None:
    one = walk()
    living.do(actions.walks.add, one)
    corrected = replace(one, feel_counts=(12, 6, 3, 0, 0))
    living.do(actions.walks.change, corrected)
    assert living.book.walks == {one.id: corrected}
    row = refused(living, lambda: living.do(actions.orchard.delete_row, "row"))
    assert "was walked" in row.message
    living.do(actions.walks.delete, one.id)
    assert living.book.walks == {}
    for act in (
        lambda: actions.walks.change(living.state, one),
        lambda: actions.walks.delete(living.state, one.id),
    ):
        refused(living, act)
    living.do(actions.orchard.delete_row, "row")
