"""``ripenroom rescue`` and ``ripenroom merge``."""

import shutil
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from ripenroom.cli.season_files import _counted
from ripenroom.records.batch import Batch, Brought, Move
from ripenroom.records.file import SeasonFile, verify
from ripenroom.records.file.digest import reseal
from ripenroom.records.market import SecondGrade
from ripenroom.records.place import Place
from ripenroom.season import actions
from ripenroom.season.practice import demo_book
from ripenroom.season.season import Season
from tests.cli.conftest import Call
from tests.records.full_seasons import limited

NOTED = "P-0911-1"


def noted(path: Path, note: str) -> None:
    """Write a note to one batch of a season file."""
    season = Season.open(path)
    season.do(actions.batches.change, replace(batch_in(path), note=note))
    season.close()


def batch_in(path: Path, code: str = NOTED) -> Batch:
    file = SeasonFile.open(path, read_only=True)
    book = file.read()
    file.close()
    return next(batch for batch in book.batches.values() if batch.code == code)


@pytest.fixture
def other(season: Path, tmp_path: Path) -> Path:
    """A copy of the season on another computer."""
    return Path(shutil.copyfile(season, tmp_path / "shed.ripenroom"))


def test_changes_of_a_copy_come_in_and_can_be_undone(call: Call, season: Path, other: Path) -> None:
    before = batch_in(season)
    noted(other, "from the shed")
    written = other.read_bytes()
    answer = call("merge", season, other)
    assert (answer.code, answer.err) == (0, "")
    assert "0 records added, 1 changed, 0 deleted" in answer.out
    assert batch_in(season).note == "from the shed"
    assert other.read_bytes() == written
    again = call("merge", season, other)
    assert again.code == 0
    assert "here already" in again.out
    with_undo = Season.open(season)
    assert with_undo.undo() == "changes from shed.ripenroom"
    with_undo.close()
    assert batch_in(season) == before


def test_conflicts_are_listed_and_nothing_is_written_until_a_side_is_chosen(
    call: Call, season: Path, other: Path
) -> None:
    noted(season, "house")
    noted(other, "shed")
    before = season.read_bytes()
    answer = call("merge", season, other)
    assert answer.code == 2
    assert f"batch: {NOTED}: note is house here, shed there" in answer.out
    assert "--mine" in answer.err
    assert "--theirs" in answer.err
    assert season.read_bytes() == before
    assert call("merge", season, other, "--mine").code == 0
    assert batch_in(season).note == "house"
    assert call("merge", season, other, "--theirs").code == 0
    assert batch_in(season).note == "shed"
    assert call("merge", season, other, "--mine", "--theirs").code == 2


def test_what_one_side_deleted_and_the_other_changed_is_asked_about(
    call: Call, season: Path, other: Path
) -> None:
    noted(other, "shed")
    here = Season.open(season)
    here.do(actions.batches.delete, [batch_in(season).id])
    here.close()
    answer = call("merge", season, other)
    assert answer.code == 2
    assert f"batch: {NOTED}: deleted here, changed there" in answer.out


def test_only_copies_of_one_season_are_merged(call: Call, season: Path, tmp_path: Path) -> None:
    strange = tmp_path / "strange.ripenroom"
    practice = replace(
        demo_book().season, id="7d8f4c1e-52a3-4b0e-9c6d-0a1b2c3d4e5f", name="Elsewhere"
    )
    SeasonFile.create(strange, practice).close()
    answer = call("merge", season, strange)
    assert answer.code == 2
    assert answer.said_in_one_line("Elsewhere")
    missing = call("merge", season, tmp_path / "none.ripenroom")
    assert missing.code == 2
    assert missing.said_in_one_line("none.ripenroom")


def test_a_damaged_file_is_rescued_into_a_new_one(call: Call, season: Path, tmp_path: Path) -> None:
    content = bytearray(season.read_bytes())
    middle = len(content) // 2 // 4096 * 4096
    content[middle : middle + 8192] = b"\xa5" * 8192
    season.write_bytes(content)
    assert call("verify", season).code == 3
    target = tmp_path / "rescued.ripenroom"
    answer = call("rescue", season, target)
    assert answer.code == 0
    assert "batches" in answer.out
    assert "piece by piece" in answer.err
    assert verify(target) == []
    assert season.read_bytes() == content
    again = call("rescue", season, target)
    assert again.code == 2
    assert again.said_in_one_line("rescued.ripenroom", "already there")


def test_details_of_the_season_that_are_lost_are_named(
    call: Call, season: Path, tmp_path: Path
) -> None:
    with closing(sqlite3.connect(season, isolation_level=None)) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        connection.execute("UPDATE season SET zone = 'Mars/Olympus', units = 'imperial'")
        reseal(connection)
    answer = call("rescue", season, tmp_path / "rescued.ripenroom")
    assert answer.code == 0
    assert answer.err.count("\n") == 1
    assert (
        "These season details were lost and filled in again: time zone, units. Look at them."
        in answer.err
    )
    with closing(sqlite3.connect(season, isolation_level=None)) as connection:
        connection.execute("UPDATE season SET name = 'not as it was written'")
    answer = call("rescue", season, tmp_path / "again.ripenroom")
    assert "season details were lost" in answer.err
    assert "Lost:" not in answer.err


def test_a_sound_file_loses_nothing(call: Call, season: Path, tmp_path: Path) -> None:
    answer = call("rescue", season, tmp_path / "rescued.ripenroom")
    assert (answer.code, answer.err) == (0, "")
    file = SeasonFile.open(tmp_path / "rescued.ripenroom", read_only=True)
    assert file.read() == demo_book()
    file.close()


def test_what_cannot_be_rescued_is_said(call: Call, season: Path, tmp_path: Path) -> None:
    target = tmp_path / "rescued.ripenroom"
    nothing = tmp_path / "letter.ripenroom"
    nothing.write_text("Dear grower, " * 900)
    answer = call("rescue", nothing, target)
    assert answer.code == 3
    assert answer.said_in_one_line("letter.ripenroom")
    answer = call("rescue", season, target, "--zone", "Mars/Crater")
    assert answer.code == 2
    assert answer.said_in_one_line("--zone", "Mars/Crater")
    assert not target.exists()


def test_one_of_a_kind_is_told_in_the_singular() -> None:
    assert _counted([(SecondGrade, 1), (Batch, 1), (Move, 2), (Brought, 1)]) == (
        "1 price of second grade, 1 batch, 2 moves, 1 fruit brought"
    )


def test_a_merge_that_would_make_too_many_is_refused(
    call: Call, season: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = Path(shutil.copyfile(season, tmp_path / "other.ripenroom"))
    with closing(SeasonFile.open(other)) as file:
        most = len(file.read().places)
        shelf = Place(id="more", name="One more", kind="cool shelf", half_cooling_h=5.0)
        file.write("Add a place", [shelf])
    limited(monkeypatch, Place, most)
    before = season.read_bytes()
    answer = call("merge", season, other)
    assert answer.code in (2, 3)
    assert f"The season has too many places: {most + 1}; at most {most}" in answer.err
    assert season.read_bytes() == before
    limited(monkeypatch, Place, most + 1)
    assert call("merge", season, other).code == 0


def test_a_merge_is_refused_where_only_both_together_are_too_many(
    call: Call, season: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = Path(shutil.copyfile(season, tmp_path / "other.ripenroom"))
    for path, key in ((season, "mine"), (other, "theirs")):
        with closing(SeasonFile.open(path)) as file:
            most = len(file.read().places) + 1
            shelf = Place(id=key, name=key, kind="cool shelf", half_cooling_h=5.0)
            file.write("Add a place", [shelf])
    limited(monkeypatch, Place, most)
    before = season.read_bytes()
    answer = call("merge", season, other)
    assert answer.code == 2
    assert f"The season has too many places: {most + 1}; at most {most}" in answer.err
    assert season.read_bytes() == before
