"""From older season files to newer ones, one numbered step at a time.

``STEPS[n]`` makes a file of version n + 1 out of one of version n; version 0 is an empty file, so
a new file goes the same way as an old one and both end with the same tables. A step that has been
released is never edited. Prefer ``ALTER TABLE … ADD COLUMN`` or a new table filled from the old:
what other forms of ALTER leave behind differs between versions of SQLite.
"""

import os
import sqlite3
from collections.abc import Mapping, Sequence
from contextlib import closing
from functools import lru_cache
from pathlib import Path
from typing import Final, TypeAlias

from ripenroom.private_file import sync_folder
from ripenroom.records.file.connection import roll_back
from ripenroom.records.file.digest import reseal
from ripenroom.records.file.mapping import TABLES
from ripenroom.records.file.schema import (
    APPLICATION_ID,
    VERSION_1,
    VERSION_2,
    VERSION_3,
    VERSION_4,
    VERSION_5,
    VERSION_6,
    VERSION_7,
    VERSION_8,
    VERSION_9,
    VERSION_10,
)

Step: TypeAlias = tuple[str, ...]
Schema: TypeAlias = frozenset[tuple[str, str, str]]
"""Kind, name and wording of each thing in a file."""

STEPS: Final[tuple[Step, ...]] = (
    VERSION_1,
    VERSION_2,
    VERSION_3,
    VERSION_4,
    VERSION_5,
    VERSION_6,
    VERSION_7,
    VERSION_8,
    VERSION_9,
    VERSION_10,
)
CURRENT_VERSION: Final = len(STEPS)


def build(connection: sqlite3.Connection, steps: Sequence[Step] = STEPS) -> None:
    """Make the tables in an empty file, inside the caller's transaction."""
    for statements in steps:
        for statement in statements:
            connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {len(steps)}")


@lru_cache(maxsize=1)
def without_records() -> bytes:
    """A new season file that holds no record yet, not even its season: the same for all."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        build(connection)
        return connection.serialize()


@lru_cache(maxsize=4)
def expected_schema(steps: tuple[Step, ...]) -> Schema:
    """What a file that went through these steps holds, and nothing else."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        build(connection, steps)
        return schema_of(connection)


def schema_of(connection: sqlite3.Connection) -> Schema:
    """What a file holds: tables, indexes and, in one that was tampered with, views and triggers."""
    return frozenset(
        connection.execute("SELECT type, name, coalesce(sql, '') FROM main.sqlite_master")
    )


@lru_cache(maxsize=len(STEPS))
def columns_at(version: int) -> Mapping[str, tuple[str, ...]]:
    """The columns of each table of records in a version of the file."""
    with closing(sqlite3.connect(":memory:")) as connection:
        build(connection, STEPS[:version])
        columns = {
            table.name: tuple(
                row[1] for row in connection.execute(f"PRAGMA table_info({table.name})")
            )
            for table in TABLES
        }
    return {name: found for name, found in columns.items() if found}


def migrate(
    connection: sqlite3.Connection, path: Path, steps: Sequence[Step] = STEPS
) -> Path | None:
    """Bring a checked file to the version of the last step; the copy made before, if any.

    All steps are one transaction. The undo log of the older tables is dropped: it speaks of
    columns that may be gone.
    """
    [version] = connection.execute("PRAGMA user_version").fetchone()
    if version == len(steps):
        return None
    copy = _copy_before(connection, path, version)
    connection.execute("PRAGMA foreign_keys = OFF")  # a table may be made anew under its children
    connection.execute("BEGIN IMMEDIATE")
    try:
        for statements in steps[version:]:
            for statement in statements:
                connection.execute(statement)
        connection.execute("DELETE FROM undo_log")
        connection.execute("DELETE FROM undo_step")
        if connection.execute("PRAGMA foreign_key_check").fetchone() is not None:
            raise sqlite3.DatabaseError("a step has broken a reference")
        reseal(connection)
        connection.execute(f"PRAGMA user_version = {len(steps)}")
        connection.execute("COMMIT")
    finally:
        roll_back(connection)
        connection.execute("PRAGMA foreign_keys = ON")
    return copy


def _copy_before(connection: sqlite3.Connection, path: Path, version: int) -> Path:
    number = 1
    while True:
        counted = "" if number == 1 else f", copy {number}"
        copy = path.with_name(f"{path.stem} (version {version}{counted}){path.suffix}")
        try:
            os.close(os.open(copy, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
            break
        except FileExistsError:
            number += 1
    try:
        with closing(sqlite3.connect(copy)) as target:
            connection.backup(target)
        sync_folder(copy.parent)
    except BaseException:
        copy.unlink()
        raise
    return copy
