"""The book of another season, out of its file, which is only read."""

from pathlib import Path

from ripenroom.records.book import Book
from ripenroom.records.file import FileRefusal, SeasonFile
from ripenroom.records.refusal import Refusal


def other_book(path: Path, own: Book, why_not_own: str) -> Book:
    """What a season file holds; raises ``Refusal`` where it cannot be read, or is the ``own``."""
    try:
        file = SeasonFile.open(path, read_only=True)
        try:
            book = file.read()
        finally:
            file.close()
    except FileRefusal as refusal:
        raise Refusal("", "{message}", message=refusal.message) from refusal
    if book.season.id == own.season.id:
        raise Refusal("", why_not_own)
    return book
