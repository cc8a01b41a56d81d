"""Beginning a season with a real file."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.season import Season
from ripenroom.units import celsius
from ripenroom.window.forms.grows import GrowsInput
from ripenroom.window.forms.new_season import NewSeasonDialog


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
    for name in ("early rows", "late rows", "early rows"):
        dialog.grows.add("pawpaw", name)
    dialog.grows.add("pear")
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
    # As the dialog said: whole degrees of the season's unit.
    assert season.set_point_c(kinds["cold room"]) == pytest.approx(celsius(37.0, "F"))
    assert season.set_point_c(kinds["counter"]) == pytest.approx(celsius(70.0, "F"))
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


def chips(dialog: NewSeasonDialog) -> list[str]:
    buttons = dialog.grows.findChildren(QPushButton)
    return [b.text().removesuffix("  ×") for b in buttons if not b.isHidden()]


def press(dialog: NewSeasonDialog, key: Qt.Key) -> None:
    popup = dialog.grows.search.found.popup()
    assert popup is not None
    QTest.keyClick(popup if popup.isVisible() else dialog.grows.search, key)


def test_what_grows_is_typed_and_becomes_chips(qtbot: QtBot, dialog: NewSeasonDialog) -> None:
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    search = dialog.grows.search
    assert search.hasFocus()
    QTest.keyClicks(search, "paw")
    press(dialog, Qt.Key.Key_Return)
    assert chips(dialog) == ["Pawpaw"]
    assert search.currentText() == ""
    QTest.keyClicks(search, "Susquehanna")
    press(dialog, Qt.Key.Key_Return)
    QTest.keyClicks(search, "pear Orcas")
    press(dialog, Qt.Key.Key_Return)
    assert chips(dialog) == ["Pawpaw", "Pawpaw · Susquehanna", "Pear · Orcas"]
    assert dialog.grows.crops == ("pawpaw", "pear")
    assert dialog.beginning().cultivars == {"pawpaw": ["Susquehanna"], "pear": ["Orcas"]}
    chip = next(b for b in dialog.grows.findChildren(QPushButton) if "Orcas" in b.text())
    QTest.mouseClick(chip, Qt.MouseButton.LeftButton)
    assert chips(dialog) == ["Pawpaw", "Pawpaw · Susquehanna"]


def test_a_new_cultivar_says_of_which_crop_before_it_is_added(
    qtbot: QtBot, dialog: NewSeasonDialog
) -> None:
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    dialog.grows.add("pawpaw")
    dialog.grows.add("pear")
    QTest.keyClicks(dialog.grows.search, "Old Lane")
    offered = dialog.grows.search.found.completionModel()
    lines = [offered.index(row, 0).data() for row in range(offered.rowCount())]
    assert lines == [
        "Add “Old Lane”, a cultivar of Pear",
        "Add “Old Lane”, a cultivar of Pawpaw",
    ]
    press(dialog, Qt.Key.Key_Down)
    press(dialog, Qt.Key.Key_Return)
    assert chips(dialog) == ["Pawpaw", "Pear", "Pawpaw · Old Lane"]


def offered(grows: GrowsInput, typed: str) -> list[str]:
    grows.search.setEditText("")
    QTest.keyClicks(grows.search, typed)
    model = grows.search.found.completionModel()
    return [str(model.index(row, 0).data()) for row in range(model.rowCount())]


def test_kinds_and_cultivars_that_many_know_find_their_crop(
    qtbot: QtBot, dialog: NewSeasonDialog
) -> None:
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    both = ["Persimmon (non-astringent)", "Persimmon, astringent"]
    assert set(both) <= set(offered(dialog.grows, "asian"))
    assert set(both) <= set(offered(dialog.grows, "kaki"))
    names = ["Fuyu", "Hana Fuyu"]
    assert offered(dialog.grows, "fuyu") == [f"Persimmon (non-astringent) · {n}" for n in names]
    assert offered(dialog.grows, "persimmon hachiya")[0] == "Persimmon, astringent · Hachiya"
    offered(dialog.grows, "fuyu")
    press(dialog, Qt.Key.Key_Return)
    assert chips(dialog) == ["Persimmon (non-astringent) · Fuyu"]
    assert dialog.beginning().cultivars == {"persimmon": ["Fuyu"]}
    # Any other name is still a cultivar of a crop that is grown.
    assert offered(dialog.grows, "Fuyu of the hill")[-1] == (
        "Add “Fuyu of the hill”, a cultivar of Persimmon (non-astringent)"
    )


def test_what_is_grown_around_goes_before_what_is_not(qtbot: QtBot) -> None:
    firsts = {}
    for territory in ("US", "GB", "DE", "IN", ""):
        grows = GrowsInput(shipped_profiles(), territory)
        qtbot.addWidget(grows)
        names = [grows.search.itemText(n) for n in range(grows.search.count())]
        assert names[0] == "Pawpaw"
        assert len(names) == len(shipped_profiles())
        firsts[territory] = names[1:6]
        assert ("Mango" in names[1:12]) == (territory in ("IN",))
    assert len({tuple(names) for names in firsts.values()}) == 5
    assert firsts[""] == sorted(firsts[""])


def test_pawpaw_is_offered_first(dialog: NewSeasonDialog) -> None:
    assert dialog.grows.search.itemText(0) == "Pawpaw"


def test_places_are_named_in_the_units_that_are_chosen(dialog: NewSeasonDialog) -> None:
    for units, cold_room in (("us", "Cold room, at 37 °F"), ("metric", "Cold room, at 3 °C")):
        dialog.details.units.choose(units)
        assert dialog.places["cold room"].text() == cold_room


def test_places_are_in_sight_at_once(dialog: NewSeasonDialog) -> None:
    dialog.resize(820, 660)
    for box in dialog.places.values():
        assert not box.visibleRegion().isEmpty(), box.text()
