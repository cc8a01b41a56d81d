"""The undo log: what each action changed, written by triggers on every record table.

Because the triggers write it, no action can forget to. For each changed row the log holds how to
go back, column by column in the column's own type: a text form would round figures. Taking a step
back is itself logged by the same triggers, and that is the redo. Steps not undone come first,
undone ones after them; a new action drops the undone ones.

The log lives in the file and so survives a restart. The triggers do not: they are made anew, as
temporary ones, before the first action on a file that was opened, so a file has no code of its own
to be trusted, and one that is only looked at is open sooner.
"""

import sqlite3
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter
from typing import Any, Final, Literal

from ripenroom.records.file.connection import roll_back
from ripenroom.records.file.digest import UNSEALED, digest_of, row_digest
from ripenroom.records.file.mapping import TABLE_NAMED, TABLES, RecordTable
from ripenroom.records.file.refusal import UndoLost
from ripenroom.texts import tr

Direction = Literal["undo", "redo"]

LONGEST_LABEL: Final = 1_000
"""Two of the longest names, the longest name of a file and the words around them fit in."""

_LAST_SECOND: Final = 253_402_300_799
"""The end of the year 9999 (UTC): when a step was done goes by the computer's clock, whatever the
season's days are."""

_LAST_DONE = "coalesce((SELECT id FROM undo_step WHERE undone = 0 ORDER BY id DESC LIMIT 1), -1)"
"""Steps that are undone come after it: looked for from the end, however many were done."""

_NEXT: dict[Direction, str] = {
    "undo": "SELECT id, label, log_digest FROM undo_step WHERE undone = 0 ORDER BY id DESC LIMIT 1",
    "redo": "SELECT id, label, log_digest FROM undo_step"
    f" WHERE id > {_LAST_DONE} AND undone = 1 ORDER BY id LIMIT 1",
}


@dataclass(frozen=True, slots=True)
class Inverse:
    """How to take one row back: delete it, insert it anew, or set these columns."""

    action: Literal["delete", "update", "insert"]
    table: RecordTable
    row_id: str
    values: dict[str, Any]


def install(connection: sqlite3.Connection) -> None:
    """Make the triggers, unless this connection has them; from here on a change outside a step is
    refused by the log's NOT NULL."""
    if connection.execute("SELECT 1 FROM temp.sqlite_master LIMIT 1").fetchone():
        return
    connection.execute("BEGIN")  # all of them or none
    try:
        connection.execute("CREATE TEMP TABLE open_step (step INTEGER)")
        connection.execute("INSERT INTO open_step VALUES (NULL)")
        for table in TABLES:
            for statement in _triggers(table):
                connection.execute(statement)
        connection.execute("COMMIT")
    finally:
        roll_back(connection)


def _triggers(table: RecordTable) -> Iterator[str]:
    head = (
        "INSERT INTO undo_log (step, inverse, table_name, row_id, column_name, value) SELECT step,"
    )
    columns = table.columns[1:]  # the id comes first, and never changes
    quoted = ", ".join(f'"{column}"' for column in columns)
    yield (
        f"CREATE TEMP TRIGGER log_delete_{table.name} AFTER INSERT ON main.{table.name} BEGIN"
        f" {head} 'delete', '{table.name}', new.id, NULL, NULL FROM open_step; END"
    )
    for event, inverse, worth_logging in (
        (f"UPDATE OF {quoted}", "update", 'old."{0}" IS NOT new."{0}"'),
        ("DELETE", "insert", 'old."{0}" IS NOT NULL'),
    ):
        body = " ".join(
            f"{head} '{inverse}', '{table.name}', old.id, '{column}', old.\"{column}\""
            f" FROM open_step WHERE {worth_logging.format(column)};"
            for column in columns
        )
        yield (
            f"CREATE TEMP TRIGGER log_{inverse}_{table.name} AFTER {event}"
            f" ON main.{table.name} BEGIN {body} END"
        )


def begin_step(connection: sqlite3.Connection, label: str, at: int) -> tuple[int, list[bytes]]:
    """Open a new step, drop the undone ones; the step's id, and the digests of those dropped."""
    undone = f"FROM undo_step WHERE id > {_LAST_DONE} AND undone = 1"
    dropped = [digest for (digest,) in connection.execute(f"SELECT digest {undone}")]
    if dropped:
        connection.execute(f"DELETE {undone}")
    step = connection.execute(
        "INSERT INTO undo_step (label, at, undone, log_digest, digest) VALUES (?, ?, 0, ?, ?)",
        (_kept(label), at, UNSEALED, UNSEALED),
    ).lastrowid
    assert step is not None
    _point_triggers_at(connection, step)
    return step, dropped


def _kept(label: str) -> str:
    """A label with a mark for what no file can keep: names of files may hold it."""
    kept = label.replace("\0", "\ufffd").encode("utf-8", "replace").decode("utf-8")
    return kept if len(kept) <= LONGEST_LABEL else f"{kept[: LONGEST_LABEL - 1]}…"


def step_problems(steps: Iterable[tuple[Any, ...]]) -> Iterator[str]:
    """What no action can have written of a step, in words; each is a row as ``SELECT *`` has it."""
    for _, at, _, label, *_ in steps:
        if len(label) > LONGEST_LABEL:
            yield (
                tr(
                    "The undo step “{label}” has a name of {size:,} characters; {most:,} is the "
                    "most."
                ).format(label=label[:40], size=len(label), most=LONGEST_LABEL)
            )
        if not 0 <= at <= _LAST_SECOND:
            yield tr("The undo step “{label}” was done at an impossible time.").format(
                label=label[:40]
            )


def next_step(connection: sqlite3.Connection, direction: Direction) -> tuple[int, str] | None:
    """The id and label of the step that undo or redo would take, or None."""
    row = connection.execute(_NEXT[direction]).fetchone()
    return None if row is None else (row[0], row[1])


def reopen_step(connection: sqlite3.Connection, step: int) -> tuple[list[Inverse], bytes]:
    """Take out how to go back and let the step log the opposite; also the step's old digest.

    Raises :class:`UndoLost` if the log is not what was written.
    """
    entries = entries_of(connection, step)
    log_digest, digest = connection.execute(
        "SELECT log_digest, digest FROM undo_step WHERE id = ?", (step,)
    ).fetchone()
    if digest_of(*entries) != log_digest:
        raise UndoLost("the undo log has changed")
    connection.execute("DELETE FROM undo_log WHERE step = ?", (step,))
    connection.execute("UPDATE undo_step SET undone = 1 - undone WHERE id = ?", (step,))
    _point_triggers_at(connection, step)
    return list(_inverses(entries)), digest


def end_step(connection: sqlite3.Connection, step: int) -> bytes:
    """Close the step and seal it; its new digest."""
    _point_triggers_at(connection, None)
    log_digest = digest_of(*entries_of(connection, step))
    connection.execute("UPDATE undo_step SET log_digest = ? WHERE id = ?", (log_digest, step))
    row = connection.execute("SELECT * FROM undo_step WHERE id = ?", (step,)).fetchone()
    digest = row_digest("undo_step", row)
    connection.execute("UPDATE undo_step SET digest = ? WHERE id = ?", (digest, step))
    return digest


def entries_of(connection: sqlite3.Connection, step: int) -> list[tuple[Any, ...]]:
    """What the triggers wrote for a step, oldest first."""
    return connection.execute(
        "SELECT inverse, table_name, row_id, column_name, value FROM undo_log"
        " WHERE step = ? ORDER BY seq",
        (step,),
    ).fetchall()


def added_since(connection: sqlite3.Connection, table: str, at: int) -> set[str]:
    """Ids of the rows of a table that steps added which were done from ``at`` on (s, Unix)."""
    added = connection.execute(
        "SELECT row_id FROM undo_step JOIN undo_log ON step = id"
        " WHERE at >= ? AND undone = 0 AND inverse = 'delete' AND table_name = ?",
        (at, table),
    )
    return {row_id for (row_id,) in added}


def _point_triggers_at(connection: sqlite3.Connection, step: int | None) -> None:
    connection.execute("UPDATE open_step SET step = ?", (step,))


def _inverses(entries: list[tuple[Any, ...]]) -> Iterator[Inverse]:
    # One row's columns belong in one statement: half of them could break a CHECK. Newest first,
    # so that of two updates of a column the older value is the one that stays.
    for (action, name, row_id), group in groupby(reversed(entries), key=itemgetter(0, 1, 2)):
        table = TABLE_NAMED.get(name)
        values = {column: value for *_, column, value in group if column is not None}
        # Names go into SQL: only our own may.
        if table is None or not values.keys() <= set(table.columns):
            raise UndoLost("the undo log names what is not there")
        yield Inverse(action, table, row_id, values)
