"""What a grower knows a batch by."""

from dataclasses import replace
from datetime import timedelta

from ripenroom.records.book import Book
from ripenroom.records.check import Check, last_felt
from ripenroom.season.practice import demo_book


def felt(book: Book, batch_id: str) -> str | None:
    """How a batch of a book was last felt."""
    own = (check for check in book.checks.values() if check.batch_id == batch_id)
    return last_felt(book.batches[batch_id], max(own, key=lambda check: check.at, default=None))


def test_the_last_check_counts_before_the_pick() -> None:
    book = demo_book()
    batch = next(b for b in book.batches.values() if b.feel_counts)
    without = book.with_changes(deleted=[c for c in book.checks.values() if c.batch_id == batch.id])
    picked = without.with_changes([replace(batch, feel_counts=(0, 9, 2, 0, 0))])
    assert felt(picked, batch.id) == "slight give"

    def check(number: int, counts: tuple[int, int, int, int, int]) -> Check:
        at = batch.picked_at + timedelta(days=number)
        return Check(id=f"c{number}", batch_id=batch.id, at=at, feel_counts=counts)

    checked = picked.with_changes([check(2, (0, 0, 1, 5, 1)), check(1, (0, 0, 7, 0, 0))])
    assert felt(checked, batch.id) == "soft"


def test_what_was_never_felt_has_none() -> None:
    book = demo_book()
    batch = next(iter(book.batches.values()))
    without = book.with_changes(deleted=[c for c in book.checks.values() if c.batch_id == batch.id])
    assert felt(without.with_changes([replace(batch, feel_counts=None)]), batch.id) is None
