"""Profiles as documents: what is not changed stays what it was."""

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


def test_comments_before_the_first_key_stay() -> None:
    assert CropDocument("# Mine.\n\n# Both.\nkey = 1\n").text == "# Mine.\n\n# Both.\n\nkey = 1\n"


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
