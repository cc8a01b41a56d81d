"""Profiles as documents: what is not changed stays what it was."""

from difflib import ndiff
from pathlib import Path

import pytest

from ripenroom.paths import resource
from ripenroom.records.crop.document import CropDocument, dotted
from ripenroom.records.crop.toml_profile import load_profile_text
from tests.records.crop.conftest import QUINCE

SHIPPED = sorted(resource("crops").glob("*.toml"))


@pytest.mark.parametrize("path", [QUINCE, *SHIPPED], ids=lambda path: path.stem)
def test_a_document_written_out_is_the_same_profile(path: Path) -> None:
    text = path.read_text("utf-8")
    written = CropDocument(text).text
    assert load_profile_text(written, path) == load_profile_text(text, path)
    assert CropDocument(written).text == written


def test_one_figure_is_changed_and_nothing_else() -> None:
    before = load_profile_text(QUINCE.read_text("utf-8"), QUINCE)
    document = CropDocument(QUINCE.read_text("utf-8"))
    document.put(("storage", "life", 1, "days", "high"), 60)
    after = load_profile_text(document.text, QUINCE)
    assert after.storage.life[1].days.high == 60.0
    assert after.storage.life[0] == before.storage.life[0]
    assert after.firmness == before.firmness


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_what_is_not_changed_stays_as_it_was_written(path: Path) -> None:
    text = path.read_text("utf-8")
    document = CropDocument(text)
    document.put(("key",), "mine")
    document.put(("sources", "own_1"), {"citation": "my own orchard", "seen": True})
    lines = text.splitlines()
    assert [line for line in ndiff(lines, document.text.splitlines()) if line[0] in "+-"] == [
        f'- key = "{path.stem}"',
        '+ key = "mine"',
        "+ [sources.own_1]",
        '+ citation = "my own orchard"',
        "+ seen = true",
    ]


def test_a_figure_stays_on_its_line() -> None:
    days = 'days = { value = 5, low = 3, high = 9, unit = "days", source = "a" } # kept cool'
    document = CropDocument(f"# Mine.\n[[life]]\n{days}\nat_c = 1 # in the cellar\n")
    document.put(("life", 0, "days"), {"value": 6, "unit": "days", "source": "b"})
    assert document.text == (
        '# Mine.\n[[life]]\ndays = {value = 6, unit = "days", source = "b"} # kept cool\n'
        "at_c = 1 # in the cellar\n"
    )
    assert CropDocument(document.text).table(()) == document.table(())


@pytest.mark.parametrize("text", ['say "so"', "a\\b", "tab\tline\nnext", "\x7f", "größer ≥ 3"])
def test_any_text_comes_back(text: str) -> None:
    document = CropDocument("")
    document.put(("sources", "one of mine", "citation"), text)
    assert CropDocument(document.text).get(("sources", "one of mine", "citation")) == text


def test_what_is_not_there_is_none() -> None:
    document = CropDocument("[storage]\nlife = [{ at_c = 1 }]\n")
    assert document.get(("storage", "life", 0, "at_c")) == 1
    assert document.get(("storage", "life", 1, "at_c")) is None
    assert document.get(("gate", "name")) is None
    assert document.table(("gate",)) == {}
    assert document.length(("storage", "life")) == 1
    assert document.length(("gate", "needs")) == 0


def test_a_key_is_taken_out() -> None:
    document = CropDocument("a = 1\nb = 2\n")
    document.remove("a")
    document.remove("a")
    assert document.text == "b = 2\n"


def test_paths_are_named_as_refusals_name_them() -> None:
    assert dotted(("storage", "life", 0, "days")) == "storage.life[0].days"
