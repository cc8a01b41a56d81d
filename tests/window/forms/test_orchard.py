"""Rows and cultivars."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from ripenroom.records.orchard import Cultivar
from ripenroom.season import actions
from ripenroom.window.forms.cultivar import CultivarDialog
from ripenroom.window.forms.orchard import OrchardDialog
from ripenroom.window.forms.tree_row import RowDialog
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


def test_days_of_bloom_and_of_counting_are_past(qtbot: QtBot, session: Session) -> None:
    row = RowDialog(session, None)
    qtbot.addWidget(row)
    row.show()
    now = session.season.now().date()
    for known in (row.bloom, row.counted):
        known.box.setChecked(True)
        for typed in ("sat", "wed", "5 Sep", "5 Dec"):
            known.edit.line.selectAll()
            QTest.keyClicks(known.edit.line, typed)
            day = known.typed_day("")
            assert day is not None
            assert day <= now
    names = [known.edit.accessibleName() for known in (row.bloom, row.counted)]
    assert names == ["Full bloom: Known", "Counted before the first pick, or: on"]


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
    assert "times as fast as usual" in early
    assert "from 6 checks of 5 batches" in early
    [cultivar] = [c for c in session.season.book.cultivars.values() if c.group == "early"]
    editing = CultivarDialog(session, cultivar.id)
    qtbot.addWidget(editing)
    assert "times as fast as usual" in editing.learned.text()
    adding = CultivarDialog(session, None)
    qtbot.addWidget(adding)
    assert adding.learned.isHidden()


@pytest.fixture
def adding(qtbot: QtBot, session: Session) -> CultivarDialog:
    made = CultivarDialog(session, None)
    qtbot.addWidget(made)
    made.name.setText("Yellow one")
    made.show()
    return made


def offered(dialog: CultivarDialog) -> list[str]:
    return [dialog.crop_group.itemText(n) for n in range(dialog.crop_group.count())]


def test_groups_that_have_figures_are_offered_with_their_crop(adding: CultivarDialog) -> None:
    adding.crop.choose("pawpaw")
    assert offered(adding) == ["this crop has none"]
    assert not adding.crop_group.isEnabled()
    assert "No group of this crop" in adding.crop_group.toolTip()
    adding.crop.choose("kiwifruit")
    assert offered(adding) == ["the whole crop", "gold"]
    assert adding.crop_group.isEnabled()
    assert adding.crop_group.accessibleName() == "Group of the crop"
    adding.crop_group.choose("gold")
    adding.crop.choose("peach")
    assert adding.crop_group.value() is None
    assert offered(adding) == ["the whole crop", "early season", "late season"]


def test_a_group_is_chosen_by_keyboard_listed_and_undone(
    qtbot: QtBot, dialog: OrchardDialog, session: Session, adding: CultivarDialog
) -> None:
    adding.crop.choose("kiwifruit")
    adding.board.fields["crop_group"].label.buddy().setFocus()
    QTest.keyClick(adding.crop_group, Qt.Key.Key_Down)
    QTest.keyClick(adding.crop_group, Qt.Key.Key_Return)
    if adding.isVisible():
        adding.accept()
    [made] = [c for c in session.season.book.cultivars.values() if c.name == "Yellow one"]
    assert made.crop_group == "gold"
    texts = [dialog.cultivars.list.item(i).text() for i in range(dialog.cultivars.list.count())]
    assert "Kiwifruit, gold · Yellow one" in texts
    editing = CultivarDialog(session, made.id)
    qtbot.addWidget(editing)
    assert editing.crop_group.value() == "gold"
    editing.crop_group.choose(None)
    editing.accept()
    assert session.season.book.cultivars[made.id].crop_group is None
    session.season.undo()
    assert session.season.book.cultivars[made.id].crop_group == "gold"


def test_a_group_that_the_profile_does_not_know_stays_until_another_is_chosen(
    qtbot: QtBot, session: Session
) -> None:
    odd = "<b>gone</b> &' \N{SNOWMAN}"
    kept = Cultivar(id="odd", crop="peach", name="Odd", crop_group=odd)
    session.season.do(actions.orchard.save_cultivar, kept)
    editing = CultivarDialog(session, "odd")
    qtbot.addWidget(editing)
    assert editing.crop_group.value() == odd
    editing.name.setText("Odder")
    editing.accept()
    assert session.season.book.cultivars["odd"] == replace(kept, name="Odder")
