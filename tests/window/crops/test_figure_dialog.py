"""Editing a figure: what is saved, what is refused where, and undo."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtWidgets import QDialog
from pytestqt.qtbot import QtBot

from ripenroom.records.crop.document import CropDocument
from ripenroom.season import actions
from ripenroom.window.crops.figure_dialog import FigureDialog
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.session import Session
from tests.window.crops.conftest import lines_of

Open = Callable[..., FigureDialog]


@pytest.fixture
def open_figure(qtbot: QtBot, session: Session) -> Open:
    def make(path: str, key: str = "pawpaw", units: Units | None = None) -> FigureDialog:
        units = units or Units(session.words, "N")
        dialog = FigureDialog(session, key, lines_of(session, key, units)[path], units)
        qtbot.addWidget(dialog)
        dialog.show()
        return dialog

    return make


def type_into(dialog: FigureDialog, **texts: str) -> None:
    for name, text in texts.items():
        edit = dialog.at if name == "at" else dialog.numbers[name]
        edit.setText(text)


def told_from_here(dialog: FigureDialog) -> None:
    """Says that the figure is the grower's own estimate, no longer that of all statements."""
    dialog.source.source.choose("estimate")
    dialog.source.note.setPlainText("Mine are so.")


def saved(dialog: FigureDialog) -> bool:
    dialog.accept()
    return dialog.result() == QDialog.DialogCode.Accepted


def test_a_figure_is_saved_as_the_seasons_own_and_undone(
    session: Session, open_figure: Open
) -> None:
    season = session.season
    before = season.crops["pawpaw"]
    dates = season.projection().opens_h.mid.copy()
    dialog = open_figure("rate.speed")
    type_into(dialog, value="0.5", low="0.4", high="0.9")
    dialog.source.source.choose("estimate")
    dialog.source.note.setPlainText("Mine are slow.")
    assert saved(dialog)
    speed = season.crops["pawpaw"].rate.per_day
    assert (speed.value, speed.low, speed.high) == (0.5, 0.4, 0.9)
    assert speed.note == "Mine are slow."
    assert season.own_crop_keys == {"pawpaw"}
    assert (season.projection().opens_h.mid > dates).any()
    season.undo()
    assert season.crops["pawpaw"] == before
    assert season.own_crop_keys == frozenset()


def test_how_the_shipped_profile_was_tested_is_not_said_of_a_changed_one(
    session: Session, open_figure: Open
) -> None:
    season = session.season
    document = CropDocument(season.crop_text("bosc"))
    found = {"median_pct": 20, "tenth_pct": 50, "worst_pct": 70}
    document.put(("left_out",), {"sources": 5, "statements": 9, "in_range": 8, **found})
    season.do(actions.crops.save, document.text)
    assert season.crops["bosc"].left_out is not None
    assert saved(open_figure("rate.speed", "bosc"))
    assert season.crops["bosc"].left_out is None
    assert "held_to" not in season.crop_text("bosc")


def test_a_new_value_is_no_longer_worked_out_from_statements(
    session: Session, open_figure: Open
) -> None:
    season = session.season
    document = CropDocument(season.crop_text("pawpaw"))
    document.put(("rate", "speed", "source"), "inferred")
    season.do(actions.crops.save, document.text)
    dialog = open_figure("rate.speed", "pawpaw")
    assert dialog.source.source.currentText() == "all statements together"
    type_into(dialog, value="0.5", low="0.4", high="0.9")
    assert not saved(dialog)
    assert "where the new figure is from" in dialog.board.fields["source"].note.text
    dialog.source.source.choose("estimate")
    dialog.source.note.setPlainText("Mine are slow.")
    assert saved(dialog)


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"value": "fast"}, "value"),
        ({"low": "2"}, "low"),
        ({"high": "0.1"}, "high"),
        ({"value": "-1"}, "value"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(
    session: Session, open_figure: Open, typed: dict[str, str], field: str
) -> None:
    dialog = open_figure("rate.speed")
    told_from_here(dialog)
    type_into(dialog, **typed)
    assert not saved(dialog)
    said = {name: f.note.text for name, f in dialog.board.fields.items() if f.note.text}
    assert list(said) == [field]
    assert session.season.own_crop_keys == frozenset()


def test_marks_out_of_order_are_said_with_both_names(session: Session, open_figure: Open) -> None:
    too_soft = session.season.crops["pawpaw"].firmness.too_soft_n.value
    dialog = open_figure("firmness.ready")
    told_from_here(dialog)
    type_into(dialog, value="3", low="2", high="3.5")
    assert not saved(dialog)
    said = dialog.board.fields["value"].note.text
    assert f"3 N needs to be firmer than “Too soft below” ({too_soft:g} N)" in said


def test_an_estimate_needs_its_reasoning(open_figure: Open) -> None:
    dialog = open_figure("storage.humidity")
    dialog.source.source.choose("estimate")
    dialog.source.note.setPlainText(" ")
    assert not saved(dialog)
    assert "how you came to" in dialog.board.fields["note"].note.text


def test_a_new_source_is_listed_with_the_others(session: Session, open_figure: Open) -> None:
    dialog = open_figure("storage.humidity")
    dialog.source.source.choose("new source")
    assert not saved(dialog)
    assert dialog.board.fields["citation"].note.text
    dialog.source.citation.setText("Neighbour 2026, over the fence")
    assert saved(dialog)
    profile = session.season.crops["pawpaw"]
    cited = profile.sources[profile.storage.humidity_pct.source]
    assert cited.citation == "Neighbour 2026, over the fence"


def test_figures_come_in_the_units_that_are_read(session: Session, open_figure: Open) -> None:
    season = session.season
    season.do(actions.season.save, replace(season.book.season, units="us"))
    dialog = open_figure("chilling.threshold", units=Units(session.words, "lbf"))
    assert dialog.unit.value() == "F"
    assert dialog.numbers["value"].text() == "44.6"
    type_into(dialog, value="46.4")
    assert saved(dialog)
    chilling = season.crops["pawpaw"].chilling
    assert chilling is not None
    assert chilling.threshold_c.value == pytest.approx(8.0)


def test_another_unit_reads_untouched_numbers_anew_and_keeps_typed_ones(open_figure: Open) -> None:
    dialog = open_figure("firmness.at_maturity", "pear")
    assert dialog.numbers["value"].text() == "80.07"
    dialog.unit.choose("lbf")
    dialog.unit.activated.emit(dialog.unit.currentIndex())
    assert dialog.numbers["value"].text() == "18"
    type_into(dialog, value="1.1")
    dialog.unit.choose("N")
    dialog.unit.activated.emit(dialog.unit.currentIndex())
    assert dialog.numbers["value"].text() == "1.1"


def test_a_temperature_of_a_list_is_changed_with_its_figure(
    session: Session, open_figure: Open
) -> None:
    dialog = open_figure("storage.life.1.days")
    assert dialog.at.text() == "4"
    type_into(dialog, at="-5")
    assert not saved(dialog)
    assert "go up" in dialog.board.fields["at_c"].note.text
    type_into(dialog, at="5")
    assert saved(dialog)
    assert session.season.crops["pawpaw"].storage.life[1].temperature_c == 5.0


def test_a_bare_number_has_only_a_value(session: Session, open_figure: Open) -> None:
    dialog = open_figure("storage.best_high_c")
    assert set(dialog.board.fields) == {"value"}
    type_into(dialog, value="3")
    assert saved(dialog)
    assert session.season.crops["pawpaw"].storage.best_high_c == 3.0


def test_saving_without_a_change_changes_no_value(session: Session, open_figure: Open) -> None:
    before = session.season.crops["pawpaw"]
    for path in ("firmness.ready", "storage.life.0.days", "firmness.probe_mm"):
        assert saved(open_figure(path))
    after = session.season.crops["pawpaw"]
    assert after.firmness.ready_n.value == pytest.approx(before.firmness.ready_n.value, rel=1e-12)
    assert after.storage.life == before.storage.life
    assert after.firmness.probe_mm == before.firmness.probe_mm
