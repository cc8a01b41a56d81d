"""One action on a season file: one transaction, one undo step, all of it or nothing.

The rows that it changes are kept as they were, and their digests come and go with them.
"""

import sqlite3
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from ripenroom.records.book import Record
from ripenroom.records.counts import MOST, Crowd
from ripenroom.records.file import undo_log
from ripenroom.records.file.connection import roll_back
from ripenroom.records.file.digest import (
    UNSEALED,
    reseal,
    row_digest,
    stored_seal,
    total_of,
    total_without,
    write_seal,
)
from ripenroom.records.file.mapping import TABLE_OF, TABLES, RecordTable, what_in
from ripenroom.records.file.refusal import Unanswered, UndoLost
from ripenroom.records.file.schema import RECORD_AT
from ripenroom.records.file.undo_log import Inverse
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import SeasonDetails
from ripenroom.records.validation import require_within_reach


@dataclass(frozen=True, slots=True)
class Change:
    """What an action did, as the file now holds it: fit for ``Book.with_changes(put, deleted)``."""

    put: tuple[Record, ...] = ()
    deleted: tuple[Record, ...] = ()


class Touched:
    """The rows an action touches: how they were, and which digests come and go with them."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._before: dict[tuple[RecordTable, str], tuple[Any, ...] | None] = {}
        self.added: list[bytes] = []
        self.removed: list[bytes] = []

    def delete(self, table: RecordTable, row_id: str) -> None:
        self._remember(table, row_id)
        self._connection.execute(f"DELETE FROM {table.name} WHERE id = ?", (row_id,))

    def put(self, record: Record) -> None:
        table = TABLE_OF[type(record)]
        row = table.row_of(record)
        self._remember(table, record.id)
        current = self._row(table, record.id)
        if current is None:
            self._insert(table, dict(zip(table.columns, row, strict=True)))
        elif current[RECORD_AT:] != row:
            self._update(table, record.id, dict(zip(table.columns, row, strict=True)))

    def apply(self, inverse: Inverse) -> None:
        table, row_id = inverse.table, inverse.row_id
        self._remember(table, row_id)
        match inverse.action:
            case "delete":
                self.delete(table, row_id)
            case "insert":
                self._insert(table, {"id": row_id, **inverse.values})
            case "update":
                self._update(table, row_id, inverse.values)

    def stamp(self, now: int) -> Change:
        """Date and digest every row that has changed; what has changed."""
        put: list[Record] = []
        deleted: list[Record] = []
        for (table, row_id), before in self._before.items():
            after = self._row(table, row_id)
            if after == before:
                continue
            if before is not None:
                self.removed.append(before[0])
            if after is None:
                assert before is not None
                deleted.append(table.record_of(before))
                continue
            digest = row_digest(table.name, (UNSEALED, now, *after[RECORD_AT:]))
            self._connection.execute(
                f"UPDATE {table.name} SET changed_at = ?, digest = ? WHERE id = ?",
                (now, digest, row_id),
            )
            self.added.append(digest)
            put.append(table.record_of(after))
        return Change(tuple(put), tuple(deleted))

    def _remember(self, table: RecordTable, row_id: str) -> None:
        if (table, row_id) not in self._before:
            self._before[table, row_id] = self._row(table, row_id)

    def _row(self, table: RecordTable, row_id: str) -> tuple[Any, ...] | None:
        row: tuple[Any, ...] | None = self._connection.execute(
            f"SELECT * FROM {table.name} WHERE id = ?", (row_id,)
        ).fetchone()
        return row

    def _insert(self, table: RecordTable, values: dict[str, Any]) -> None:
        columns = ", ".join(f'"{column}"' for column in values)
        places = "?, " * len(values)
        self._connection.execute(
            f"INSERT INTO {table.name} ({columns}, changed_at, digest) VALUES ({places} 0, ?)",
            (*values.values(), UNSEALED),
        )

    def _update(self, table: RecordTable, row_id: str, values: dict[str, Any]) -> None:
        settings = ", ".join(f'"{column}" = ?' for column in values if column != "id")
        self._connection.execute(
            f"UPDATE {table.name} SET {settings} WHERE id = ?",
            (*(value for column, value in values.items() if column != "id"), row_id),
        )


def write(
    connection: sqlite3.Connection, label: str, put: Iterable[Record], deleted: Iterable[Record]
) -> Change:
    """Take records out and put records in, as one undo step; an action without effect is no step.

    Raises :class:`Refusal` for a record that cannot be; then nothing has changed.
    """
    with _transaction(connection):
        now = int(time.time())
        step, dropped = undo_log.begin_step(connection, label, now)
        touched = Touched(connection)
        for record in deleted:
            if isinstance(record, SeasonDetails):
                raise ValueError("a season file always holds its season")
            touched.delete(TABLE_OF[type(record)], record.id)
        for record in put:
            touched.put(record)
        change = touched.stamp(now)
        if change != Change():
            _require_within_reach(connection, change)
            _require_room(connection, change.put)
            touched.removed += dropped
            touched.added.append(undo_log.end_step(connection, step))
            _seal_and_commit(connection, touched)
        return change


def step(
    connection: sqlite3.Connection, direction: undo_log.Direction
) -> tuple[str, Change] | None:
    """Undo or redo one step: its label and what changed, or None when there is no such step."""
    with _transaction(connection):
        found = undo_log.next_step(connection, direction)
        if found is None:
            return None
        step_id, label = found
        inverses, old_digest = undo_log.reopen_step(connection, step_id)
        touched = Touched(connection)
        try:
            for inverse in inverses:
                touched.apply(inverse)
            change = touched.stamp(int(time.time()))
            _require_within_reach(connection, change)
            _require_room(connection, change.put)
        except (Refusal, sqlite3.IntegrityError, sqlite3.InterfaceError) as error:
            raise UndoLost("the undo log holds what no action wrote") from error
        touched.removed.append(old_digest)
        touched.added.append(undo_log.end_step(connection, step_id))
        _seal_and_commit(connection, touched)
        return label, change


def insert_first(connection: sqlite3.Connection, records: Iterable[Record]) -> None:
    """Put records into a file that is being made, outside any undo step, and seal it.

    Of two with one id the later is kept.
    """
    now = int(time.time())
    put: list[Record] = []
    rows: dict[RecordTable, dict[str, tuple[Any, ...]]] = {table: {} for table in TABLES}
    for record in records:
        table = TABLE_OF[type(record)]
        rows[table][record.id] = (now, UNSEALED, *table.row_of(record))
        put.append(record)
    for table, of_table in rows.items():
        columns = ", ".join(f'"{column}"' for column in ("changed_at", "digest", *table.columns))
        places = ", ".join("?" * (len(table.columns) + RECORD_AT))
        connection.executemany(
            f"INSERT INTO {table.name} ({columns}) VALUES ({places})", of_table.values()
        )
    reseal(connection)
    _require_within_reach(connection, Change(tuple(put)))
    _require_room(connection, put)


def _require_within_reach(connection: sqlite3.Connection, change: Change) -> None:
    """Refuse dates too far from the season's first day; if that has changed, look at all."""
    table = TABLE_OF[SeasonDetails]
    row = connection.execute(f"SELECT * FROM {table.name}").fetchone()
    if row is None:
        raise Refusal("", "A season file always holds its season. Nothing was changed.")
    season = table.record_of(row)
    assert isinstance(season, SeasonDetails)
    records: Iterable[Record] = change.put
    if any(isinstance(record, SeasonDetails) for record in change.put):
        records = (
            table.record_of(row)
            for table in TABLES
            for row in connection.execute(f"SELECT * FROM {table.name}")
        )
    require_within_reach(season, records)


def _require_room(connection: sqlite3.Connection, put: Iterable[Record]) -> None:
    """Refuse more records than a season may hold, of the kinds that were put in."""
    for kind in {type(record) for record in put} & MOST.keys():
        most, table = MOST[kind], TABLE_OF[kind].name
        [count] = connection.execute(f"SELECT count(*) FROM {table}").fetchone()
        if count > most.season:
            raise Crowd(kind, count).refusal("")
        if not most.owner or count <= most.each:
            continue
        crowded = connection.execute(
            f"SELECT {most.owner}, count(*) FROM {table} GROUP BY 1 HAVING count(*) > {most.each}"
        ).fetchone()
        if crowded is not None:
            crowd = Crowd(kind, crowded[1], crowded[0])
            raise crowd.refusal(_name_of(connection, crowd))


def _name_of(connection: sqlite3.Connection, crowd: Crowd) -> str:
    """What a grower calls the record that has too many."""
    assert crowd.owner_kind is not None
    table = TABLE_OF[crowd.owner_kind]
    named = "code" if "code" in table.columns else "name"
    found = connection.execute(
        f"SELECT {named} FROM {table.name} WHERE id = ?", (crowd.owner_id,)
    ).fetchone()
    return str(found[0] if found else crowd.owner_id)


@contextmanager
def _transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """A transaction that is logged, and taken back unless it has been committed by its end."""
    undo_log.install(connection)
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
    except sqlite3.IntegrityError as error:
        raise refusal_of_constraint(connection, error) from error
    finally:
        roll_back(connection)


def _seal_and_commit(connection: sqlite3.Connection, touched: Touched) -> None:
    total = total_of(touched.added, stored_seal(connection))
    total = total_without(touched.removed, total)
    write_seal(connection, total)
    try:
        connection.execute("COMMIT")
    except sqlite3.OperationalError:
        # A commit may report an error and yet have been done (the sync of the folder fails when
        # all is written). Only the file knows, and the seal differs after every action.
        try:
            roll_back(connection)
            done = stored_seal(connection) == total
        except sqlite3.Error as unreadable:
            raise Unanswered(str(unreadable)) from unreadable
        if not done:
            raise


def refusal_of_constraint(connection: sqlite3.Connection, error: sqlite3.IntegrityError) -> Refusal:
    """Which reference leads nowhere, or which value no column takes."""
    if error.sqlite_errorcode == sqlite3.SQLITE_CONSTRAINT_FOREIGNKEY:
        missing = connection.execute("PRAGMA foreign_key_check").fetchone()
        if missing is not None:
            return Refusal(
                "",
                "This would leave a record ({child}) without its {parent}. Nothing was changed.",
                child=what_in(missing[0]),
                parent=what_in(missing[2]),
            )
    return Refusal(
        "",
        "A value is outside what a season file keeps ({reason}). Nothing was changed.",
        reason=str(error),
    )
