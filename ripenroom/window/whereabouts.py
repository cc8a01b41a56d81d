"""Where every batch waits, found in one pass over the moves."""

from datetime import datetime

from ripenroom.records.book import Book
from ripenroom.records.place import Place


def places_at(book: Book, at: datetime) -> dict[str, Place]:
    """The place of each batch (by id) at a moment; a batch not picked by then is left out."""
    latest: dict[str, tuple[datetime, str]] = {}
    for move in book.moves.values():
        if move.at <= at:
            known = latest.get(move.batch_id)
            if known is None or known[0] <= move.at:
                latest[move.batch_id] = (move.at, move.place_id)
    return {batch_id: book.places[place_id] for batch_id, (_, place_id) in latest.items()}
