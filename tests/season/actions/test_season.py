"""Going back to a kept copy, and bringing in a copy that was changed elsewhere."""

import shutil
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.season import FileRefusal, Season
from tests.season.farm import NOW, entry, farm_records, season_record
from tests.season.writing import write


@pytest.fixture
def season(tmp_path: Path) -> Season:
    season = Season.create(tmp_path / "farm.ripenroom", season_record(), lambda: NOW)
    for record in farm_records():
        write(season, _put(record))
    season.do(actions.picks.add, entry())
    return season


def _put(record: object) -> Action:
    return Action("set up", (record,))  # type: ignore[arg-type]


def reopened(path: Path) -> Season:
    return Season.open(path, clock=lambda: NOW)


def test_going_back_is_shown_first_then_done_and_taken_back(season: Season, tmp_path: Path) -> None:
    then = season.book
    kept = season.copies.kept_in(tmp_path / "kept").keep(season.path, NOW)
    assert season.copies.changes_back_to(kept.path) == ()
    [batch] = season.book.batches.values()
    season.do(actions.batches.change, replace(batch, note="bruised"))
    season.do(actions.picks.add, entry(picked_at=NOW - timedelta(hours=2)))
    now = season.book
    changes = season.copies.changes_back_to(kept.path)
    assert sum(c.after is None for c in changes) == 2  # the second batch and its move
    assert [c.after for c in changes if c.after is not None] == [batch]

    season.do(actions.season.go_back_to, kept.path, kept.at)
    assert season.book == then
    assert season.undo_label == "going back to the copy of 1 Oct 2026, 08:30"
    season.undo()
    assert season.book == now
    season.close()


def test_copies_of_another_season_are_refused(season: Season, tmp_path: Path) -> None:
    other = Season.create(
        tmp_path / "other.ripenroom",
        season_record(id="00000000-0000-4000-8000-000000000003", name="Else"),
    )
    other.close()
    for use in (season.copies.changes_back_to, season.copies.meet):
        with pytest.raises(Refusal, match=r"another season, “Else”"):
            use(other.path)
    (tmp_path / "note.ripenroom").write_text("no season")
    with pytest.raises(FileRefusal):
        season.copies.meet(tmp_path / "note.ripenroom")
    season.close()


def test_a_copy_changed_in_the_shed_comes_back_to_the_house(season: Season, tmp_path: Path) -> None:
    shed_path = tmp_path / "shed.ripenroom"
    shutil.copyfile(season.path, shed_path)
    shed = reopened(shed_path)
    [batch] = shed.book.batches.values()
    shed.do(actions.picks.add, entry(picked_at=NOW - timedelta(hours=3)))
    shed.do(actions.batches.change, replace(batch, note="shed"))
    shed_book = shed.book
    shed.close()
    season.do(actions.picks.add, entry(picked_at=NOW - timedelta(hours=1)))
    season.do(actions.batches.change, replace(batch, note="house"))
    before = season.book

    meeting = season.copies.meet(shed_path)
    [conflict] = meeting.conflicts
    assert conflict.differs_in == ("note",)
    season.do(actions.season.take_in, meeting, {conflict.key: "theirs"}, "shed.ripenroom")
    assert season.undo_label == "changes from shed.ripenroom"
    assert season.book.batches[batch.id].note == "shed"
    assert set(season.book.batches) == set(before.batches) | set(shed_book.batches)
    codes = [b.code for b in season.book.batches.values()]
    assert len(set(codes)) == len(codes) == 3
    assert len(season.projection().batch_ids) == 3
    with pytest.raises(Refusal, match="has changed since"):
        season.do(actions.season.take_in, meeting, {}, "shed.ripenroom")
    season.undo()
    assert season.book == before
    season.close()


def test_when_both_copies_are_one_already_nothing_is_to_do(season: Season, tmp_path: Path) -> None:
    shutil.copyfile(season.path, tmp_path / "same.ripenroom")
    meeting = season.copies.meet(tmp_path / "same.ripenroom")
    assert (meeting.conflicts, meeting.changes({})) == ((), ())
    season.close()
