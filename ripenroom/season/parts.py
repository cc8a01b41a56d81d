"""What a batch was once part of: batches that were split, and all that came of them."""

from collections.abc import Iterator, Mapping

from ripenroom.records.batch import Batch


def line_of_descent(batch_id: str, batches: Mapping[str, Batch]) -> Iterator[str]:
    """Ids of the batch and of those it was parted from, the nearest first.

    The last may be gone. Records of others may go round in a ring: no batch is told twice.
    """
    told: set[str] = set()
    key: str | None = batch_id
    while key is not None and key not in told:
        yield key
        told.add(key)
        batch = batches.get(key)
        key = batch.split_from if batch is not None else None


def harvest_of(batch_id: str, batches: Mapping[str, Batch]) -> str:
    """Id of the batch that this one was first part of, which may be gone; its own if of none."""
    *_, first = line_of_descent(batch_id, batches)
    return first
