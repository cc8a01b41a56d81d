"""Which crops a plan has crates of, and of which it keeps some."""

from collections.abc import Collection

from ripenroom.records.book import Book
from ripenroom.season.plans.planned import Plan


def crops_of(book: Book, plan: Plan) -> tuple[str, ...]:
    """Keys of the crops whose picked crates a plan decides on, each once."""
    batches = book.batches
    ids = (line.batch_id for line in plan.lines if line.batch_id in batches)
    return tuple(dict.fromkeys(batches[batch_id].crop for batch_id in ids))


def keeps_any(book: Book, plan: Plan, crops: Collection[str]) -> bool:
    """Whether a plan keeps crates of some crops for market days that are not entered yet."""
    batches = book.batches
    return any(
        line.kept and line.batch_id in batches and batches[line.batch_id].crop in crops
        for line in plan.lines
    )
