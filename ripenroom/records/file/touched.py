"""The rows that an action changes, before and after, with their digests."""

import sqlite3
from dataclasses import dataclass
from typing import Any

from ripenroom.records.book import Record
from ripenroom.records.file.digest import UNSEALED, row_digest
from ripenroom.records.file.mapping import TABLE_OF, Table
from ripenroom.records.file.schema import RECORD_AT
from ripenroom.records.file.undo_log import Inverse


@dataclass(frozen=True, slots=True)
class Change:
    """What an action did, as the file now holds it: fit for ``Book.with_changes(put, deleted)``."""

    put: tuple[Record, ...] = ()
    deleted: tuple[Record, ...] = ()


class Touched:
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
