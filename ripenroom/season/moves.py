"""Which moves a batch made, in their order."""

from ripenroom.records.batch import Move
from ripenroom.records.book import Book


def moves_of(book: Book, batch_id: str) -> list[Move]:
    """A batch's moves, earliest first."""
    return sorted(
        (move for move in book.moves.values() if move.batch_id == batch_id), key=lambda m: m.at
    )


def moves_by_batch(book: Book) -> dict[str, list[Move]]:
    """The moves of every batch that has any, earliest first; one pass over the book."""
    found: dict[str, list[Move]] = {}
    for move in sorted(book.moves.values(), key=lambda m: m.at):
        found.setdefault(move.batch_id, []).append(move)
    return found
