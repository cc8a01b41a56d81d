"""What is refused as a season file, and what is found in a damaged one."""

import os
import sqlite3
import sys
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from ripenroom.days import full_day
from ripenroom.records.book import Book
from ripenroom.records.file import FileRefusal, SeasonFile, verify
from ripenroom.records.file.digest import reseal
from ripenroom.records.file.mapping import TABLES
from ripenroom.records.file.soundness import BookLook


def tamper(path: Path, *statements: str) -> None:
    """What another program may do to a season file."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for statement in statements:
            connection.execute(statement)


def refusal(path: Path) -> FileRefusal:
    """How opening refuses; nothing but the file itself is left afterwards."""
    before = {entry.name for entry in path.parent.iterdir()}
    with pytest.raises(FileRefusal) as refused:
        SeasonFile.open(path)
    assert {entry.name for entry in path.parent.iterdir()} == before
    assert "\n" not in refused.value.message
    assert path.name in refused.value.message
    if refused.value.kind != "missing":
        assert verify(path), "verify has nothing to say"
    return refused.value


def test_a_missing_file_is_named_with_its_folder(path: Path) -> None:
    refused = refusal(path)
    assert refused.kind == "missing"
    assert str(path.parent) in refused.message


def test_a_folder_is_no_season(path: Path) -> None:
    path.mkdir()
    assert refusal(path).kind == "foreign"
    assert "is a folder" in refusal(path).message


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such files")
def test_what_is_no_file_is_not_waited_for(path: Path) -> None:
    os.mkfifo(path)
    assert refusal(path).kind == "foreign"


def test_an_empty_file_is_damaged(path: Path) -> None:
    path.touch()
    assert refusal(path).kind == "damaged"


@pytest.mark.parametrize(
    "content",
    [b"x", b"batch;crop;count\r\n" * 200, bytes(8192), b"PK\x03\x04" + bytes(5000)],
    ids=["one byte", "a table", "zeros", "a zip"],
)
def test_another_programs_file_is_foreign(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    assert refusal(path).kind == "foreign"
    assert path.read_bytes() == content


def test_another_programs_database_is_foreign_and_left_alone(path: Path) -> None:
    tamper(path, "CREATE TABLE batch (id TEXT)", "PRAGMA user_version = 1")
    content = path.read_bytes()
    assert refusal(path).kind == "foreign"
    assert path.read_bytes() == content


@pytest.mark.parametrize(
    "statement",
    [
        "CREATE TRIGGER t AFTER INSERT ON batch BEGIN DELETE FROM place; END",
        "CREATE VIEW v AS SELECT * FROM batch",
        "CREATE TABLE more (a)",
        "CREATE INDEX i ON batch (code)",
        "ALTER TABLE batch ADD COLUMN more TEXT",
        "DROP INDEX move_of_batch",
        "DROP TABLE want",
        "PRAGMA user_version = 0",
    ],
)
def test_a_file_that_is_laid_out_otherwise_is_refused(
    lived_in: tuple[Path, Book], statement: str
) -> None:
    path, _ = lived_in
    tamper(path, statement)
    refused = refusal(path)
    assert refused.kind == "damaged"
    assert "not laid out" in refused.message


def test_a_layout_that_is_no_text_is_refused(lived_in: tuple[Path, Book]) -> None:
    path, _ = lived_in
    content = path.read_bytes()
    assert b"half_cooling_h REAL" in content
    path.write_bytes(content.replace(b"half_cooling_h REAL", b"half_c\xd2oling_h,REAL"))
    assert refusal(path).kind == "damaged"


def test_a_view_in_place_of_a_table_is_not_read(lived_in: tuple[Path, Book]) -> None:
    path, _ = lived_in
    tamper(
        path,
        "ALTER TABLE want RENAME TO hidden",
        "CREATE VIEW want AS SELECT * FROM hidden",
    )
    assert refusal(path).kind == "damaged"


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        (
            "UPDATE batch SET count = 400 WHERE code = 'P-0914-5'",
            "The batch “P-0914-5” is not as it was written.",
        ),
        ("UPDATE batch SET changed_at = 0 WHERE code = 'P-0914-5'", "“P-0914-5”"),
        ("DELETE FROM want WHERE count = 0", "A record is missing"),
        (
            "INSERT INTO tree_row (digest, changed_at, id, name)"
            " SELECT zeroblob(16), 0, 'x', 'Slipped in'",
            "The row “Slipped in” is not as it was written.",
        ),
        ("UPDATE undo_step SET label = 'Nothing' WHERE id = 3", "The undo step “Nothing”"),
        ("DELETE FROM undo_step WHERE id = 3", "Not every undo log has its undo step."),
        ("DELETE FROM batch WHERE code = 'P-0914-5'", "Not every move has its batch."),
        ("DELETE FROM seal", "is damaged or cut short"),
        ("UPDATE seal SET total = zeroblob(16)", "A record is missing"),
    ],
)
def test_what_another_program_changed_is_found_and_named(
    lived_in: tuple[Path, Book], statement: str, words: str
) -> None:
    path, _ = lived_in
    tamper(path, "PRAGMA foreign_keys = OFF", statement)
    refused = refusal(path)
    assert refused.kind == "damaged"
    assert words in refused.message
    assert "earlier copy" not in refused.message  # whether there is one is not known here


def test_a_forged_record_that_cannot_be_read_is_refused(lived_in: tuple[Path, Book]) -> None:
    path, _ = lived_in
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE batch SET readings = '[' || ']]' WHERE code = 'P-0914-5'")
        reseal(connection)
    refused = refusal(path)
    assert refused.kind == "damaged"
    assert "The batch “P-0914-5” is not possible: “readings”" in refused.message


def test_damage_to_the_undo_log_is_found_by_undo_and_by_verify(
    lived_in: tuple[Path, Book],
) -> None:
    path, book = lived_in
    tamper(path, "UPDATE undo_log SET row_id = 'other'")
    assert "What undoes “Delete P-0914-0” is not as it was written." in verify(path)
    file = SeasonFile.open(path)
    with pytest.raises(FileRefusal) as refused:
        file.undo()
    assert refused.value.kind == "damaged"
    assert "you can make other changes" in refused.value.message
    assert file.read() == book
    place = next(iter(book.places.values()))
    file.write("Rename place", [replace(place, name="Back room")])
    assert file.undo() is not None
    assert file.read() == book
    file.close()


def test_a_book_needs_a_season() -> None:
    look = BookLook({table.name: [] for table in TABLES})
    assert list(look.problems()) == ["The season’s own record is missing."]
    assert look.book is None


def test_every_record_that_cannot_be_is_told(lived_in: tuple[Path, Book]) -> None:
    path, _ = lived_in
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE place SET half_cooling_h = 500 WHERE name = 'Walk-in'")
        connection.execute("UPDATE batch SET count = 900000 WHERE code = 'P-0914-5'")
        reseal(connection)
    assert verify(path) == [
        "The place “Walk-in” is not possible: The time to cool halfway is 500 h; it must be from "
        "0.1 to 96 h.",
        "The batch “P-0914-5” is not possible: 900000 fruit: type a whole number from 1 to 100000.",
    ]
    refused = refusal(path)
    assert "Walk-in" in refused.message


def test_what_lies_too_far_from_the_season_is_told(lived_in: tuple[Path, Book]) -> None:
    path, _ = lived_in
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE season SET first_day = '2019-08-20'")
        reseal(connection)
    found = verify(path)
    assert len(found) > 12
    assert all("too far from the season’s first day, 20 Aug 2019" in problem for problem in found)
    assert refusal(path).kind == "damaged"


def test_a_set_point_that_cannot_be_is_named_by_its_place_and_day(
    lived_in: tuple[Path, Book],
) -> None:
    path, book = lived_in
    change = next(iter(book.set_points.values()))
    place = book.places[change.place_id].name
    named = (
        f"The thermostat change of the place “{place}” on {full_day(change.at)} is not possible: "
    )
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE set_point_change SET set_point_c = 80 WHERE id = ?", [change.id])
        reseal(connection)
        assert verify(path)[0].startswith(named)
        connection.execute(
            "UPDATE set_point_change SET set_point_c = 8, at = 0 WHERE id = ?", [change.id]
        )
        reseal(connection)
    [problem] = verify(path)
    assert problem.startswith(named.replace(full_day(change.at), "1 Jan 1970"))
    assert change.id not in problem


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("label = printf('%.*c', 9000000, 'n')", "9,000,000 characters; 1,000 is the most"),
        ("at = -1", "an impossible time"),
        ("at = 1 << 62", "an impossible time"),
    ],
)
def test_an_undo_step_that_no_action_wrote_is_damage(
    lived_in: tuple[Path, Book], change: str, words: str
) -> None:
    path = lived_in[0]
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute(
            f"UPDATE undo_step SET {change} WHERE id = (SELECT max(id) FROM undo_step)"
        )
        reseal(connection)
    refused = refusal(path)
    assert refused.kind == "damaged"
    assert words in refused.message
    assert len(refused.message) < 400
    assert [words in problem for problem in verify(path)] == [True]
