"""How a batch felt when it was last squeezed: what a grower knows it by."""

from ripenroom.records.batch import FEELS
from ripenroom.records.book import Book


def last_felt(book: Book, batch_id: str) -> str | None:
    """The feel (of :data:`FEELS`) of most of its fruit, at its last check or else at the pick;
    None where it was never felt."""
    batch = book.batches.get(batch_id)
    if batch is None:
        return None
    checks = [
        check
        for check in book.checks.values()
        if check.batch_id == batch_id and check.feel_counts is not None and any(check.feel_counts)
    ]
    last = max(checks, key=lambda check: check.at, default=None)
    counts = batch.feel_counts if last is None else last.feel_counts
    if counts is None or not any(counts):
        return None
    return FEELS[max(range(len(FEELS)), key=lambda feel: counts[feel])]
