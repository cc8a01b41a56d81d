"""What is known of a crop, line by line."""

import pytest

from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.crops.figures import figure_groups
from ripenroom.window.session import Session
from tests.window.crops.conftest import lines_of

KEYS = sorted(shipped_profiles())


@pytest.mark.parametrize("key", KEYS)
def test_every_figure_of_every_crop_has_a_line(session: Session, units: Units, key: str) -> None:
    document = CropDocument(session.season.crop_text(key))
    shown = {line.path for line in lines_of(session, key, units).values()}
    assert figures_in(document.table(()), ()) <= shown


def figures_in(value: object, path: tuple[str | int, ...]) -> set[tuple[str | int, ...]]:
    """Where a document has tables with a value, a range and a source."""
    if isinstance(value, list):
        entries = list(enumerate(value))
    elif isinstance(value, dict):
        if {"value", "low", "high", "source"} <= value.keys():
            return {path}
        entries = list(value.items())
    else:
        return set()
    return {found for key, entry in entries for found in figures_in(entry, (*path, key))}


@pytest.mark.parametrize("key", KEYS)
def test_every_line_says_what_it_is_and_where_from(
    session: Session, units: Units, key: str
) -> None:
    for line in lines_of(session, key, units).values():
        assert line.label
        assert line.text
        assert line.told.startswith(line.label)
        assert line.origin or line.kind != "figure"


def test_values_come_in_the_chosen_unit(session: Session) -> None:
    newton = lines_of(session, "pear", Units(session.words, "N"))["firmness.at_maturity"]
    pounds = lines_of(session, "pear", Units(session.words, "lbf"))["firmness.at_maturity"]
    assert newton.text == "80 N (76–87)"
    assert pounds.text == "18.0 lbf (17.0–19.5)"


def test_a_colour_crop_names_its_looks(session: Session, units: Units) -> None:
    lines = lines_of(session, "tomato", units)
    names = session.season.crops["tomato"].feel.names
    assert lines["feel.gives"].label.casefold().startswith(names[2].casefold())
    assert lines["firmness.ready"].text.count("% green") == 1
    assert "firmness.probe_mm" not in lines


def test_a_crop_of_which_only_dates_are_known_has_no_marks(session: Session, units: Units) -> None:
    document = CropDocument(session.season.crop_text("apple"))
    titles = [g.title for g in figure_groups(document, session.season.crops["apple"], units)]
    assert "Marks of ripeness" not in titles
    assert "Storage" in titles


def test_a_gate_is_told_by_its_name(session: Session, units: Units) -> None:
    line = lines_of(session, "anjou", units)["gate.needs.0.days"]
    assert line.label.startswith("Cold at ")
    assert line.at_path == ("gate", "needs", 0, "at_c")


def test_a_groups_own_figures_are_told_under_its_name(session: Session, units: Units) -> None:
    document = CropDocument(session.season.crop_text("kiwifruit"))
    groups = figure_groups(document, session.season.crops["kiwifruit"], units)
    own = {group.title: group for group in groups if group.title.startswith("Gold")}
    assert "Gold: speed" in own
    (speed,) = own["Gold: speed"].lines
    assert speed.path == ("group", "gold", "rate", "speed")
    assert speed.label == "Speed at 20 °C"
    needs = own["Gold: needed first"].lines
    assert [line.path for line in needs] == [
        ("group", "gold", "gate", "needs", number, "days") for number in (0, 1)
    ]
    assert needs[0].label == "Trigger at 0 °C"
    assert needs[1].label == "Trigger at 10 °C"
