"""The rows of trees of another season, to be laid beside this one's; its file is only read."""

from datetime import date
from pathlib import Path

from ripenroom.records.book import Book
from ripenroom.records.file import FileRefusal, SeasonFile
from ripenroom.records.refusal import Refusal
from ripenroom.season.known_crops import crops_of
from ripenroom.season.moments import local_day
from ripenroom.season.orchard.found import SeasonRows
from ripenroom.season.orchard.row_facts import row_facts
from ripenroom.season.state import SeasonState, zone_of


def season_rows(book: Book) -> SeasonRows:
    """What became of each row of a season, and between which days it was picked."""
    zone = zone_of(book.season)
    days: dict[str, list[date]] = {}
    for batch in book.batches.values():
        if batch.row_id is not None:
            days.setdefault(batch.row_id, []).append(local_day(batch.picked_at, zone))
    facts = row_facts(book, crops_of(book).profiles)
    return SeasonRows(
        book.season.name,
        facts,
        {row_id: (min(of_row), max(of_row)) for row_id, of_row in days.items()},
    )


def rows_of_file(state: SeasonState, path: Path) -> SeasonRows:
    """The rows of another season; raises ``Refusal`` for this season's own file, and others that
    cannot be read."""
    try:
        file = SeasonFile.open(path, read_only=True)
    except FileRefusal as refusal:
        raise Refusal("", "{message}", message=refusal.message) from refusal
    try:
        book = file.read()
    except FileRefusal as refusal:
        raise Refusal("", "{message}", message=refusal.message) from refusal
    finally:
        file.close()
    if book.season.id == state.book.season.id:
        raise Refusal("", "That is this season itself; choose another one.")
    return season_rows(book)
