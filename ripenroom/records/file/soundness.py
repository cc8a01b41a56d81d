"""Whether a file is a season file, and whether it is as it was written.

Each check finds problems and puts them into words. Opening stops at the first; verifying goes on
through all of them (see :mod:`.verify`).
"""

import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final, TypeAlias

from ripenroom.bounded_file import in_words
from ripenroom.days import full_day
from ripenroom.records.book import Book, Record, is_id
from ripenroom.records.counts import crowds_in
from ripenroom.records.file.digest import (
    digested_tables,
    row_digest,
    stored_seal,
    total_of,
)
from ripenroom.records.file.mapping import TABLE_NAMED, TABLE_OF, TABLES, book_of, what_in
from ripenroom.records.file.migrations import (
    CURRENT_VERSION,
    STEPS,
    Step,
    columns_at,
    expected_schema,
    schema_of,
)
from ripenroom.records.file.refusal import FileRefusal
from ripenroom.records.file.schema import APPLICATION_ID, RECORD_AT
from ripenroom.records.file.undo_log import step_problems
from ripenroom.records.refusal import Refusal
from ripenroom.records.refusal_words import what_is
from ripenroom.records.season import SeasonDetails
from ripenroom.records.validation import records_out_of_reach
from ripenroom.texts import tr

Rows: TypeAlias = Mapping[str, Sequence[tuple[Any, ...]]]
"""Every row of each table that carries digests, as ``SELECT *`` gives them."""

Heed = Callable[[float], None]
"""Told the share of a look at a file that is done; what it raises ends that early."""

MOST_BYTES: Final = 1_000_000_000
"""Twenty times a season of fifty year-long temperature logs."""


def require_file(path: Path) -> None:
    """Raise :class:`FileRefusal` unless there is a file, and something in it."""
    if path.is_dir():
        raise FileRefusal(
            "foreign", tr("{file} is a folder. Choose a season file in it.").format(file=path.name)
        )
    if not path.exists():
        raise FileRefusal(
            "missing",
            tr("{file} is not in {parent}. Check the name and the folder.").format(
                file=path.name, parent=path.absolute().parent
            ),
        )
    if not path.is_file():
        raise FileRefusal(
            "foreign", tr("{file} is not a file. Choose a season file.").format(file=path.name)
        )
    size = path.stat().st_size
    if size > MOST_BYTES:
        raise FileRefusal(
            "foreign",
            tr("{file} is larger than {size}, which no season is.").format(
                file=path.name, size=in_words(MOST_BYTES)
            ),
        )
    if size == 0:
        raise FileRefusal("damaged", tr("{file} is empty.").format(file=path.name))


def require_season_file(
    connection: sqlite3.Connection, path: Path, steps: tuple[Step, ...] = STEPS
) -> int:
    """The version of the file. Raises :class:`FileRefusal` if it is not one of ours, or newer.

    A file with any table, view or trigger that is not ours is refused before anything is read
    from it: what else is in it might answer in place of the records.
    """
    [application_id] = connection.execute("PRAGMA application_id").fetchone()
    if application_id != APPLICATION_ID:
        raise FileRefusal(
            "foreign",
            tr("{file} is not a ripenroom season file. Choose another file.").format(
                file=path.name
            ),
        )
    [version] = connection.execute("PRAGMA user_version").fetchone()
    if version > len(steps):
        raise FileRefusal(
            "newer",
            tr(
                "{file} was written by a newer ripenroom (its version is {version}, this one "
                "reads up to {n}). Update ripenroom, then open it again."
            ).format(file=path.name, version=version, n=len(steps)),
        )
    if version < 1 or schema_of(connection) != expected_schema(steps[:version]):
        raise FileRefusal(
            "damaged",
            tr(
                "{file} is not laid out as ripenroom lays out a season: it is damaged, or another "
                "program has changed it."
            ).format(file=path.name),
        )
    return int(version)


def length_problems(connection: sqlite3.Connection, path: Path) -> Iterator[str]:
    """A file that is cut short, or that something was added to, in words.

    SQLite itself forgives a last page that is not all there. To be asked within a transaction:
    then an unfinished change is taken back already, and nobody writes meanwhile.
    """
    [pages] = connection.execute("PRAGMA page_count").fetchone()
    [page_bytes] = connection.execute("PRAGMA page_size").fetchone()
    beyond = path.stat().st_size - pages * page_bytes
    if beyond < 0:
        yield tr("It is cut short: bytes missing at its end: {beyond}.").format(beyond=-beyond)
    elif beyond > 0:
        yield tr("It is too long: bytes added at its end: {beyond}.").format(beyond=beyond)


def structure_problems(connection: sqlite3.Connection, *, thorough: bool) -> Iterator[str]:
    """Breaks in the file's structure and in its references, in words."""
    check = "integrity_check" if thorough else "quick_check"
    for (finding,) in connection.execute(f"PRAGMA {check}(20)"):
        if finding != "ok":
            yield tr("The structure of the file is damaged: {split}.").format(
                split=" ".join(finding.split())
            )
    dangling = connection.execute("PRAGMA foreign_key_check").fetchall()
    for child, parent in sorted({(child, parent) for child, _, parent, _ in dangling}):
        yield tr("Not every {child} has its {parent}.").format(
            child=what_in(child), parent=what_in(parent)
        )


def unheeded(share: float) -> None:
    """Takes the share that is done and does nothing: for callers that show no progress."""


def all_rows(connection: sqlite3.Connection) -> Rows:
    """Every row that carries a digest."""
    return {
        table: connection.execute(f"SELECT * FROM {table}").fetchall()
        for table in digested_tables(connection)
    }


_BY_ROWS, _BY_DIGESTS = 0.2, 0.6
"""Shares of a look at a file that are done when its rows are there, and known to be as written."""


def content_problems(
    connection: sqlite3.Connection, rows: Rows, heed: Heed = unheeded
) -> Iterator[str]:
    """Rows that are not as they were written, that are missing, or that were slipped in."""
    total = total_of(())
    all_of_them, done = max(1, sum(map(len, rows.values()))), 0
    for table, table_rows in rows.items():
        heed(_BY_ROWS + (_BY_DIGESTS - _BY_ROWS) * done / all_of_them)
        done += len(table_rows)
        total = total_of((row[0] for row in table_rows if isinstance(row[0], bytes)), total)
        for row in table_rows:
            if row_digest(table, row) != row[0]:
                yield tr("The {what} {name} is not as it was written.").format(
                    what=what_in(table), name=_name_of(table, row, rows)
                )
    if total != stored_seal(connection):
        yield tr("A record is missing or was not written by ripenroom.")


def require_whole(connection: sqlite3.Connection, path: Path) -> None:
    """Raise :class:`FileRefusal` unless the file is as long as it says."""
    for problem in length_problems(connection, path):
        raise _damaged(path, problem)


def require_sound(connection: sqlite3.Connection, path: Path, heed: Heed = unheeded) -> Rows:
    """Every row, checked. Raises :class:`FileRefusal` naming the first problem."""
    heed(0.0)
    for problem in structure_problems(connection, thorough=False):
        raise _damaged(path, problem)
    rows = all_rows(connection)
    for problem in content_problems(connection, rows, heed):
        raise _damaged(path, problem)
    for problem in step_problems(rows["undo_step"]):
        raise _damaged(path, problem)
    return rows


def require_book(rows: Rows, path: Path, heed: Heed = unheeded) -> Book:
    """The records of a sound file.

    Raises :class:`FileRefusal` naming the first that cannot be, whoever wrote it.
    """
    look = BookLook(rows, heed=heed)
    for problem in look.problems():
        raise _damaged(path, problem)
    assert look.book is not None
    return look.book


class BookLook:
    """What the rows of a file of a ``version`` say; ``book`` is there once no problem was found."""

    def __init__(self, rows: Rows, version: int = CURRENT_VERSION, heed: Heed = unheeded) -> None:
        self._rows = rows
        self._heed = heed
        self._older = columns_at(version) if version != CURRENT_VERSION else {}
        self.book: Book | None = None

    def problems(self) -> Iterator[str]:
        """Every record that cannot be, in words; then those that lie too far from their season
        or are too many."""
        records: list[Record] = []
        seasons: list[SeasonDetails] = []
        wrong = False
        all_of_them, done = max(1, sum(map(len, self._rows.values()))), 0
        for table in TABLES:
            self._heed(_BY_DIGESTS + (1.0 - _BY_DIGESTS) * done / all_of_them)
            done += len(self._rows.get(table.name, ()))
            columns = self._older.get(table.name, ())[RECORD_AT:]
            for row in self._rows.get(table.name, ()):
                try:
                    record = table.record_of(row, columns)
                except Refusal as refusal:
                    wrong = True
                    named = _name_of(table.name, row, self._rows)
                    yield _cannot_be(table.record_type, named, refusal)
                else:
                    (seasons if isinstance(record, SeasonDetails) else records).append(record)  # type: ignore[arg-type]
        if wrong:
            return
        if len(seasons) != 1:
            yield tr("The season’s own record is missing.")
            return
        if not is_id(seasons[0].id):  # its copies lie in a folder of that name
            wrong = True
            yield tr("The id of the season is no UUID.")
        book = book_of(seasons[0], records)
        for record, why in records_out_of_reach(book):
            wrong = True
            table = TABLE_OF[type(record)]
            named = _name_of(table.name, (*[None] * RECORD_AT, *table.row_of(record)), self._rows)
            yield _cannot_be(type(record), named, why)
        for crowd, owner in crowds_in(book):
            wrong = True
            yield crowd.problem(owner)
        if not wrong:
            self.book = book


def _damaged(path: Path, problem: str) -> FileRefusal:
    text = tr("{file} is damaged. {problem}")
    return FileRefusal("damaged", text.format(file=path.name, problem=problem))


def _cannot_be(kind: type, name: str, why: Refusal) -> str:
    text = tr("The {what} {name} is not possible: {why}")
    return text.format(what=what_is(kind), name=name, why=why.message)


def _name_of(table: str, row: tuple[Any, ...], rows: Rows) -> str:
    """What a grower knows a record by: its code or name, or else what it belongs to and its day."""
    values = _values(table, row)
    for name in ("code", "name"):
        if name in values:
            return _quoted(values[name])
    owned = next(((field, of) for field, of in _OWNERS.items() if field in values), None)
    if owned is None:
        return _quoted(row[RECORD_AT + 1])
    field, of = owned
    owners = (_values(of, other) for other in rows.get(of, ()))
    owner = next((other for other in owners if other["id"] == values[field]), {})
    name = owner.get("code", owner.get("name", values[field]))
    on = _day_of(values)
    text = tr("of the {what} {name} on {day}") if on else tr("of the {what} {name}")
    return text.format(what=what_in(of), name=_quoted(name), day=on)


_OWNERS: Final = {"place_id": "place", "batch_id": "batch", "market_day_id": "market_day"}
"""Fields that name what a record without a name belongs to, and its table."""


def _values(table: str, row: tuple[Any, ...]) -> dict[str, Any]:
    columns = TABLE_NAMED[table].columns if table in TABLE_NAMED else ()
    return dict(zip(columns, row[RECORD_AT:], strict=False))


def _day_of(values: Mapping[str, Any]) -> str:
    """The day of a row; nothing where it has none that can be."""
    try:
        return full_day(datetime.fromtimestamp(values["at"], UTC))
    except (KeyError, TypeError, ValueError, OverflowError, OSError):
        return ""


def _quoted(name: object) -> str:
    return f"“{str(name)[:40]}”"
