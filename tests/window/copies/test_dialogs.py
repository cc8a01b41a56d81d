"""Going back to a copy, bringing one in, and the ways on from a damaged file."""

import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, QTimer
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog, QLabel
from pytestqt.qtbot import QtBot

from ripenroom.records.file.rescue import Rescued
from ripenroom.records.file.season_details import ALL_DETAILS
from ripenroom.records.season import SeasonDetails
from ripenroom.season import actions
from ripenroom.season.copies import Backups
from ripenroom.season.season import Season
from ripenroom.window.copies import damaged_dialog
from ripenroom.window.copies.damaged_dialog import DamagedDialog, RescuedDialog, rescued_text
from ripenroom.window.copies.earlier_dialog import EarlierDialog
from ripenroom.window.copies.keeper import CopyKeeper, folder_of, remember
from ripenroom.window.copies.merge_dialog import MergeDialog
from ripenroom.window.main_window import MainWindow
from ripenroom.window.session import Session
from ripenroom.wording.copies import detail_words
from tests.window.copies.conftest import Clock


@pytest.fixture
def answer_save(monkeypatch: pytest.MonkeyPatch) -> Callable[[Path], None]:
    """What the user says when asked where to save."""

    def say(path: Path) -> None:
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), ""))

    return say


def keep(own: Session, folder: Path) -> CopyKeeper:
    keeper = CopyKeeper(own, folder)
    batch = next(iter(own.season.book.batches.values()))
    own.season.do(actions.batches.change, replace(batch, note="then"))
    keeper.keep_if_due()
    return keeper


def test_going_back_is_told_in_words_then_done_and_undone(
    own: Session, qtbot: QtBot, tmp_path: Path
) -> None:
    keeper = keep(own, tmp_path)
    [day, *_] = own.season.book.market_days.values()
    wants = [w for w in own.season.book.wants.values() if w.market_day_id == day.id]
    own.season.do(actions.ahead.save_market_day, replace(day, name="Another name"), wants)
    now = own.season.book
    dialog = EarlierDialog(own, keeper.there())
    qtbot.addWidget(dialog)
    dialog.show()
    assert dialog.list.count() == 1
    qtbot.waitUntil(dialog.back_button.isEnabled)
    assert day.name in dialog.text.toPlainText()
    assert "Would be changed" in dialog.text.toPlainText()
    dialog.back_button.click()
    assert own.season.book.market_days[day.id].name == day.name
    assert (own.season.undo_label or "").startswith("going back to the copy")
    own.season.undo()
    assert own.season.book == now


def test_a_copy_equal_to_the_season_and_no_copy_at_all(
    own: Session, qtbot: QtBot, tmp_path: Path
) -> None:
    dialog = EarlierDialog(own, keep(own, tmp_path).there())
    qtbot.addWidget(dialog)
    qtbot.waitUntil(lambda: dialog.text.toPlainText() == "Nothing would change.")
    assert not dialog.back_button.isEnabled()
    none = EarlierDialog(own, ())
    qtbot.addWidget(none)
    assert "No copy yet" in none.text.toPlainText()
    assert not none.open_button.isEnabled()


def test_a_copy_becomes_a_season_of_its_own(
    own: Session, qtbot: QtBot, tmp_path: Path, answer_save: Callable[[Path], None]
) -> None:
    dialog = EarlierDialog(own, keep(own, tmp_path / "kept").there())
    qtbot.addWidget(dialog)
    answer_save(tmp_path / "as it was")
    with qtbot.waitSignal(dialog.openAsked) as asked:
        dialog.open_button.click()
    target = tmp_path / "as it was.ripenroom"
    assert asked.args == [target]
    opened = Season.open(target)
    assert opened.book == own.season.book
    opened.close()


def test_changes_of_another_copy_come_in_and_conflicts_are_chosen(
    own: Session, qtbot: QtBot, tmp_path: Path, clock: Clock
) -> None:
    shed_path = tmp_path / "shed.ripenroom"
    shutil.copyfile(own.season.path, shed_path)
    shed = Season.open(shed_path, clock=clock)
    batches = list(own.season.book.batches.values())
    shed.do(actions.batches.change, replace(batches[0], note="in the shed"))
    shed.do(actions.batches.change, replace(batches[1], note="only there"))
    shed.close()
    own.season.do(actions.batches.change, replace(batches[0], note="in the house"))
    dialog = MergeDialog(own, own.season.copies.meet(shed_path), "shed.ripenroom")
    qtbot.addWidget(dialog)
    dialog.show()
    [group] = dialog._choices.values()
    assert batches[1].code in dialog.text.toPlainText()
    assert "Changed here and in the copy: 1" in dialog.about.text()
    group.button(2).click()
    dialog.take_button.click()
    assert not dialog.isVisible()
    book = own.season.book
    assert book.batches[batches[0].id].note == "in the shed"
    assert book.batches[batches[1].id].note == "only there"
    again = MergeDialog(own, own.season.copies.meet(shed_path), "shed.ripenroom")
    qtbot.addWidget(again)
    assert not again.take_button.isEnabled()


def test_a_damaged_file_is_rescued_into_a_new_one(
    own: Session,
    qtbot: QtBot,
    tmp_path: Path,
    answer_save: Callable[[Path], None],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    damaged = tmp_path / "damaged.ripenroom"
    content = bytearray(own.season.path.read_bytes())
    content[3 * 4096 : 4 * 4096] = bytes(4096)
    damaged.write_bytes(content)
    told: list[QDialog] = []
    monkeypatch.setattr(damaged_dialog, "ask", told.append)
    dialog = DamagedDialog(damaged, "It is damaged.", ())
    qtbot.addWidget(dialog)
    answer_save(tmp_path / "back")
    dialog.rescue_button.click()
    qtbot.waitUntil(lambda: bool(told))
    assert dialog.opened == tmp_path / "back.ripenroom"
    opened = Season.open(dialog.opened)
    assert len(opened.book.batches) > 0.5 * len(own.season.book.batches)
    opened.close()
    assert damaged.read_bytes() == content
    [summary] = told
    assert isinstance(summary, RescuedDialog)
    assert "Batches:" in summary.text.text()
    summary.deleteLater()

    again = DamagedDialog(damaged, "It is damaged.", ())
    qtbot.addWidget(again)
    answer_save(tmp_path / "back.ripenroom")
    again.rescue_button.click()
    qtbot.waitUntil(again.isEnabled)
    assert again.opened is None
    assert "there already" in again._note.text


def test_what_is_lost_of_the_season_itself_is_named(own: Session, tmp_path: Path) -> None:
    found = Rescued(own.season.book, {SeasonDetails: 1}, ("id", "zone"), torn=False)
    said = rescued_text(found, tmp_path / "back.ripenroom")
    assert "lost and filled in again: id, time zone. Look at them" in said
    assert "Lost:" not in said
    assert [detail_words(name) for name in ALL_DETAILS]
    everything = replace(found, lost_details=ALL_DETAILS)
    assert "The season details were lost." in rescued_text(everything, tmp_path / "back.ripenroom")


def test_an_earlier_copy_is_found_by_where_the_file_was(
    own: Session,
    qtbot: QtBot,
    tmp_path: Path,
    answer_save: Callable[[Path], None],
    settings: QSettings,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("ripenroom.window.copies.keeper.copies_folder", lambda: tmp_path / "kept")
    keeper = keep(own, tmp_path / "kept")
    remember(settings, own.season.path, own.season.book.season.id)
    folder = folder_of(settings, own.season.path)
    assert folder == keeper.copies.folder
    assert folder_of(settings, tmp_path / "elsewhere") is None
    dialog = DamagedDialog(own.season.path, "It is damaged.", keeper.there())
    qtbot.addWidget(dialog)
    answer_save(tmp_path / "copy")
    dialog.open_button.click()
    assert dialog.opened == tmp_path / "copy.ripenroom"
    opened = Season.open(dialog.opened)
    assert opened.book == own.season.book
    opened.close()


def test_of_an_empty_file_without_an_earlier_copy_none_is_advised(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ripenroom.window.copies.keeper.copies_folder", lambda: tmp_path / "kept")
    empty = tmp_path / "empty.ripenroom"
    empty.touch()
    seen: list[list[str]] = []

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, DamagedDialog)
        seen.append([label.text() for label in dialog.findChildren(QLabel) if label.isVisible()])
        dialog.reject()

    QTimer.singleShot(0, look)
    assert not window.open_path(empty)
    [said] = seen
    assert said[0] == "empty.ripenroom is empty."
    assert [text for text in said if "earlier copy" in text] == [
        "This computer has no earlier copy of it."
    ]


def test_of_a_lost_file_earlier_copies_are_offered_and_nothing_to_rescue(
    window: MainWindow, season_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = tmp_path / "kept" / season_of(window).book.season.id
    monkeypatch.setattr("ripenroom.window.copies.keeper.copies_folder", lambda: tmp_path / "kept")
    Backups(kept, UTC).keep(season_path, datetime.now(UTC))
    season_path.unlink()
    seen: list[tuple[int, bool]] = []

    def look() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, DamagedDialog)
        seen.append((dialog.list.count(), dialog.rescue_button.isVisible()))
        dialog.reject()

    QTimer.singleShot(0, look)
    assert not window.open_path(season_path)
    assert seen == [(1, False)]


@pytest.mark.parametrize(
    ("content", "title", "rescues"),
    [
        (None, "This season file is not there", False),
        (b"", "This season file is damaged", False),
        (b"a photo, by its first bytes", "This file cannot be opened", True),
    ],
)
@pytest.mark.parametrize("button", ["another_button", "new_button"])
def test_from_any_file_that_is_no_season_one_goes_on_to_another_or_a_new_one(
    window: MainWindow,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    content: bytes | None,
    title: str,
    rescues: bool,
    button: str,
) -> None:
    path = tmp_path / "never seen.ripenroom"
    if content is not None:
        path.write_bytes(content)
    went: list[str] = []
    monkeypatch.setattr(window, "choose_season", lambda: went.append("another_button"))
    monkeypatch.setattr(window, "new_season", lambda: went.append("new_button"))
    seen: list[tuple[str, bool]] = []

    def press() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, DamagedDialog)
        seen.append((dialog.windowTitle(), dialog.rescue_button.isVisible()))
        getattr(dialog, button).click()

    QTimer.singleShot(0, press)
    assert not window.open_path(path)
    assert seen == [(title, rescues)]
    assert went == [button]


def season_of(window: MainWindow) -> Season:
    assert window.session is not None
    return window.session.season
