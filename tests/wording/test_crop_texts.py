"""What profiles say in prose is shown in the season's unit."""

import re
from dataclasses import replace

import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.state import zone_of
from ripenroom.wording.crop_texts import about_words, caution_words
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
