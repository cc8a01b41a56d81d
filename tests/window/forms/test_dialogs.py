"""Moving, taking out and mending batches."""

from datetime import timedelta

import pytest
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from ripenroom.window.forms.batch_moves import MoveDialog, TakeOutDialog
from ripenroom.window.forms.edit_pick import EditPickDialog
from ripenroom.window.session import Session
from tests.window.conftest import UNKNOWN_CROP, UNPLACED


@pytest.fixture
def batch_id(session: Session) -> str:
    """A batch with fruit left, moved but once."""
    projection = session.projection()
    moved = {m.batch_id for m in session.season.book.moves.values()}
    return next(
        key
        for key, left in zip(projection.batch_ids, projection.left, strict=True)
        if left >= 5 and key in moved and len(session.season.moves_of(key)) == 1
    )


def test_a_move_ahead_is_a_pull(qtbot: QtBot, session: Session, batch_id: str) -> None:
    dialog = MoveDialog(session, [batch_id])
    qtbot.addWidget(dialog)
    here = session.season.place_of(batch_id)
    later = (session.season.now() + timedelta(hours=20)).replace(minute=0)
    dialog.when.set_moment(later)
    target = dialog.place.value()
    dialog.accept()
    assert dialog.result() == dialog.DialogCode.Accepted
    assert session.season.place_of(batch_id) == here
    then = session.season.place_of(batch_id, later)
    assert then is not None
    assert then.id == target


def test_where_it_is_now_is_not_offered(qtbot: QtBot, session: Session, batch_id: str) -> None:
    dialog = MoveDialog(session, [batch_id])
    qtbot.addWidget(dialog)
    here = session.season.place_of(batch_id)
    assert here is not None
    names = [dialog.place.itemText(index) for index in range(dialog.place.count())]
    assert here.name not in names
    assert len(names) == len(session.season.book.places) - 1


def test_a_refused_move_keeps_the_dialog_open(
    qtbot: QtBot, session: Session, batch_id: str
) -> None:
    dialog = MoveDialog(session, [batch_id])
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.when.set_moment(session.season.book.batches[batch_id].picked_at - timedelta(days=2))
    dialog.accept()
    assert dialog.isVisible()
    assert dialog.board.fields["at"].note.isVisible()


def test_sold_fruit_leaves_the_batch(qtbot: QtBot, session: Session, batch_id: str) -> None:
    line = session.projection().line_of[batch_id]
    before = session.projection().left[line]
    dialog = TakeOutDialog(session, batch_id, "sold")
    qtbot.addWidget(dialog)
    assert dialog.count.text() == session.words.number(before)
    dialog.count.setText("2")
    dialog.accept()
    assert session.projection().left[line] == before - 2


def test_more_than_is_left_is_refused_beside_the_count(
    qtbot: QtBot, session: Session, batch_id: str
) -> None:
    dialog = TakeOutDialog(session, batch_id, "discarded")
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.count.setText("99999")
    dialog.accept()
    assert dialog.board.fields["count"].note.isVisible()
    assert dialog.count.text() == "99999"


@pytest.mark.long
def test_an_untouched_edit_changes_nothing(qtbot: QtBot, session: Session) -> None:
    for batch_id, batch in list(session.season.book.batches.items()):
        dialog = EditPickDialog(session, batch_id)
        qtbot.addWidget(dialog)
        dialog.accept()
        assert dialog.result() == dialog.DialogCode.Accepted, batch.code
        after = session.season.book.batches[batch_id]
        assert after.count == batch.count
        assert after.feel_counts == batch.feel_counts
        assert after.readings == pytest.approx(batch.readings)
        assert after.cultivar_id == batch.cultivar_id
        assert after.picked_at == batch.picked_at


def test_an_edit_is_saved(qtbot: QtBot, session: Session, batch_id: str) -> None:
    dialog = EditPickDialog(session, batch_id)
    qtbot.addWidget(dialog)
    dialog.pick.note.setText("from the far end")
    dialog.accept()
    assert session.season.book.batches[batch_id].note == "from the far end"
    assert session.season.undo_label is not None


@pytest.mark.usefixtures("with_unforeseen")
@pytest.mark.parametrize("batch_id", [UNKNOWN_CROP, UNPLACED])
def test_counted_fruit_is_sold_where_nothing_can_be_worked_out(
    qtbot: QtBot, session: Session, batch_id: str
) -> None:
    dialog = TakeOutDialog(session, batch_id, "sold")
    qtbot.addWidget(dialog)
    assert dialog.count.text() == ""
    dialog.count.setText("1")
    dialog.accept()
    assert [r.count for r in session.season.book.removals.values() if r.batch_id == batch_id] == [1]


@pytest.mark.usefixtures("with_unforeseen")
def test_an_edit_does_not_turn_an_unknown_crop_into_another(qtbot: QtBot, session: Session) -> None:
    dialog = EditPickDialog(session, UNKNOWN_CROP)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.accept()
    assert dialog.isVisible()
    assert dialog.board.fields["crop"].note.isVisible()
    assert dialog.pick.crop.choose(("pear", None))
    dialog.accept()
    assert session.season.book.batches[UNKNOWN_CROP].crop == "pear"


def test_what_is_kept_as_typed_in_an_edit_is_not_asked_again(
    qtbot: QtBot, session: Session, batch_id: str
) -> None:
    dialog = EditPickDialog(session, batch_id)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.pick.feel.set_text("")
    dialog.pick.count.setText("20")
    dialog.pick.readings.line.setText("12 11")
    dialog.pick.readings.unit_choice.choose("N")
    dialog.pick.readings.probe.setText("5")
    dialog.accept()
    assert dialog.isVisible()
    *_, keep = [
        button
        for button in dialog.board.fields["probe_mm"].note.findChildren(QPushButton)
        if not button.isHidden()
    ]
    keep.click()
    assert not dialog.isVisible()
    assert session.season.book.batches[batch_id].probe_mm == 5.0
