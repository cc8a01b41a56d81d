"""Digests of rows, and the seal over them."""

import sqlite3
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.records.file.digest import (
    UNSEALED,
    digest_of,
    digested_tables,
    reseal,
    row_digest,
    stored_seal,
    total_of,
    total_without,
    write_seal,
)
from ripenroom.records.file.mapping import TABLES
from ripenroom.records.file.migrations import build

digests = st.binary(min_size=16, max_size=16)


@pytest.fixture
def empty() -> Iterator[sqlite3.Connection]:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    build(connection)
    yield connection
    connection.close()


@pytest.mark.parametrize(
    "other",
    [(2, "a", None), (1.0, "a", None), (1, "b", None), (1, "a", ""), (1, "a"), (1, b"a", None)],
)
def test_any_other_content_has_another_digest(other: tuple[object, ...]) -> None:
    assert digest_of(*other) != digest_of(1, "a", None)


def test_the_digest_of_a_row_names_its_table_and_leaves_out_its_first_column() -> None:
    assert row_digest("move", (b"1", "a")) == row_digest("move", (b"2", "a"))
    assert row_digest("move", (b"1", "a")) != row_digest("want", (b"1", "a"))


def test_a_digest_is_the_same_on_every_machine() -> None:
    assert digest_of("pick", 12, 0.1, None, "é\U0001f351").hex() == (
        "72926343da8681ba497a3c292995527a"
    )


@given(st.lists(digests), st.lists(digests))
def test_what_comes_and_goes_leaves_the_rest(stay: list[bytes], go: list[bytes]) -> None:
    everything = total_of(stay + go)
    assert everything == total_of(go + stay)
    assert total_without(go, everything) == total_of(stay)


def test_the_seal_is_written_over_and_read_back(empty: sqlite3.Connection) -> None:
    write_seal(empty, bytes(range(16)))
    write_seal(empty, bytes(range(1, 17)))
    assert stored_seal(empty) == bytes(range(1, 17))


def test_a_missing_seal_is_an_error(empty: sqlite3.Connection) -> None:
    with pytest.raises(sqlite3.DatabaseError):
        stored_seal(empty)


def test_resealing_digests_every_row_anew(empty: sqlite3.Connection) -> None:
    kept = (5, "g", "pawpaw", 40, None, "fruit", None, None, None)
    empty.execute(f"INSERT INTO second_grade VALUES (?{', ?' * len(kept)})", (UNSEALED, *kept))
    reseal(empty)
    row = empty.execute("SELECT * FROM second_grade").fetchone()
    assert row[0] == row_digest("second_grade", (None, *kept))
    assert stored_seal(empty) == row[0]


def test_every_record_and_every_undo_step_is_digested(empty: sqlite3.Connection) -> None:
    assert set(digested_tables(empty)) == {table.name for table in TABLES} | {"undo_step"}
