"""Writing down a pick by keyboard, with refusals beside the field and nothing lost."""

from datetime import timedelta

import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from ripenroom.records.batch import Batch
from ripenroom.season.state import Changed
from ripenroom.window.picks.entry_form import PickForm
from ripenroom.window.session import Session


@pytest.fixture
def form(qtbot: QtBot, session: Session) -> PickForm:
    made = PickForm(session)
    qtbot.addWidget(made)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    made.focus_counts()
    return made


def focus() -> QWidget:
    widget = QApplication.focusWidget()
    assert widget is not None
    return widget


def new_batches(session: Session, before: set[str]) -> list[Batch]:
    book = session.season.book
    return [batch for key, batch in book.batches.items() if key not in before]


def choose_pawpaw(form: PickForm) -> None:
    assert form.fields.crop.choose(("pawpaw", None))


def test_a_pick_is_written_down_by_keyboard_alone(
    qtbot: QtBot, form: PickForm, session: Session
) -> None:
    before = set(session.season.book.batches)
    choose_pawpaw(form)
    QTest.keyClicks(focus(), "3 9 6 2")
    QTest.keyClick(focus(), Qt.Key.Key_Return)
    made = new_batches(session, before)
    assert sorted(batch.count or 0 for batch in made) == [2, 3, 6, 9]
    assert {batch.crop for batch in made} == {"pawpaw"}
    assert {batch.picked_at for batch in made} == {session.season.now()}


def test_the_next_entry_keeps_row_cultivar_and_place_and_waits_for_counts(
    qtbot: QtBot, form: PickForm, session: Session
) -> None:
    fields = form.fields
    fields.row.setCurrentIndex(1)
    fields.row.activated.emit(1)
    fields.place.setCurrentIndex(2)
    fields.pulp.setText("21")
    kept = (fields.row.value(), fields.crop.value(), fields.place.value())
    QTest.keyClicks(fields.feel.line, "0 9 0 0")
    QTest.keyClicks(fields.note, "wet")
    QTest.keyClick(fields.note, Qt.Key.Key_Return)
    assert (fields.row.value(), fields.crop.value(), fields.place.value()) == kept
    assert fields.pulp.text() == "21"
    assert fields.feel.line.text() == ""
    assert fields.note.text() == ""
    assert focus() is fields.feel.line


def test_a_row_brings_its_cultivar(form: PickForm, session: Session) -> None:
    row = next(row for row in session.season.book.rows.values() if row.cultivar_id)
    form.fields.row.choose(row.id)
    form.fields.row.activated.emit(form.fields.row.currentIndex())
    chosen = form.fields.crop.value()
    assert isinstance(chosen, tuple)
    assert chosen[1] == row.cultivar_id


def test_the_sentence_says_what_will_be_made(qtbot: QtBot, form: PickForm) -> None:
    QTest.keyClicks(form.fields.feel.line, "0 9 6 2")
    assert form.sentence.text() == "Makes 3 batches: 9 slight give, 6 gives, 2 soft"
    form.split.setChecked(False)
    assert form.sentence.text() == "Makes 1 batch: 9 slight give, 6 gives, 2 soft"
    form.split.setChecked(True)
    QTest.keyClicks(form.fields.count, "40")
    assert form.sentence.text().startswith("Makes 1 batch of 40; felt 17 of them")


def test_the_sentence_keeps_its_word(qtbot: QtBot, form: PickForm, session: Session) -> None:
    before = set(session.season.book.batches)
    choose_pawpaw(form)
    QTest.keyClicks(form.fields.feel.line, "0 9 6 2")
    QTest.keyClicks(form.fields.count, "40")
    QTest.keyClick(form.fields.count, Qt.Key.Key_Return)
    (batch,) = new_batches(session, before)
    assert (batch.count, batch.feel_counts) == (40, (0, 9, 6, 2, 0))


def test_a_weight_that_says_more_than_was_felt_is_said_before_it_is_saved(
    form: PickForm, session: Session
) -> None:
    before = set(session.season.book.batches)
    choose_pawpaw(form)
    QTest.keyClicks(form.fields.feel.line, "0 20 0 0")
    QTest.keyClicks(form.fields.weight, "14 lb")
    usual_kg = session.season.crops["pawpaw"].fruit_mass_g.value / 1000.0
    fruit = round(14 * 0.45359237 / usual_kg)
    assert form.sentence.text().startswith(
        f"Makes 1 batch: 20 felt of about {fruit} by weight. Do the rest feel alike?"
    )
    QTest.keyClick(form.fields.weight, Qt.Key.Key_Return)
    (batch,) = new_batches(session, before)
    projection = session.projection()
    assert round(projection.left[projection.batch_ids.index(batch.id)]) == fruit


def test_a_count_goes_before_a_weight(form: PickForm, session: Session) -> None:
    before = set(session.season.book.batches)
    choose_pawpaw(form)
    QTest.keyClicks(form.fields.feel.line, "0 20 0 0")
    QTest.keyClicks(form.fields.weight, "14 lb")
    QTest.keyClicks(form.fields.count, "20")
    assert form.sentence.text() == "Makes 1 batch: 20 slight give"
    QTest.keyClick(form.fields.count, Qt.Key.Key_Return)
    (batch,) = new_batches(session, before)
    assert batch.count == 20


def test_a_weight_alone_is_said_in_fruit(form: PickForm, session: Session) -> None:
    choose_pawpaw(form)
    QTest.keyClicks(form.fields.weight, "3")
    usual_kg = session.season.crops["pawpaw"].fruit_mass_g.value / 1000.0
    assert form.sentence.text() == f"Makes 1 batch of about {round(3 / usual_kg)} by weight"


@pytest.mark.parametrize(("weight", "many"), [("2.4", 3), ("40", 1)])
def test_the_sentence_tells_a_weighed_pick_from_a_felt_sample(
    form: PickForm, session: Session, weight: str, many: int
) -> None:
    before = set(session.season.book.batches)
    choose_pawpaw(form)
    QTest.keyClicks(form.fields.feel.line, "0 9 6 2")
    QTest.keyClicks(form.fields.weight, weight)
    assert form.sentence.text().startswith("Makes 3 batches" if many == 3 else "Makes 1 batch")
    QTest.keyClick(form.fields.weight, Qt.Key.Key_Return)
    assert len(new_batches(session, before)) == many


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("count", "many"),
        ("count", "-3"),
        ("weight_kg", "x"),
        ("pulp_c", "warm"),
        ("feel_counts", "40"),
    ],
)
def test_a_refusal_stands_beside_its_field_and_nothing_typed_is_lost(
    qtbot: QtBot, form: PickForm, session: Session, name: str, typed: str
) -> None:
    before = set(session.season.book.batches)
    field = form.fields.fields[name]
    form.fields.note.setText("first ladder")
    editor = field.editors[0]
    QTest.keyClicks(editor, typed)
    if name not in ("count", "feel_counts"):
        form.fields.count.setText("12")
    QTest.keyClick(editor, Qt.Key.Key_Return)
    assert new_batches(session, before) == []
    assert field.note.isVisible()
    assert field.note.text.startswith("! ")
    assert focus() is editor
    assert editor.property("text") == typed
    assert form.fields.note.text() == "first ladder"
    others = {f for f in form.fields.fields.values() if f is not field}
    assert not any(other.note.isVisible() for other in others)


def test_a_number_with_the_other_decimal_mark_is_told_which_is_meant(
    qtbot: QtBot, session: Session
) -> None:
    german = Session(session.season, session.settings, QLocale("de_DE"))
    form = PickForm(german)
    qtbot.addWidget(form)
    form.show()
    form.fields.count.setText("12")
    form.fields.weight.setText("2.4")
    form.add()
    assert "such as 30,5, not “2.4”" in form.fields.fields["weight_kg"].note.text
    form.fields.weight.setText("2,4")
    before = set(session.season.book.batches)
    form.add()
    (batch,) = new_batches(session, before)
    assert batch.weight_kg == pytest.approx(2.4)


def test_typing_on_takes_the_refusal_away(qtbot: QtBot, form: PickForm) -> None:
    QTest.keyClicks(form.fields.count, "x")
    QTest.keyClick(form.fields.count, Qt.Key.Key_Return)
    assert form.fields.fields["count"].note.isVisible()
    QTest.keyClicks(form.fields.count, "\b7")
    assert not form.fields.fields["count"].note.isVisible()


def answer_buttons(form: PickForm, name: str) -> list[QPushButton]:
    note = form.fields.fields[name].note
    return [button for button in note.findChildren(QPushButton) if not button.isHidden()]


def test_a_unit_mix_up_is_asked_about_and_the_suggestion_taken_by_keyboard(
    qtbot: QtBot, form: PickForm, session: Session
) -> None:
    before = set(session.season.book.batches)
    choose_pawpaw(form)
    form.fields.count.setText("20")
    form.fields.readings.line.setText("120 115")
    form.fields.readings.unit_choice.choose("kgf")
    form.add()
    assert new_batches(session, before) == []
    form.fields.readings.line.setText("12 11")
    form.add()
    first = answer_buttons(form, "readings")[0]
    assert focus() is first
    QTest.keyClick(first, Qt.Key.Key_Space)
    (batch,) = new_batches(session, before)
    assert (batch.readings, batch.reading_unit) == ((12.0, 11.0), "N")


def test_an_odd_probe_may_be_kept_as_typed(form: PickForm, session: Session) -> None:
    before = set(session.season.book.batches)
    choose_pawpaw(form)
    form.fields.count.setText("20")
    form.fields.readings.line.setText("12 11")
    form.fields.readings.unit_choice.choose("N")
    form.fields.readings.probe.setText("5")
    form.add()
    *_, keep = answer_buttons(form, "probe_mm")
    keep.click()
    (batch,) = new_batches(session, before)
    assert batch.probe_mm == 5.0


def test_fahrenheit_pulp_typed_as_celsius_is_asked_about(form: PickForm, session: Session) -> None:
    before = set(session.season.book.batches)
    form.fields.count.setText("20")
    form.fields.pulp_unit.choose("C")
    form.fields.pulp.setText("68")
    form.add()
    answer_buttons(form, "pulp_c")[0].click()
    (batch,) = new_batches(session, before)
    assert batch.pulp_c == pytest.approx(20.0)


def test_a_half_filled_form_outlives_the_window(
    qtbot: QtBot, form: PickForm, session: Session
) -> None:
    form.fields.feel.set_text("3 9 6")
    form.fields.note.setText("left ladder: \t “big” ones")
    form.fields.place.setCurrentIndex(1)
    place = form.fields.place.value()
    form.keep_draft()
    session.settings.sync()
    again = PickForm(session)
    qtbot.addWidget(again)
    assert again.fields.feel.line.text() == "3 9 6"
    assert [box.text() for box in again.fields.feel.boxes] == ["3", "9", "6", "", ""]
    assert again.fields.note.text() == "left ladder: \t “big” ones"
    assert again.fields.place.value() == place
    assert again.fields.when.follows_now


def test_a_damaged_draft_costs_only_the_draft(qtbot: QtBot, session: Session) -> None:
    key = f"draft/{session.season.book.season.id}"
    for broken in ("{not json", "[1, 2]", '"text"'):
        session.settings.setValue(key, broken)
        form = PickForm(session)
        qtbot.addWidget(form)
        assert form.fields.feel.line.text() == ""


def test_undo_reaches_the_season_from_an_empty_line(
    qtbot: QtBot, form: PickForm, session: Session
) -> None:
    pressed: list[bool] = []
    shortcut = QShortcut(QKeySequence("Ctrl+Z"), form)
    shortcut.activated.connect(lambda: pressed.append(True))
    line = form.fields.feel.line
    QTest.keyClicks(line, "3 9")
    QTest.keyClick(line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert pressed == []
    assert line.text() == ""
    QTest.keyClicks(line, "3 9 6 2")
    QTest.keyClick(line, Qt.Key.Key_Return)
    QTest.keyClick(line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert pressed == [True]


def type_day_before(form: PickForm, session: Session) -> None:
    line = form.fields.when.day.line
    line.setFocus()
    QTest.keyClicks(line, "yesterday")
    QTest.keyClick(line, Qt.Key.Key_Tab)
    assert form.fields.when.moment().date() == session.season.now().date() - timedelta(days=1)


def sleep_a_night(session: Session) -> None:
    session.season.read_as_on(session.season.now() + timedelta(days=1))
    session.changed.emit(Changed(clock=True))


def test_a_day_that_was_typed_is_not_that_of_the_picks_of_the_next_day(
    form: PickForm, session: Session
) -> None:
    type_day_before(form, session)
    session.changed.emit(Changed(clock=True))
    assert not form.fields.when.follows_now  # for more picks of that day
    sleep_a_night(session)
    assert form.fields.when.follows_now
    assert form.fields.when.moment().date() == session.season.now().date()


def test_a_pick_that_is_half_typed_keeps_its_day_over_night(
    form: PickForm, session: Session
) -> None:
    type_day_before(form, session)
    meant = form.fields.when.moment()
    QTest.keyClicks(form.fields.feel.line, "0 9")
    sleep_a_night(session)
    assert form.fields.when.moment() == meant


def test_a_kept_draft_without_fruit_is_at_now_on_another_day(
    qtbot: QtBot, form: PickForm, session: Session
) -> None:
    type_day_before(form, session)
    form.keep_draft()
    again = PickForm(session)
    qtbot.addWidget(again)
    assert again.fields.when.moment() == form.fields.when.moment()
    sleep_a_night(session)
    later = PickForm(session)
    qtbot.addWidget(later)
    assert later.fields.when.follows_now


def test_no_weight_is_refused_in_no_other_unit(form: PickForm) -> None:
    choose_pawpaw(form)
    QTest.keyClicks(form.fields.feel.line, "0 9 0 0")
    QTest.keyClicks(form.fields.weight, "0")
    QTest.keyClick(form.fields.weight, Qt.Key.Key_Return)
    said = form.fields.weight_field.note.text
    assert said == "! Weight, kg: type a number above 0, such as 30.5, not “0”."
