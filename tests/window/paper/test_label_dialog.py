"""The dialog that prints crate labels."""

from pathlib import Path

import pytest
from PySide6.QtGui import QPdfWriter
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from ripenroom.window.paper.label_dialog import LabelDialog
from ripenroom.window.session import Session


@pytest.fixture
def dialog(session: Session, qtbot: QtBot) -> LabelDialog:
    dialog = LabelDialog(session, session.projection().batch_ids[-3:])
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


def test_it_offers_a_label_for_each_crate(dialog: LabelDialog, tmp_path: Path) -> None:
    counts = [count.value() for _, count in dialog._counts]
    assert len(counts) == 3
    assert min(counts) >= 1
    assert dialog.paint(QPdfWriter(str(tmp_path / "labels.pdf"))) == 1


def test_a_sheet_that_was_begun_goes_on_at_its_first_free_label(
    dialog: LabelDialog, tmp_path: Path
) -> None:
    dialog.sheet.choose("a4-8")
    assert dialog.first.maximum() == 8
    dialog.first.setValue(8)
    assert dialog.paint(QPdfWriter(str(tmp_path / "labels.pdf"))) == 2


def test_the_pdf_is_written_where_the_user_says(
    dialog: LabelDialog, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "my labels"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    dialog.pdf_button.click()
    assert (tmp_path / "my labels.pdf").read_bytes().startswith(b"%PDF-")


def test_no_label_at_all_is_refused_beside_the_field(dialog: LabelDialog) -> None:
    for _, count in dialog._counts:
        count.setValue(0)
    dialog.pdf_button.click()
    first = dialog.board.fields[f"count {dialog._counts[0][0]}"]
    assert first.note.isVisible()


def test_the_sheet_is_remembered(dialog: LabelDialog, session: Session, qtbot: QtBot) -> None:
    dialog.sheet.choose("letter-30")
    dialog._require_labels()
    again = LabelDialog(session, session.projection().batch_ids[:1])
    qtbot.addWidget(again)
    assert again.chosen_sheet().key == "letter-30"
