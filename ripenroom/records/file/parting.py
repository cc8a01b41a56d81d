"""The common ancestor of two copies of a season, found from their undo logs.

Both carry the undo log of all that was done to them. As far as the two logs agree the copies were
one; taking back what came after leads to the book of that moment.
"""

import sqlite3
from contextlib import closing
from pathlib import Path

from ripenroom.records.book import Book
from ripenroom.records.file.connection import connect
from ripenroom.records.file.copying import readable_copy
from ripenroom.records.file.season_file import SeasonFile

_Steps = list[tuple[int, str, int]]


def book_before_parting(one: Path, other: Path) -> Book | None:
    """The last book that both copies held; None where their logs do not tell.

    Neither file is touched: steps are taken back in copies of them. Raises :class:`FileRefusal`
    for a copy that cannot be read.
    """
    with readable_copy(one) as mine, readable_copy(other) as theirs:
        copies = (mine, theirs)
        files = [SeasonFile.open(copy) for copy in copies]
        try:
            steps = [_steps(copy) for copy in copies]
            common = _common(*steps)
            books = [
                _before(file, file.read(), len(done) - common)
                for file, done in zip(files, steps, strict=True)
            ]
            # Of one name and one second, two steps may still be different ones.
            while books[0] != books[1] and common > 0:
                books = [_before(file, book, 1) for file, book in zip(files, books, strict=True)]
                common -= 1
        finally:
            for file in files:
                file.close()
    return books[0] if books[0] == books[1] else None


def _before(file: SeasonFile, book: Book, steps: int) -> Book:
    """The book as it was so many steps ago; they are taken back in the file."""
    for _ in range(steps):
        undone = file.undo()
        if undone is not None:
            book = book.with_changes(undone[1].put, undone[1].deleted)
    return book


def _steps(path: Path) -> _Steps:
    with closing(connect(path, writable=False)) as connection:
        return _done(connection)


def _done(connection: sqlite3.Connection) -> _Steps:
    return connection.execute(
        "SELECT id, label, at FROM undo_step WHERE undone = 0 ORDER BY id"
    ).fetchall()


def _common(one: _Steps, other: _Steps) -> int:
    alike = 0
    for mine, theirs in zip(one, other, strict=False):
        if mine != theirs:
            break
        alike += 1
    return alike
