"""One action on a season file: one transaction, one undo step, all of it or nothing."""

import sqlite3
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from ripenroom.records.book import Record
from ripenroom.records.file import undo_log
from ripenroom.records.file.connection import roll_back
from ripenroom.records.file.digest import (
    UNSEALED,
    row_digest,
    stored_seal,
    total_of,
    total_without,
    write_seal,
)
from ripenroom.records.file.mapping import TABLE_OF, Table
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import Season


@dataclass(frozen=True, slots=True)
class Change:
    """What an action did, as the file now holds it: fit for ``Book.with_changes(put, deleted)``."""

    put: tuple[Record, ...] = ()
    deleted: tuple[Record, ...] = ()


def write(
    connection: sqlite3.Connection, label: str, put: Iterable[Record], deleted: Iterable[Record]
) -> Change:
    """Take records out and put records in, as one undo step; an action without effect is no step.

    Raises :class:`Refusal` for what no file can keep; then nothing has changed.
    """
    with _transaction(connection):
        now = int(time.time())
        step, dropped = undo_log.begin_step(connection, label, now)
        touched = _Touched(connection)
        for record in deleted:
            if isinstance(record, Season):
                raise ValueError("a season file always holds its season")
            touched.delete(TABLE_OF[type(record)], record.id)
        for record in put:
            touched.put(record)
        change = touched.stamp(now)
        if change != Change():
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
        touched = _Touched(connection)
        for inverse in inverses:
            touched.apply(inverse)
        change = touched.stamp(int(time.time()))
        touched.removed.append(old_digest)
        touched.added.append(undo_log.end_step(connection, step_id))
        _seal_and_commit(connection, touched)
        return label, change


def insert_first(connection: sqlite3.Connection, records: Iterable[Record]) -> None:
    """Put records into a file that is being made, outside any undo step, and seal it."""
    touched = _Touched(connection)
    for record in records:
        touched.put(record)
    touched.stamp(int(time.time()))
    write_seal(connection, total_of(touched.added))


class _Touched:
    """The rows an action touches: how they were, and which digests come and go with them."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._before: dict[tuple[Table, str], tuple[Any, ...] | None] = {}
        self.added: list[bytes] = []
        self.removed: list[bytes] = []

    def delete(self, table: Table, row_id: str) -> None:
        self._remember(table, row_id)
        self._connection.execute(f"DELETE FROM {table.name} WHERE id = ?", (row_id,))

    def put(self, record: Record) -> None:
        table = TABLE_OF[type(record)]
        row = table.row_of(record)
        self._remember(table, record.id)
        current = self._row(table, record.id)
        if current is None:
            self._insert(table, dict(zip(table.columns, row, strict=True)))
        elif current[: len(row)] != row:
            self._update(table, record.id, dict(zip(table.columns, row, strict=True)))

    def apply(self, inverse: undo_log.Inverse) -> None:
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
                self.removed.append(before[-1])
            if after is None:
                assert before is not None
                deleted.append(table.record_of(before))
                continue
            digest = row_digest(table.name, (*after[:-2], now, UNSEALED))
            self._connection.execute(
                f"UPDATE {table.name} SET changed_at = ?, digest = ? WHERE id = ?",
                (now, digest, row_id),
            )
            self.added.append(digest)
            put.append(table.record_of(after))
        return Change(tuple(put), tuple(deleted))

    def _remember(self, table: Table, row_id: str) -> None:
        if (table, row_id) not in self._before:
            self._before[table, row_id] = self._row(table, row_id)

    def _row(self, table: Table, row_id: str) -> tuple[Any, ...] | None:
        row: tuple[Any, ...] | None = self._connection.execute(
            f"SELECT * FROM {table.name} WHERE id = ?", (row_id,)
        ).fetchone()
        return row

    def _insert(self, table: Table, values: dict[str, Any]) -> None:
        columns = ", ".join(f'"{column}"' for column in values)
        places = "?, " * len(values)
        self._connection.execute(
            f"INSERT INTO {table.name} ({columns}, changed_at, digest) VALUES ({places} 0, ?)",
            (*values.values(), UNSEALED),
        )

    def _update(self, table: Table, row_id: str, values: dict[str, Any]) -> None:
        settings = ", ".join(f'"{column}" = ?' for column in values if column != "id")
        self._connection.execute(
            f"UPDATE {table.name} SET {settings} WHERE id = ?",
            (*(value for column, value in values.items() if column != "id"), row_id),
        )


@contextmanager
def _transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """A transaction that is taken back unless it has been committed by its end."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
    except sqlite3.IntegrityError as error:
        raise _refusal_of_constraint(connection, error) from error
    except sqlite3.DataError as error:
        raise Refusal("", "A text is too long to be kept. Nothing was changed.") from error
    finally:
        roll_back(connection)


def _seal_and_commit(connection: sqlite3.Connection, touched: _Touched) -> None:
    total = total_of(touched.added, stored_seal(connection))
    total = total_without(touched.removed, total)
    write_seal(connection, total)
    try:
        connection.execute("COMMIT")
    except sqlite3.OperationalError:
        # A commit may report an error and yet have been done (the sync of the folder fails when
        # all is written). Only the file knows, and the seal differs after every action.
        roll_back(connection)
        if stored_seal(connection) != total:
            raise


def _refusal_of_constraint(
    connection: sqlite3.Connection, error: sqlite3.IntegrityError
) -> Refusal:
    if error.sqlite_errorcode == sqlite3.SQLITE_CONSTRAINT_FOREIGNKEY:
        missing = connection.execute("PRAGMA foreign_key_check").fetchone()
        if missing is not None:
            return Refusal(
                "",
                "This would leave a {child} without its {parent}. Nothing was changed.",
                child=missing[0].replace("_", " "),
                parent=missing[2].replace("_", " "),
            )
    return Refusal(
        "",
        "A value is outside what a season file keeps ({reason}). Nothing was changed.",
        reason=str(error),
    )
