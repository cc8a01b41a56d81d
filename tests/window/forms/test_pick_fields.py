"""The fields of a pick follow the crop."""

from dataclasses import replace

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.refusal import Refusal
from ripenroom.records.season import UnitSystem
from ripenroom.season import actions
from ripenroom.window.forms.pick_fields import PickFields
from ripenroom.window.picks.entry_form import PickForm
from ripenroom.window.session import Session


@pytest.fixture
def form(qtbot: QtBot, session: Session) -> PickForm:
    made = PickForm(session)
    qtbot.addWidget(made)
    made.resize(1000, 300)
    made.more.setChecked(True)
    made.show()
    return made


@pytest.fixture
def fields(form: PickForm) -> PickFields:
    return form.fields


def test_a_crop_that_is_looked_at_names_its_boxes(
    form: PickForm, fields: PickFields, session: Session
) -> None:
    assert fields.crop.choose(("tomato", None))
    names = session.season.crops["tomato"].feel.names
    assert tuple(caption.text() for caption in fields.feel.field.captions) == names
    assert fields.feel.boxes[1].accessibleName().endswith(names[1])
    assert not fields.readings.field.isVisible()
    assert "per color" in form.split.text().replace("&", "")
    fields.crop.choose(("pawpaw", None))
    assert fields.feel.field.captions[0].text() == "hard"
    assert fields.readings.field.isVisible()
    assert "per feel" in form.split.text().replace("&", "")


def test_the_sentence_names_colours(form: PickForm, fields: PickFields, session: Session) -> None:
    fields.crop.choose(("tomato", None))
    fields.feel.set_text("3 5 0 0")
    fields.edited.emit()
    names = session.season.crops["tomato"].feel.names
    assert form.sentence.text() == f"Makes 2 batches: 3 {names[0]}, 5 {names[1]}"


def test_a_crop_of_dates_only_asks_for_count_or_weight(
    form: PickForm, fields: PickFields, session: Session
) -> None:
    fields.crop.choose(("banana", None))
    assert not fields.feel.field.isVisible()
    assert not fields.readings.field.isVisible()
    assert not form.split.isVisible()
    assert "Banana" in fields.unfelt.text()
    assert fields.counts_line is fields.count
    fields.count.setText("40")
    before = len(session.season.book.batches)
    form.add()
    assert len(session.season.book.batches) == before + 1


def test_what_is_typed_stays_in_sight_and_is_not_taken(fields: PickFields) -> None:
    fields.crop.choose(("pawpaw", None))
    fields.readings.line.setText("12 13")
    fields.crop.choose(("tomato", None))
    assert fields.readings.field.isVisible()
    with pytest.raises(Refusal) as refused:
        fields.entry(split_by_feel=True)
    assert refused.value.field == "readings"
    fields.readings.line.clear()
    fields.feel.set_text("1 2 3")
    fields.crop.choose(("banana", None))
    assert fields.feel.field.isVisible()
    fields.feel.set_text("1 2 3 4")
    with pytest.raises(Refusal) as refused:
        fields.entry(split_by_feel=True)
    assert refused.value.field == "feel_counts"


def test_where_there_is_less_width_the_fields_stand_in_more_lines(
    form: PickForm, fields: PickFields
) -> None:
    usual_px = fields.minimumSizeHint().width()
    fields.fit_to(usual_px - 1)
    assert fields.grid.narrow
    assert fields.minimumSizeHint().width() < usual_px
    fields.crop.choose(("banana", None))
    fields.crop.choose(("pawpaw", None))
    QApplication.processEvents()
    assert fields.grid.narrow
    assert all(field.isVisible() for field in fields.fields.values())
    fields.fit_to(usual_px)
    assert not fields.grid.narrow
    assert fields.minimumSizeHint().width() <= usual_px


def test_in_more_lines_tab_still_goes_from_line_to_line(form: PickForm, fields: PickFields) -> None:
    fields.fit_to(1)
    QApplication.processEvents()
    seen = [fields.when.day.line, fields.crop, fields.place, fields.feel.line, fields.count]
    seen += [fields.weight, fields.row, fields.readings.line, fields.pulp, fields.note]
    spots = [widget.mapTo(fields, widget.rect().topLeft()) for widget in seen]
    order = [(spot.y(), spot.x()) for spot in spots]
    assert order == sorted(order)


def test_what_few_picks_have_is_hidden_and_said_on_the_button(
    form: PickForm, fields: PickFields
) -> None:
    form.more.setChecked(False)
    hidden = [fields.fields[name] for name in ("row_id", "readings", "pulp_c", "note")]
    assert not any(field.isVisible() for field in hidden)
    assert form.more.text() == "Mo&re…"
    form.more.click()
    assert all(field.isVisible() for field in hidden)
    fields.note.setText("wet")
    form.more.click()
    assert form.more.text() == "Mo&re: note"


def test_the_third_line_opens_by_itself_where_it_was_used_last_time(
    qtbot: QtBot, form: PickForm, fields: PickFields, session: Session
) -> None:
    def opens_again() -> bool:
        again = PickForm(session)
        qtbot.addWidget(again)
        return again.more.isChecked()

    assert not opens_again()
    fields.count.setText("12")
    fields.note.setText("wet")
    form.add()
    assert opens_again()
    fields.count.setText("12")
    form.add()
    assert not opens_again()


def test_a_refusal_of_a_hidden_field_brings_it_into_sight(
    form: PickForm, fields: PickFields
) -> None:
    fields.pulp.setText("warm")
    fields.count.setText("12")
    form.more.setChecked(False)
    form.add()
    assert fields.fields["pulp_c"].note.isVisible()


def test_units_follow_the_season_where_nothing_is_typed(
    fields: PickFields, session: Session
) -> None:
    def switch(units: UnitSystem) -> None:
        season = session.season
        season.do(actions.season.save, replace(season.book.season, units=units))
        fields.refresh()

    def shown() -> tuple[object, object]:
        return fields.readings.unit_choice.value(), fields.pulp_unit.value()

    assert shown() == ("N", "C")
    switch("us")
    assert shown() == ("lbf", "F")
    # What is typed was read off a gauge and a thermometer of these units.
    fields.readings.line.setText("12 11")
    fields.pulp.setText("68")
    switch("metric")
    assert shown() == ("lbf", "F")
    fields.readings.line.clear()
    fields.pulp.clear()
    fields.readings.unit_choice.choose("kgf")  # a gauge of its own
    switch("us")
    switch("metric")
    assert shown() == ("kgf", "C")
