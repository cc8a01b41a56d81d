"""Ids of records, and which records refer to which."""

import re
import uuid
from collections.abc import Iterator
from dataclasses import fields
from typing import Final

from ripenroom.records.book import Book, Record

_UUID = re.compile("[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def new_id() -> str:
    """A new random record id (UUID version 4, RFC 9562), as text."""
    return str(uuid.uuid4())


def is_id(text: object) -> bool:
    """Whether something is a UUID as :func:`new_id` writes it, and so may be part of a path.

    >>> is_id(new_id()), is_id("../elsewhere"), is_id(7)
    (True, False, False)
    """
    return isinstance(text, str) and _UUID.fullmatch(text) is not None


SHELF_OF_FIELD: Final = {
    "batch_id": "batches",
    "place_id": "places",
    "market_day_id": "market_days",
    "cultivar_id": "cultivars",
    "row_id": "rows",
}
"""The fields that refer to a record, and the shelf on which it is."""


def references(record: Record) -> Iterator[tuple[str, str, str]]:
    """Field, shelf and id of everything that a record refers to."""
    for field in fields(record):
        shelf = SHELF_OF_FIELD.get(field.name)
        key = getattr(record, field.name) if shelf else None
        if shelf and key is not None:
            yield field.name, shelf, key


def missing(book: Book) -> Iterator[tuple[Record, str, str, str]]:
    """References of a book that lead nowhere: the record, its field, and the shelf and id."""
    for record in book.records():
        for field, shelf, key in references(record):
            if key not in getattr(book, shelf):
                yield record, field, shelf, key
