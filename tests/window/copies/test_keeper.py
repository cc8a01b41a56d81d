"""Copies keep themselves: after changes, at most one an hour, and one at the end."""

from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.season import actions
from ripenroom.window.copies import keeper as keeping
from ripenroom.window.copies.keeper import CopyKeeper
from ripenroom.window.session import Session
from tests.window.copies.conftest import Clock


def change(session: Session, note: str) -> None:
    batch = next(iter(session.season.book.batches.values()))
    session.season.do(actions.batches.change, replace(batch, note=note))


def test_without_a_change_there_is_no_copy(own: Session, tmp_path: Path) -> None:
    keeper = CopyKeeper(own, tmp_path)
    keeper.keep_if_due()
    keeper.close()
    assert keeper.there() == ()


def test_a_copy_follows_a_change_and_the_next_after_an_hour(
    own: Session, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, clock: Clock
) -> None:
    monkeypatch.setattr(keeping, "_SOON_MS", 1)
    keeper = CopyKeeper(own, tmp_path)
    change(own, "one")
    qtbot.waitUntil(lambda: len(keeper.there()) == 1)
    clock.forward(minutes=10)
    change(own, "two")
    keeper.keep_if_due()
    assert len(keeper.there()) == 1
    clock.forward(minutes=60)
    keeper.keep_if_due()
    assert len(keeper.there()) == 2
    clock.forward(minutes=1)
    change(own, "three")
    keeper.close()
    latest = keeper.there()[0]
    assert own.season.copies.changes_back_to(latest.path) == ()


def test_a_practice_season_keeps_none(session: Session, tmp_path: Path) -> None:
    keeper = CopyKeeper(session, tmp_path)
    change(session, "one")
    keeper.close()
    assert keeper.there() == ()


def test_what_cannot_be_written_is_said_once(own: Session, tmp_path: Path) -> None:
    (tmp_path / "full").write_text("a file where the folder should be")
    keeper = CopyKeeper(own, tmp_path / "full")
    said: list[str] = []
    own.said.connect(said.append)
    for note in ("one", "two"):
        change(own, note)
        keeper.keep_if_due()
    assert len([text for text in said if "No copy" in text]) == 1


def test_a_season_whose_file_was_deleted_is_kept_all_the_same(own: Session, tmp_path: Path) -> None:
    keeper = CopyKeeper(own, tmp_path / "kept")
    change(own, "one")
    own.season.path.unlink()
    keeper.close()
    [kept] = keeper.there()
    assert own.season.copies.changes_back_to(kept.path) == ()
