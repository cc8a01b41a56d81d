"""Which crops a plan has crates of."""

from ripenroom.records.book import Book
from ripenroom.season.plans.planned import Plan


def crops_of(book: Book, plan: Plan) -> tuple[str, ...]:
    """Keys of the crops whose picked crates a plan decides on, each once."""
    batches = book.batches
    ids = (line.batch_id for line in plan.lines if line.batch_id in batches)
    return tuple(dict.fromkeys(batches[batch_id].crop for batch_id in ids))
