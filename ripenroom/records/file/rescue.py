"""What can still be read of a damaged season file, put into a new one.

Every row carries a digest of its own content, so a row that is read at all is known to be right or
wrong. What is right is kept; what refers to something that is gone goes too. Of more records than a
season may hold the earliest are kept. The damaged file is only read; a change that was never
finished is taken back in a copy.
"""

import sqlite3
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ripenroom.records.book import SHELF_OF, Book, Record, missing_references
from ripenroom.records.counts import without_crowds
from ripenroom.records.file.connection import connect
from ripenroom.records.file.copying import readable_copy
from ripenroom.records.file.digest import digest_of, row_digest
from ripenroom.records.file.mapping import TABLE_NAMED, TABLE_OF, TABLES, RecordTable, book_of
from ripenroom.records.file.migrations import STEPS, columns_at
from ripenroom.records.file.raw_pages import records_in
from ripenroom.records.file.refusal import FileRefusal, refusing
from ripenroom.records.file.schema import APPLICATION_ID, RECORD_AT
from ripenroom.records.file.season_details import (
    ALL_DETAILS,
    details_lost,
    fitting,
    season_of,
)
from ripenroom.records.file.season_file import SeasonFile
from ripenroom.records.file.undo_log import entries_of
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails
from ripenroom.records.validation import checked, out_of_reach
from ripenroom.texts import tr


@dataclass(frozen=True, slots=True)
class Rescued:
    """What was found in a damaged file.

    ``lost`` counts, by kind of record, what was there and could not be read or stood alone: rows
    that are not as they were written, what other records or the undo log know of, what cannot
    stand without those, what is more than a season may hold. ``lost_details`` are the fields of the
    season's own record that were replaced. Where ``torn``, some were found in pages that may not
    have been in use any more: what was deleted may be back.
    """

    book: Book
    lost: dict[type, int]
    lost_details: tuple[str, ...]
    torn: bool

    @property
    def season_is_lost(self) -> bool:
        """Whether anything of the season's own record was replaced."""
        return bool(self.lost_details)

    @property
    def all_details_are_lost(self) -> bool:
        """Whether nothing of the season's own record was kept."""
        return self.lost_details == ALL_DETAILS


def readable(path: Path, instead: SeasonDetails) -> Rescued:
    """All sound records of a damaged season file; ``instead`` stands in for a lost season.

    Raises :class:`FileRefusal` if it is a newer season file, or if no record is found in it.
    """
    with readable_copy(path) as copy, refusing(path):
        torn = {table.name for table in TABLES}
        rows: list[_Row] = []
        known: set[_Key] = set()
        # Without the names of its tables all of it is torn.
        with suppress(sqlite3.Error), closing(connect(copy, writable=True)) as connection:
            # The first look takes an unfinished change back, if there is one.
            rows, torn = _rows_by_table(connection, _version_of(connection, path))
            known = _known_to_undo_log(connection)
        if torn:
            in_pages = _rows_of_pages(copy.read_bytes())
            rows += [row for row in in_pages if row[0].name in torn]
        sound, seen = _sorted(rows)
    own = _own_row(rows)
    if not sound and own is None:
        raise FileRefusal(
            "damaged",
            tr("{file} is not a season file, or nothing in it can be read any more.").format(
                file=path.name
            ),
        )
    rest = [record for record in sound if not isinstance(record, SeasonDetails)]
    season = fitting(season_of(own[2], own[1], instead) if own else instead, rest)
    far = [record for record, _ in out_of_reach(season, rest)]
    whole, unreferred = _standing(book_of(season, rest).with_changes((), far))
    book, crowded_out = _standing(without_crowds(whole))
    kept = {(type(record), record.id) for record in book.records()}
    lost = Counter(
        kind
        for kind, _ in (seen | known | unreferred | crowded_out) - kept
        if kind is not SeasonDetails or own is None
    )
    lost_details = details_lost(own[2], own[1], season) if own else ALL_DETAILS
    return Rescued(book, dict(lost), lost_details, bool(torn))


def rescue(path: Path, target: Path, instead: SeasonDetails) -> Rescued:
    """Write what can be read of ``path`` to a new season file, never over another."""
    rescued = readable(path, instead)
    SeasonFile.create(target, rescued.book.season, rescued.book.records()).close()
    return rescued


_Row = tuple[RecordTable, Sequence[str], tuple[Any, ...]]
"""A row as ``SELECT *`` gives it, with its table and the names of its columns."""


_Key = tuple[type, str]
"""A kind of record and the id of one."""

_KIND_ON = {shelf: kind for kind, shelf in SHELF_OF.items()}


def _sorted(rows: Iterable[_Row]) -> tuple[list[Record], set[_Key]]:
    """The sound records among rows, and what all of the rows were: of two of one id, the one
    that was changed later is taken."""
    seen: set[_Key] = set()
    latest: dict[_Key, tuple[int, Record]] = {}
    for table, columns, row in rows:
        seen.add((table.record_type, str(row[columns.index("id")])))
        record = _record(table, columns, row)
        if record is not None:
            key = (table.record_type, record.id)
            if key not in latest or latest[key][0] <= row[1]:
                latest[key] = (row[1], record)
    return [record for _, record in latest.values()], seen


def _known_to_undo_log(connection: sqlite3.Connection) -> set[_Key]:
    """What has to be there, as far as the undo log goes back: put in and not taken out since."""
    there: dict[_Key, bool] = {}
    with suppress(sqlite3.Error, MemoryError, UnicodeDecodeError):
        steps = connection.execute("SELECT id, log_digest FROM undo_step").fetchall()
        sound = {
            step for step, digest in steps if digest_of(*entries_of(connection, step)) == digest
        }
        for step, inverse, name, row_id in connection.execute(
            "SELECT step, inverse, table_name, row_id FROM undo_log ORDER BY seq"
        ):
            if step in sound and name in TABLE_NAMED:
                there[TABLE_NAMED[name].record_type, row_id] = inverse != "insert"
    return {key for key, is_there in there.items() if is_there}


def _own_row(rows: Iterable[_Row]) -> _Row | None:
    """The season's own row as it was written last; one that can be goes before one that cannot."""
    written = [row for row in rows if row[0].record_type is SeasonDetails and _is_as_written(*row)]
    return max(written, key=lambda row: (_record(*row) is not None, row[2][1]), default=None)


def _record(table: RecordTable, columns: Sequence[str], row: tuple[Any, ...]) -> Record | None:
    """The record of a row, perhaps of an older version that lacks some columns, if it can be."""
    if not _is_as_written(table, columns, row):
        return None
    with suppress(Refusal):
        return table.record_of(row, columns[RECORD_AT:])
    return None


def _is_as_written(table: RecordTable, columns: Sequence[str], row: tuple[Any, ...]) -> bool:
    return len(row) == len(columns) and row_digest(table.name, row) == row[0]


def _version_of(connection: sqlite3.Connection, path: Path) -> int:
    """The version of the file; refuse one that is newer. Its layout may be damaged."""
    [application_id] = connection.execute("PRAGMA application_id").fetchone()
    [version] = connection.execute("PRAGMA user_version").fetchone()
    if application_id != APPLICATION_ID or version < 1:
        raise sqlite3.DatabaseError("the beginning of the file is damaged")
    if version > len(STEPS):
        raise FileRefusal(
            "newer",
            tr("{file} was written by a newer ripenroom. Update ripenroom, then try again.").format(
                file=path.name
            ),
        )
    connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    return int(version)


def _rows_by_table(connection: sqlite3.Connection, version: int) -> tuple[list[_Row], set[str]]:
    """Rows that SQLite can reach in each table, and the tables in which it met damage.

    Those are read from either end, as far as the damage lets it go.
    """
    rows: list[_Row] = []
    torn: set[str] = set()
    for name, columns in columns_at(version).items():
        found: dict[Any, tuple[Any, ...]] = {}
        named = ", ".join(f'"{column}"' for column in columns)
        key = columns.index("id")
        for order in ("", " ORDER BY id DESC"):
            try:
                for row in connection.execute(f"SELECT {named} FROM main.{name}{order}"):
                    found.setdefault(row[key], row)
            except (sqlite3.Error, MemoryError, UnicodeDecodeError):
                torn.add(name)
                continue
            break
        rows += [(TABLE_NAMED[name], columns, row) for row in found.values()]
    return rows, torn


def _rows_of_pages(content: bytes) -> Iterator[_Row]:
    """Rows found page by page; each one's digest tells to which table it belongs."""
    layouts = [
        (TABLE_NAMED[name], columns)
        for version in range(1, len(STEPS) + 1)
        for name, columns in columns_at(version).items()
    ]
    for stored in records_in(content):
        for table, columns in layouts:
            if len(stored) != len(columns) or not isinstance(stored[1], bytes):
                continue
            # The key is stored first, then the other columns in their order.
            row = (*stored[1 : RECORD_AT + 1], stored[0], *stored[RECORD_AT + 1 :])
            if row_digest(table.name, row) == row[0]:
                yield table, columns, row
                break


def _standing(book: Book) -> tuple[Book, set[_Key]]:
    """The book without records that refer to lost ones, and what those and the lost ones are.

    What may be empty is emptied, unless the record cannot be without it.
    """
    lost: set[_Key] = set()
    while lacking := list(missing_references(book)):
        put: list[Record] = []
        gone: list[Record] = []
        for record, field, shelf, lost_id in lacking:
            lost.add((_KIND_ON[shelf], lost_id))
            if (emptied := _emptied(record, field)) is not None:
                put.append(emptied)
            else:
                gone.append(record)
                lost.add((type(record), record.id))
        # One record may lack two things: first empty what can be emptied, then look again.
        book = book.with_changes(put) if put else book.with_changes((), gone)
    return book, lost


def _emptied(record: Record, field: str) -> Record | None:
    """The record without what a field refers to; None if it cannot be without."""
    if field not in TABLE_OF[type(record)].optional:
        return None
    with suppress(Refusal):  # what is said together: where crates go, and when
        return checked(replace(record, **{field: None}))  # type: ignore[arg-type]
    return None
