"""The tables as they are made, against the records they keep."""

import re
import sqlite3
from collections.abc import Iterator
from typing import Literal, get_args, get_origin, get_type_hints

import pytest

from ripenroom.records.file.mapping import TABLES, RecordTable
from ripenroom.records.file.migrations import build
from ripenroom.records.file.schema import RECORD_AT


@pytest.fixture
def empty() -> Iterator[sqlite3.Connection]:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    connection.execute("PRAGMA trusted_schema = OFF")
    build(connection)
    yield connection
    connection.close()


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_columns_are_digest_and_date_then_the_fields_in_order(
    empty: sqlite3.Connection, table: RecordTable
) -> None:
    columns = empty.execute(f"PRAGMA table_info({table.name})").fetchall()
    assert [name for _, name, *_ in columns] == ["digest", "changed_at", *table.columns]
    for _, name, column_type, not_null, *_ in columns[RECORD_AT:]:
        assert column_type == table.codecs[name].column_type, name
        assert bool(not_null) == (name not in table.optional), name


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_the_choices_of_a_column_are_those_of_its_field(
    empty: sqlite3.Connection, table: RecordTable
) -> None:
    [wording] = empty.execute(
        "SELECT sql FROM sqlite_master WHERE name = ?", (table.name,)
    ).fetchone()
    for name, annotation in get_type_hints(table.record_type).items():
        for part in (annotation, *get_args(annotation)):
            if get_origin(part) is Literal:
                found = re.search(rf'"?\b{name}"? IN \(([^)]*)\)', wording)
                assert found is not None, f"{table.name}.{name} takes anything"
                assert tuple(re.findall(r"'([^']*)'", found[1])) == get_args(part)


def test_every_table_is_strict_and_every_reference_waits_for_the_end(
    empty: sqlite3.Connection,
) -> None:
    for name, strict in empty.execute(
        "SELECT name, strict FROM pragma_table_list WHERE name NOT LIKE 'sqlite_%'"
    ):
        assert strict, name
    for table in TABLES:
        [wording] = empty.execute(
            "SELECT sql FROM sqlite_master WHERE name = ?", (table.name,)
        ).fetchone()
        assert wording.count("REFERENCES") == wording.count("DEFERRABLE INITIALLY DEFERRED")


def test_a_second_season_has_no_room(empty: sqlite3.Connection) -> None:
    insert = (
        "INSERT INTO season"
        " VALUES (zeroblob(16), 0, ?, 'n', 'UTC', '2026-08-01', 'us', 'USD', NULL, NULL, NULL)"
    )
    empty.execute(insert, ("a",))
    with pytest.raises(sqlite3.IntegrityError, match="one_season"):
        empty.execute(insert, ("b",))
