"""An open season file: what goes in comes out, actions, undo and redo, several windows."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from ripenroom.records.book import Book, Record
from ripenroom.records.file import Change, FileRefusal, SeasonFile
from ripenroom.records.market import ExpectedPick
from ripenroom.records.refusal import Refusal


def reopened(path: Path) -> Book:
    """What a new opening of the file reads."""
    file = SeasonFile.open(path, read_only=True)
    try:
        return file.read()
    finally:
        file.close()


def test_a_new_file_holds_its_season_and_first_records(path: Path, invented: Any) -> None:
    file = SeasonFile.create(path, invented.season, [invented.place])
    assert file.read_only_because is None
    assert file.undo_label is None
    assert file.read() == Book(season=invented.season, places={"place-1": invented.place})
    file.close()


def test_every_noun_comes_back_as_it_was(
    season_file: SeasonFile, every_noun: tuple[Record, ...]
) -> None:
    before = season_file.read()
    assert season_file.write("Add everything", every_noun) == Change(put=every_noun)
    expected = before.with_changes(every_noun)
    assert season_file.read() == expected
    assert reopened(season_file.path) == expected


def test_a_moment_is_kept_in_whole_seconds_and_given_back_so(
    season_file: SeasonFile, invented: Any
) -> None:
    batch = invented.batch(1)
    fine = replace(batch, picked_at=batch.picked_at + timedelta(microseconds=999_999))
    assert season_file.write("Add pick", [fine]).put == (batch,)


def test_an_action_that_changes_nothing_is_no_action(
    season_file: SeasonFile, invented: Any
) -> None:
    season_file.write("Add pick", [invented.batch(1)])
    assert season_file.write("Save pick", [invented.batch(1)]) == Change()
    assert season_file.write("Delete pick", deleted=[invented.batch(2)]) == Change()
    assert season_file.undo_label == "Add pick"


def test_undo_and_redo_say_what_changed(season_file: SeasonFile, invented: Any) -> None:
    batch = invented.batch(1)
    move = invented.move_of(batch)
    season_file.write("Add pick", [batch, move])
    changed = replace(batch, count=3, note="recounted")
    season_file.write("Change pick", [changed])

    assert season_file.undo() == ("Change pick", Change(put=(batch,)))
    assert season_file.undo() == ("Add pick", Change(deleted=(move, batch)))
    assert season_file.undo() is None
    assert season_file.redo_label == "Add pick"
    assert season_file.redo() == ("Add pick", Change(put=(batch, move)))
    assert season_file.redo() == ("Change pick", Change(put=(changed,)))
    assert season_file.redo() is None


def test_undo_and_redo_survive_a_restart(path: Path, lived_in: tuple[Path, Book]) -> None:
    _, book = lived_in
    file = SeasonFile.open(path)
    assert file.redo_label == "Delete P-0914-1"
    labels = []
    snapshots = [book]
    while (done := file.undo()) is not None:
        labels.append(done[0])
        book = book.with_changes(done[1].put, done[1].deleted)
        assert file.read() == book
        snapshots.append(book)
    assert labels[0] == "Delete P-0914-0"
    assert labels[-1] == "Add everything"
    file.close()

    file = SeasonFile.open(path)
    for expected in reversed(snapshots[:-1]):
        assert file.redo() is not None
        assert file.read() == expected
    file.close()


def test_a_new_action_drops_what_was_undone(season_file: SeasonFile, invented: Any) -> None:
    season_file.write("Add pick 1", [invented.batch(1)])
    season_file.undo()
    season_file.write("Add pick 2", [invented.batch(2)])
    assert season_file.redo_label is None
    assert season_file.redo() is None
    assert reopened(season_file.path).batches == {"batch-2": invented.batch(2)}


@pytest.mark.parametrize("order", [1, -1])
def test_within_an_action_the_order_of_records_does_not_matter(
    season_file: SeasonFile, invented: Any, order: int
) -> None:
    batch = invented.batch(1)
    records = [batch, invented.move_of(batch)][::order]
    season_file.write("Add pick", records)
    season_file.write("Delete pick", deleted=records)
    assert season_file.read().batches == {}


def test_its_kind_is_named(season_file: SeasonFile, invented: Any) -> None:
    pick = ExpectedPick(
        id="e", crop="pawpaw", on=invented.season.first_day, count=3, place_id="nowhere"
    )
    with pytest.raises(Refusal, match=r"leave a record \(expected pick\) without its place"):
        season_file.write("Expect a pick", [pick])


def test_a_record_left_without_what_it_refers_to_is_refused(
    season_file: SeasonFile, invented: Any
) -> None:
    batch = invented.batch(1)
    season_file.write("Add pick", [batch, invented.move_of(batch)])
    before = season_file.read()
    with pytest.raises(Refusal, match=r"leave a record \(move\) without its batch"):
        season_file.write("Delete pick", deleted=[batch])
    assert season_file.read() == before
    assert season_file.undo_label == "Add pick"


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"note": "cut\0short"}, "note"),
        ({"weight_kg": float("nan")}, "weight_kg"),
        ({"count": 2**70}, "count"),
        ({"count": -1}, "count"),
        ({"note": "x" * 10_000_001}, "note"),
    ],
)
def test_a_value_no_file_can_keep_is_refused_and_nothing_changes(
    season_file: SeasonFile, invented: Any, given: dict[str, object], field: str
) -> None:
    before = season_file.read()
    good = invented.batch(1)
    with pytest.raises(Refusal) as refused:
        season_file.write("Add picks", [good, invented.batch(2, **given)])
    assert refused.value.field == field
    assert season_file.read() == before
    assert season_file.undo_label is None


def test_the_season_can_be_changed_but_not_taken_out_or_doubled(
    season_file: SeasonFile, invented: Any
) -> None:
    renamed = replace(invented.season, name="Upper field")
    season_file.write("Rename season", [renamed])
    assert season_file.read().season == renamed
    with pytest.raises(ValueError, match="always holds its season"):
        season_file.write("Delete season", deleted=[renamed])
    with pytest.raises(Refusal):
        season_file.write("Add season", [replace(renamed, id="another")])
    assert season_file.read().season == renamed


def test_a_second_window_reads_is_told_why_and_sees_changes(
    season_file: SeasonFile, invented: Any
) -> None:
    second = SeasonFile.open(season_file.path)
    assert second.read_only_because is not None
    assert "another ripenroom window (process" in second.read_only_because
    assert not second.changed_elsewhere()
    with pytest.raises(FileRefusal) as refused:
        second.write("Add pick", [invented.batch(1)])
    assert refused.value.message == second.read_only_because
    with pytest.raises(FileRefusal):
        second.undo()

    season_file.write("Add pick", [invented.batch(1)])
    assert not season_file.changed_elsewhere()
    assert second.changed_elsewhere()
    assert second.read() == season_file.read()
    assert not second.changed_elsewhere()
    assert second.undo_label is None
    second.close()

    season_file.close()
    third = SeasonFile.open(season_file.path)
    assert third.read_only_because is None
    third.close()


def test_opened_to_be_read_it_locks_nobody_out(season_file: SeasonFile) -> None:
    season_file.close()
    reader = SeasonFile.open(season_file.path, read_only=True)
    writer = SeasonFile.open(season_file.path)
    assert reader.read_only_because == "It was opened only to be read."
    assert writer.read_only_because is None
    reader.close()
    writer.close()


def test_after_closing_there_is_one_file_and_closing_twice_is_harmless(
    season_file: SeasonFile, invented: Any
) -> None:
    season_file.write("Add pick", [invented.batch(1)])
    season_file.close()
    season_file.close()
    assert list(season_file.path.parent.iterdir()) == [season_file.path]


def test_a_change_made_elsewhere_is_not_hidden_by_one_of_ours(
    season_file: SeasonFile, invented: Any
) -> None:
    with closing(sqlite3.connect(season_file.path)) as other:
        other.execute("PRAGMA user_version = 1")
    season_file.write("Add pick", [invented.batch(1)])
    assert season_file.changed_elsewhere()
    season_file.read()
    assert not season_file.changed_elsewhere()


def test_a_copy_of_an_open_season_is_whole(season_file: SeasonFile, invented: Any) -> None:
    season_file.write("Add pick", [invented.batch(1)])
    copy = season_file.path.with_name("copy.ripenroom")
    copy.write_bytes(season_file.path.read_bytes())
    assert reopened(copy) == season_file.read()


def test_a_file_replaced_while_open_is_left_alone(season_file: SeasonFile, invented: Any) -> None:
    path = season_file.path
    SeasonFile.create(path.with_name("other.ripenroom"), invented.season).close()
    other = path.with_name("other.ripenroom")
    content = other.read_bytes()
    assert not season_file.changed_elsewhere()
    other.replace(path)
    assert season_file.changed_elsewhere()
    with pytest.raises(FileRefusal, match="moved, renamed, replaced or deleted") as refused:
        season_file.write("Add pick", [invented.batch(1)])
    assert refused.value.kind == "unwritable"
    assert path.read_bytes() == content


def test_a_file_renamed_while_open_is_left_alone(season_file: SeasonFile, invented: Any) -> None:
    season_file.path.rename(season_file.path.with_name("renamed.ripenroom"))
    assert season_file.changed_elsewhere()
    with pytest.raises(FileRefusal, match="moved, renamed, replaced or deleted"):
        season_file.write("Add pick", [invented.batch(1)])


def test_a_relative_name_means_the_folder_at_opening(
    tmp_path: Path, invented: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    file = SeasonFile.create(Path("here.ripenroom"), invented.season)
    monkeypatch.chdir(tmp_path.parent)
    file.write("Add place", [invented.place])
    assert not file.changed_elsewhere()
    assert file.path == tmp_path / "here.ripenroom"
    file.close()
