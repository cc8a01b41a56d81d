"""Rows and cultivars."""

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.window.orchard.cultivar_dialog import CultivarDialog
from ripenroom.window.orchard.dialog import OrchardDialog
from ripenroom.window.orchard.row_dialog import RowDialog
from ripenroom.window.session import Session


@pytest.fixture
def dialog(qtbot: QtBot, session: Session) -> OrchardDialog:
    made = OrchardDialog(session)
    qtbot.addWidget(made)
    made.show()
    return made


def test_what_is_added_is_listed_at_once(
    qtbot: QtBot, dialog: OrchardDialog, session: Session
) -> None:
    adding = CultivarDialog(session, None)
    qtbot.addWidget(adding)
    adding.name.setText("Sunrise trees")
    adding.crop.choose("pawpaw")
    adding.group.choose("late")
    adding.accept()
    texts = [dialog.cultivars.list.item(i).text() for i in range(dialog.cultivars.list.count())]
    assert any("Sunrise trees" in text for text in texts)
    cultivar = next(c for c in session.season.book.cultivars.values() if c.name == "Sunrise trees")
    assert cultivar.group == "late"
    row = RowDialog(session, None)
    qtbot.addWidget(row)
    row.name.setText("Row 99")
    row.trees.setText("12")
    row.cultivar.choose(cultivar.id)
    row.accept()
    texts = [dialog.rows.list.item(i).text() for i in range(dialog.rows.list.count())]
    assert "Row 99 · Sunrise trees · 12 trees" in texts


def test_trees_must_be_a_whole_number(qtbot: QtBot, session: Session) -> None:
    row = RowDialog(session, None)
    qtbot.addWidget(row)
    row.show()
    row.name.setText("Row 98")
    row.trees.setText("a dozen")
    row.accept()
    assert row.isVisible()
    assert row.board.fields["trees"].note.isVisible()


def test_a_row_that_was_picked_is_not_deleted_and_the_dialog_says_why(
    dialog: OrchardDialog, session: Session
) -> None:
    picked = next(b.row_id for b in session.season.book.batches.values() if b.row_id)
    dialog.rows.deleteAsked.emit(picked)
    assert picked in session.season.book.rows
    assert dialog.note.isVisible()


def test_buttons_wait_for_a_choice(dialog: OrchardDialog) -> None:
    dialog.rows.list.setCurrentRow(-1)
    assert not dialog.rows.delete_button.isEnabled()
    dialog.rows.list.setCurrentRow(0)
    assert dialog.rows.delete_button.isEnabled()


def test_a_cultivar_keeps_a_pace_of_its_own(
    qtbot: QtBot, dialog: OrchardDialog, session: Session
) -> None:
    adding = CultivarDialog(session, None)
    qtbot.addWidget(adding)
    adding.show()
    adding.name.setText("Quick trees")
    adding.crop.choose("pawpaw")
    for refused in ("quick", "0", "99"):
        adding.pace.setText(refused)
        adding.accept()
        assert adding.board.fields["rate_factor"].note.text
    adding.pace.setText("1.25")
    adding.accept()
    made = next(c for c in session.season.book.cultivars.values() if c.name == "Quick trees")
    assert made.rate_factor == 1.25
    texts = [dialog.cultivars.list.item(i).text() for i in range(dialog.cultivars.list.count())]
    assert any(text.endswith("Quick trees · 1.25 times as fast") for text in texts)
    editing = CultivarDialog(session, made.id)
    qtbot.addWidget(editing)
    assert editing.pace.text() == "1.25"


def test_what_was_learned_of_a_cultivar_is_told(
    qtbot: QtBot, dialog: OrchardDialog, session: Session
) -> None:
    session.season.learn()
    shown = dialog.cultivars.list
    [early] = [
        text for n in range(shown.count()) if "Early pawpaws" in (text := shown.item(n).text())
    ]
    assert "times as fast as the book" in early
    assert "from 6 checks of 5 batches" in early
    [cultivar] = [c for c in session.season.book.cultivars.values() if c.group == "early"]
    editing = CultivarDialog(session, cultivar.id)
    qtbot.addWidget(editing)
    assert "times as fast as the book" in editing.learned.text()
    adding = CultivarDialog(session, None)
    qtbot.addWidget(adding)
    assert adding.learned.isHidden()
