"""Beginning a season with a real file."""

from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from ripenroom.season.season import Season
from ripenroom.window.forms.new_season import NewSeasonDialog, cultivar_names


@pytest.fixture
def dialog(qtbot: QtBot) -> NewSeasonDialog:
    made = NewSeasonDialog()
    qtbot.addWidget(made)
    made.show()
    return made


def test_a_season_is_begun_with_what_was_chosen(dialog: NewSeasonDialog, tmp_path: Path) -> None:
    dialog.details.name.setText("North field")
    assert dialog.details.zone.choose("America/New_York")
    dialog.details.units.choose("us")
    dialog.cultivars["pawpaw"].setText("early rows, late rows, early rows")
    dialog.places["cool shelf"].setChecked(True)
    path = tmp_path / "north.ripenroom"
    dialog.begin_at(path)
    assert dialog.result() == dialog.DialogCode.Accepted
    assert dialog.season is not None
    dialog.season.close()
    season = Season.open(path)
    book = season.book
    assert (book.season.name, book.season.zone) == ("North field", "America/New_York")
    assert book.season.units == "us"
    assert sorted(c.name for c in book.cultivars.values()) == ["early rows", "late rows"]
    kinds = {place.kind: place.id for place in book.places.values()}
    assert set(kinds) == {"cold room", "counter", "cool shelf"}
    assert season.set_point_c(kinds["cold room"]) == 3.0
    season.close()


def test_a_file_that_is_there_is_never_overwritten(dialog: NewSeasonDialog, tmp_path: Path) -> None:
    path = tmp_path / "there.ripenroom"
    path.write_bytes(b"my only copy")
    dialog.begin_at(path)
    assert dialog.isVisible()
    assert "there.ripenroom" in dialog.note.text
    assert path.read_bytes() == b"my only copy"


@pytest.mark.parametrize(
    ("field", "typed"), [("name", ""), ("currency", "dollars"), ("zone", "Atlantis/Capital")]
)
def test_a_refusal_stands_beside_its_field(
    dialog: NewSeasonDialog, tmp_path: Path, field: str, typed: str
) -> None:
    if field == "zone":
        dialog.details.zone.setEditText(typed)
    else:
        getattr(dialog.details, field).setText(typed)
    dialog.begin_at(tmp_path / "new.ripenroom")
    assert dialog.isVisible()
    assert dialog.details.fields[field].note.isVisible()
    assert not (tmp_path / "new.ripenroom").exists()


def test_names_between_commas() -> None:
    assert cultivar_names(" early , ,late,early") == ["early", "late"]
    assert cultivar_names("") == []


def test_places_are_named_in_the_units_that_are_chosen(dialog: NewSeasonDialog) -> None:
    for units, cold_room in (("us", "Cold room, at 37 °F"), ("metric", "Cold room, at 3 °C")):
        dialog.details.units.choose(units)
        assert dialog.places["cold room"].text() == cold_room


def test_places_are_in_sight_at_once(dialog: NewSeasonDialog) -> None:
    dialog.resize(820, 660)
    for box in dialog.places.values():
        assert not box.visibleRegion().isEmpty(), box.text()
