"""Which batches were one harvest: a batch that was split, and all that came of it."""

from collections.abc import Mapping

from ripenroom.records.batch import Batch


def harvest_of(batch: Batch, batches: Mapping[str, Batch]) -> str:
    """Id of the batch that this one was first part of, which may be gone; its own if of none."""
    seen = {batch.id}
    key = batch.id
    while batch.split_from is not None and batch.split_from not in seen:
        key = batch.split_from
        seen.add(key)
        parent = batches.get(key)
        if parent is None:
            break
        batch = parent
    return key
