"""Rows that an action touches, and what they are stamped with."""

import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from ripenroom.records.file.digest import row_digest
from ripenroom.records.file.mapping import TABLE_NAMED
from ripenroom.records.file.migrations import build
from ripenroom.records.file.touched import Change, Touched

PLACE = TABLE_NAMED["place"]


@pytest.fixture
def connection(invented: Any) -> Iterator[sqlite3.Connection]:
    """A file in memory with one place, dated 100."""
    connection = sqlite3.connect(":memory:", isolation_level=None)
    build(connection)
    touched = Touched(connection)
    touched.put(invented.place)
    touched.stamp(100)
    yield connection
    connection.close()


def row_of_place(connection: sqlite3.Connection) -> Any:
    return connection.execute("SELECT * FROM place").fetchone()


def test_a_changed_row_is_dated_and_digested_anew(
    connection: sqlite3.Connection, invented: Any
) -> None:
    old_digest = row_of_place(connection)[0]
    touched = Touched(connection)
    renamed = replace(invented.place, name="Back room")
    touched.put(renamed)
    assert touched.stamp(200) == Change(put=(renamed,))
    row = row_of_place(connection)
    assert row[1] == 200
    assert row[0] == row_digest("place", row)
    assert (touched.removed, touched.added) == ([old_digest], [row[0]])


def test_an_unchanged_row_keeps_its_date(connection: sqlite3.Connection, invented: Any) -> None:
    before = row_of_place(connection)
    touched = Touched(connection)
    touched.put(invented.place)
    assert touched.stamp(200) == Change()
    assert row_of_place(connection) == before
    assert (touched.removed, touched.added) == ([], [])


def test_a_deleted_row_takes_its_digest_along(
    connection: sqlite3.Connection, invented: Any
) -> None:
    digest = row_of_place(connection)[0]
    touched = Touched(connection)
    touched.delete(PLACE, invented.place.id)
    assert touched.stamp(200) == Change(deleted=(invented.place,))
    assert (touched.removed, touched.added) == ([digest], [])


def test_what_comes_and_goes_within_an_action_never_was(
    connection: sqlite3.Connection, invented: Any
) -> None:
    touched = Touched(connection)
    touched.put(replace(invented.place, id="other"))
    touched.delete(PLACE, "other")
    assert touched.stamp(200) == Change()
    assert (touched.removed, touched.added) == ([], [])
