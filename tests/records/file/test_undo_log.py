"""What the triggers write, and what is made of it."""

import sqlite3
from collections.abc import Iterator

import pytest

from ripenroom.records.file import undo_log
from ripenroom.records.file.digest import UNSEALED
from ripenroom.records.file.mapping import TABLE_NAMED, TABLES
from ripenroom.records.file.migrations import build
from ripenroom.records.file.refusal import UndoLost
from ripenroom.records.file.undo_log import Inverse

PLACE = TABLE_NAMED["place"]
WALK_IN = (UNSEALED, 0, "p", "Walk-in", "cold room", 0.1, 2.0, None, None)


@pytest.fixture
def connection() -> Iterator[sqlite3.Connection]:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    connection.execute("PRAGMA foreign_keys = ON")
    build(connection)
    undo_log.install(connection)
    yield connection
    connection.close()


def put_place(connection: sqlite3.Connection) -> None:
    connection.execute(f"INSERT INTO place VALUES ({', '.join('?' * len(WALK_IN))})", WALK_IN)


def test_a_change_outside_a_step_is_refused(connection: sqlite3.Connection) -> None:
    with pytest.raises(sqlite3.IntegrityError, match=r"undo_log\.step"):
        put_place(connection)
    assert connection.execute("SELECT * FROM place").fetchall() == []


def test_each_kind_of_change_has_its_inverse(connection: sqlite3.Connection) -> None:
    for label, change, inverse in (
        ("Add", None, Inverse("delete", PLACE, "p", {})),
        (
            "Change",
            "UPDATE place SET name = 'Back room', daily_swing_k = 2.0, capacity_crates = 60",
            Inverse("update", PLACE, "p", {"name": "Walk-in", "capacity_crates": None}),
        ),
        (
            "Delete",
            "DELETE FROM place",
            Inverse(
                "insert",
                PLACE,
                "p",
                {
                    "name": "Back room",
                    "kind": "cold room",
                    "half_cooling_h": 0.1,
                    "daily_swing_k": 2.0,
                    "capacity_crates": 60,
                },
            ),
        ),
    ):
        step, dropped = undo_log.begin_step(connection, label, 0)
        if change is None:
            put_place(connection)
        else:
            connection.execute(change)
        undo_log.end_step(connection, step)
        assert dropped == []
        assert undo_log.next_step(connection, "undo") == (step, label)
        # Looked at and taken back, so that the step can be looked at as it is undone later.
        connection.execute("SAVEPOINT look")
        inverses, _ = undo_log.reopen_step(connection, step)
        connection.execute("ROLLBACK TO look")
        assert inverses == [inverse]


def test_of_two_changes_in_one_step_the_older_value_comes_back(
    connection: sqlite3.Connection,
) -> None:
    step, _ = undo_log.begin_step(connection, "Add", 0)
    put_place(connection)
    undo_log.end_step(connection, step)
    step, _ = undo_log.begin_step(connection, "Rename twice", 0)
    connection.execute("UPDATE place SET name = 'Once'")
    connection.execute("UPDATE place SET name = 'Twice'")
    undo_log.end_step(connection, step)
    inverses, _ = undo_log.reopen_step(connection, step)
    assert inverses == [Inverse("update", PLACE, "p", {"name": "Walk-in"})]


def test_dates_and_digests_are_not_logged(connection: sqlite3.Connection) -> None:
    step, _ = undo_log.begin_step(connection, "Add", 0)
    put_place(connection)
    connection.execute("UPDATE place SET changed_at = 5, digest = randomblob(16)")
    undo_log.end_step(connection, step)
    assert len(undo_log.entries_of(connection, step)) == 1


def test_every_column_of_every_record_is_watched(connection: sqlite3.Connection) -> None:
    for table in TABLES:
        [wording] = connection.execute(
            "SELECT sql FROM temp.sqlite_master WHERE name = ?", (f"log_update_{table.name}",)
        ).fetchone()
        for column in table.columns[1:]:
            assert f'old."{column}" IS NOT new."{column}"' in wording


def test_a_new_step_drops_the_undone_ones_with_their_log(connection: sqlite3.Connection) -> None:
    step, _ = undo_log.begin_step(connection, "Add", 0)
    put_place(connection)
    undo_log.end_step(connection, step)
    undo_log.reopen_step(connection, step)
    connection.execute("DELETE FROM place")
    digest = undo_log.end_step(connection, step)
    assert undo_log.next_step(connection, "undo") is None
    assert undo_log.next_step(connection, "redo") == (step, "Add")

    _, dropped = undo_log.begin_step(connection, "Other", 0)
    assert dropped == [digest]
    assert undo_log.next_step(connection, "redo") is None
    assert connection.execute("SELECT * FROM undo_log").fetchall() == []


@pytest.mark.parametrize(
    "tampering",
    ["UPDATE undo_log SET value = 'Wlak-in'", "UPDATE undo_log SET seq = 100 - seq"],
)
def test_a_log_that_has_changed_is_not_used(connection: sqlite3.Connection, tampering: str) -> None:
    step, _ = undo_log.begin_step(connection, "Add and rename", 0)
    put_place(connection)
    connection.execute("UPDATE place SET name = 'Back room'")
    undo_log.end_step(connection, step)
    connection.execute(tampering)
    with pytest.raises(UndoLost, match="undo log has changed"):
        undo_log.reopen_step(connection, step)


@pytest.mark.parametrize(
    ("table", "column"), [("sqlite_master", "name"), ("place", 'name" = 1; --')]
)
def test_names_that_are_not_ours_never_reach_sql(
    connection: sqlite3.Connection, table: str, column: str
) -> None:
    step, _ = undo_log.begin_step(connection, "Forged", 0)
    connection.execute(
        "INSERT INTO undo_log (step, inverse, table_name, row_id, column_name, value)"
        " VALUES (?, 'update', ?, 'p', ?, 1)",
        (step, table, column),
    )
    undo_log.end_step(connection, step)
    with pytest.raises(UndoLost, match="what is not there"):
        undo_log.reopen_step(connection, step)


def test_a_label_that_is_too_long_is_cut_and_can_be_read_again(
    connection: sqlite3.Connection,
) -> None:
    step, _ = undo_log.begin_step(connection, "n" * 5_000, 0)
    undo_log.end_step(connection, step)
    [row] = connection.execute("SELECT * FROM undo_step").fetchall()
    assert len(row[3]) == undo_log.LONGEST_LABEL
    assert row[3].endswith("n…")
    assert list(undo_log.step_problems([row])) == []
