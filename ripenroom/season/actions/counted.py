"""Refuses impossible numbers in forms that count fruit batch by batch, each at its field."""

from collections.abc import Iterable

from ripenroom.records.batch import Batch
from ripenroom.records.book import Book
from ripenroom.records.limits import MOST_FRUIT
from ripenroom.records.refusal import Refusal


def field_of(what: str, batch_id: str) -> str:
    """The field that a refusal names: ``what`` (taken, sold, …) of a batch."""
    return f"{what} {batch_id}"


def require_count(what: str, count: int, batch: Batch) -> None:
    """Refuse a number that no batch can have."""
    if not 0 <= count <= MOST_FRUIT:
        raise Refusal(
            field_of(what, batch.id),
            "{code}: type a whole number from 0 to {most}, not {count}.",
            count=count,
            code=batch.code,
            most=MOST_FRUIT,
        )


def require_once(what: str, batch_ids: Iterable[str], book: Book) -> None:
    """Refuse a batch that was counted in two lines, at its field ``what``."""
    seen: set[str] = set()
    for batch_id in batch_ids:
        if batch_id in seen:
            raise Refusal(
                field_of(what, batch_id),
                "{code} is there twice: put it on one line.",
                code=book.batches[batch_id].code,
            )
        seen.add(batch_id)
