"""What profiles say in prose, in the season's unit, and how far their figures can be trusted."""

import re
from dataclasses import replace

import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile, LeftOutSources
from ripenroom.season.state import zone_of
from ripenroom.wording.crops import (
    about_words,
    caution_words,
    doubt_words,
    error_sentence,
    is_doubtful,
    judged_sentence,
    judged_words,
    owner_words,
)
from ripenroom.wording.formats import Formats
from tests.season.farm import season_record


def formats(units: str) -> Formats:
    season = season_record(units=units)
    return Formats("en", season, zone_of(season))


@pytest.mark.parametrize(
    ("text", "in_c", "in_f"),
    [
        ("Chilled below 13 C.", "Chilled below 13 °C.", "Chilled below 55 °F."),
        ("Ripens at 18-24 C.", "Ripens at 18–24 °C.", "Ripens at 64–75 °F."),
        (
            "Keep it at 0 C: between 2 and 8 C it turns mealy.",
            "Keep it at 0 °C: between 2 and 8 °C it turns mealy.",
            "Keep it at 32 °F: between 36 and 46 °F it turns mealy.",
        ),
        ("Two weeks, vitamin C.", "Two weeks, vitamin C.", "Two weeks, vitamin C."),
    ],
)
def test_temperatures_are_in_the_seasons_unit(text: str, in_c: str, in_f: str) -> None:
    crop = replace(shipped_profiles()["pawpaw"], about=text, cautions=(text, "Take care."))
    assert about_words(crop, formats("metric")) == in_c
    assert about_words(crop, formats("us")) == in_f
    assert caution_words(crop, formats("us")) == f"{in_f} Take care."


def test_no_shipped_text_keeps_a_bare_celsius() -> None:
    for crop in shipped_profiles().values():
        said = about_words(crop, formats("us")) + caution_words(crop, formats("us"))
        assert not re.search(r"\d C\b", said), crop.key


GOOD = LeftOutSources(
    sources=12, statements=31, median_pct=18, tenth_pct=60, worst_pct=140, in_range=25
)


def crop_with(found: LeftOutSources | None) -> CropProfile:
    return replace(shipped_profiles()["pawpaw"], left_out=found)


def test_each_way_of_judging_has_its_words() -> None:
    crops = shipped_profiles()
    judged = [crops["pawpaw"], crops["tomato"], crops["banana"]]
    assert [judged_words(crop) for crop in judged] == ["by firmness", "by color", "dates only"]
    assert len({judged_sentence(crop) for crop in judged}) == 3


def test_whose_figures_they_are() -> None:
    assert (owner_words(own=True), owner_words(own=False)) == ("own", "built in")


@pytest.mark.parametrize(
    ("found", "doubt"),
    [
        (GOOD, ""),
        (replace(GOOD, median_pct=30), ""),
        (replace(GOOD, median_pct=31), "usually 31\u00a0% off"),
        (replace(GOOD, in_range=21), ""),  # 67.7 %
        (replace(GOOD, in_range=20), "ranges too narrow"),  # 64.5 %
        (replace(GOOD, sources=4), ""),
        (replace(GOOD, sources=3), "only 3 sources"),
        (replace(GOOD, sources=1), "only 1 source"),
        (replace(GOOD, sources=2, median_pct=80), "usually 80\u00a0% off"),
    ],
)
def test_what_is_worse_than_it_should_be_says_so(found: LeftOutSources, doubt: str) -> None:
    assert doubt_words(crop_with(found)) == doubt
    assert is_doubtful(crop_with(found)) == bool(doubt)


@pytest.mark.parametrize("found", [None, LeftOutSources(0, 0, 0, 0, 0, 0)])
def test_a_crop_that_was_not_tested_says_so(found: LeftOutSources | None) -> None:
    assert doubt_words(crop_with(found)) == "not tested yet"
    assert "not tested yet" in error_sentence(crop_with(found))
    assert not is_doubtful(crop_with(found))


def test_the_sentence_gives_the_errors_as_they_are() -> None:
    assert error_sentence(crop_with(GOOD)) == (
        "Tested without each of its 12 sources in turn: half of 31 statements are at most "
        "18\u00a0% off, nine in ten at most 60\u00a0%. 25 of 31 lie in the range shown."
    )


def test_an_error_without_end_is_not_given_as_a_number() -> None:
    said = error_sentence(crop_with(replace(GOOD, tenth_pct=999)))
    assert "999" not in said
    assert "one in ten by far more" in said


def test_few_sources_and_narrow_ranges_are_said() -> None:
    said = error_sentence(crop_with(replace(GOOD, sources=2, in_range=9)))
    assert said.endswith("Its ranges are too narrow. Only 2 sources: little is known.")


def test_one_source_and_one_statement_have_sentences_of_their_own() -> None:
    one_source = LeftOutSources(1, 7, 20, 50, 60, 6)
    assert "without its only source: half of 7 statements" in error_sentence(crop_with(one_source))
    inside, outside = (
        error_sentence(crop_with(LeftOutSources(1, 1, 20, 20, 20, in_range))) for in_range in (1, 0)
    )
    assert "1 statement, 20\u00a0% off, within the range" in inside
    assert "outside the range" in outside
    assert inside.endswith("Only 1 source: little is known.")
