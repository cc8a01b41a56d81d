"""The rows of trees of another season, to be laid beside this one's; its file is only read."""

from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

from ripenroom.records.book import Book
from ripenroom.season.known_crops import crops_of
from ripenroom.season.moments import local_day
from ripenroom.season.orchard.found import SeasonRows
from ripenroom.season.orchard.lessons import tree_lessons
from ripenroom.season.orchard.row_facts import row_facts
from ripenroom.season.other_book import other_book
from ripenroom.season.state import SeasonState, zone_of
from ripenroom.texts import noted


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
    own = noted("That is this season itself; choose another one.")
    book = other_book(path, state.book, own)
    crops, last = crops_of(book).profiles, _last_look(book) or state.now
    lessons = tree_lessons(SeasonState(book, crops, last, zone_of(book.season)))
    return replace(season_rows(book), lessons=lessons)


def _last_look(book: Book) -> datetime | None:
    """When anything was seen of the trees last."""
    seen = [walk.at for walk in book.walks.values()]
    seen += [batch.picked_at for batch in book.batches.values() if batch.row_id is not None]
    return max(seen, default=None)
