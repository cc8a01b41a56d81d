"""Packed fruit that needs no forecast: each of it was squeezed, and taken because it is ready."""

from ripenroom.records.book import Book
from ripenroom.records.pin import Pin


def felt_ready(pin: Pin, book: Book) -> bool:
    """Whether the fruit of a pin was found ready for its market day as it was packed.

    That says nothing of another market day, to which what came back may be brought later.
    """
    batch = book.batches.get(pin.batch_id)
    if batch is None or not batch.taken or pin.market_day_id not in book.market_days:
        return False
    squeeze = book.checks.get(batch.picked_over or "")
    return squeeze is not None and squeeze.at == pin.packed_at
