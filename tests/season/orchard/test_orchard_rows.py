"""What is known of a row: fruit counted in one way or another, picked, dropped, sold."""

import math
from datetime import timedelta

import pytest

from ripenroom.records.batch import Removal
from ripenroom.records.orchard import Row, Walk
from ripenroom.season.crop_kinds import crops_of
from ripenroom.season.orchard.orchard_rows import counted_fruit, row_facts
from tests.season.farm import NOW, batch_and_move, book_of, farm_records


def row(**given: object) -> Row:
    return Row(id="r", name="By the lane", **given)  # type: ignore[arg-type]


def test_a_counted_row_is_as_sure_as_was_said() -> None:
    found = counted_fruit(row(fruit_on_trees=200, fruit_doubt=0.25))
    assert found is not None
    assert found.range.mid == 200.0
    assert found.range.high == pytest.approx(250.0)
    assert found.range.low == pytest.approx(160.0)


def test_branches_are_counted_up_to_the_row() -> None:
    sampled = row(trees=10, branch_counts=(2, 4, 6), branches_per_tree=5, fruit_doubt=0.01)
    found = counted_fruit(sampled)
    assert found is not None
    assert found.fruit == 4.0 * 5 * 10
    # Three branches that differ by half say the mean within 2 / sqrt(3) / 4, however sure one is.
    assert found.log_sd == pytest.approx(2.0 / math.sqrt(3.0) / 4.0)


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"trees": 10},
        {"branch_counts": (2, 4), "branches_per_tree": 5},
        {"branches_per_tree": 5},
    ],
)
def test_what_was_not_counted_is_not_known(given: dict[str, object]) -> None:
    assert counted_fruit(row(**given)) is None


def test_a_row_with_its_picks_walks_and_drops() -> None:
    batch, move = batch_and_move(1, row_id="row", cultivar_id="early")
    sold = Removal(id="s", batch_id=batch.id, at=NOW, count=6, outcome="sold")
    walks = [
        Walk(id=f"w{n}", row_id="row", at=NOW - timedelta(days=n), on_ground=n) for n in (1, 5)
    ]
    book = book_of(*farm_records(), batch, move, sold, *walks)
    [facts] = row_facts(book, crops_of(book).profiles)
    assert (facts.row.id, facts.crop) == ("row", "pawpaw")
    assert (facts.tally.picked, facts.tally.sold, facts.on_ground) == (20.0, 6.0, 6)
    assert [walk.id for walk in facts.walks] == ["w5", "w1"]
