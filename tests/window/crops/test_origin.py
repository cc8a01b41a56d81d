"""Where figures come from."""

import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.window.crops.figure_source import (
    origin_of,
    short_citation,
    sources_disagree,
    told_of,
)

PAWPAW = shipped_profiles()["pawpaw"]
AVOCADO = shipped_profiles()["avocado"]


def test_an_estimate_is_called_one_and_gives_its_reasoning() -> None:
    assert origin_of(PAWPAW, "estimate", "A guess") == "estimate"
    assert told_of(PAWPAW, "Firmest", "50 N", "estimate", "A guess") == (
        "Firmest: 50 N. An estimate. A guess."
    )


def test_what_was_worked_out_from_all_statements_says_so() -> None:
    assert origin_of(PAWPAW, "inferred") == "from all statements"
    assert told_of(PAWPAW, "Firmest", "50 N", "inferred") == (
        "Firmest: 50 N. Worked out from everything published about this crop."
    )


def test_a_source_is_short_in_the_list_and_whole_in_the_sentence() -> None:
    assert origin_of(PAWPAW, "mcgrath1994") == "McGrath & Karahadian 1994"
    told = told_of(PAWPAW, "Ready below", "9.8 N", "mcgrath1994")
    assert PAWPAW.sources["mcgrath1994"].citation in told


def test_what_is_from_memory_says_so() -> None:
    assert not AVOCADO.sources["lug"].seen
    assert origin_of(AVOCADO, "lug").startswith("from memory · ")
    assert "From memory, not looked up" in told_of(AVOCADO, "One fruit weighs", "230 g", "lug")


def test_disagreeing_sources_are_named_first() -> None:
    note = "Sources disagree: 1 or 3 weeks."
    assert sources_disagree(note)
    assert not sources_disagree("They agree.")
    assert origin_of(PAWPAW, "ucdavis", note).startswith("sources disagree · ")


def test_no_source_is_said() -> None:
    assert origin_of(PAWPAW, "") == ""
    assert told_of(PAWPAW, "Best from", "0 °C", "").endswith("No source is given.")


@pytest.mark.parametrize(
    ("citation", "short"),
    [
        ("Archbold & Pomper 2004, 5th Symposium, p. 10", "Archbold & Pomper 2004"),
        ("Walter Reeves, Pawpaw - When to Pick", "Walter Reeves"),
        ("A very long " + "name " * 20, "A very long " + "name " * 6 + "name…"),
    ],
)
def test_short_citations(citation: str, short: str) -> None:
    assert short_citation(citation) == short
