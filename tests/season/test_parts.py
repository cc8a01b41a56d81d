"""What a batch was once part of."""

from ripenroom.records.batch import Batch
from ripenroom.season.parts import harvest_of, line_of_descent
from tests.season.farm import batch_and_move


def parts(*split_from: str | None) -> dict[str, Batch]:
    """Batches 0, 1, ... that were split from these."""
    made = [batch_and_move(n, split_from=key)[0] for n, key in enumerate(split_from)]
    return {batch.id: batch for batch in made}


def test_a_whole_batch_is_its_own() -> None:
    known = parts(None)
    assert harvest_of("batch 0", known) == "batch 0"


def test_a_part_of_a_part_belongs_to_the_whole() -> None:
    known = parts(None, "batch 0", "batch 1")
    assert {harvest_of(key, known) for key in known} == {"batch 0"}


def test_parts_of_a_batch_that_is_gone_still_belong_together() -> None:
    known = parts("gone", "gone")
    assert {harvest_of(key, known) for key in known} == {"gone"}


def test_records_that_go_round_in_a_ring_end() -> None:
    known = parts("batch 1", "batch 0")
    assert harvest_of("batch 0", known) in known


def test_the_nearest_comes_first() -> None:
    known = parts(None, "batch 0", "batch 1")
    assert [*line_of_descent("batch 2", known)] == ["batch 2", "batch 1", "batch 0"]
