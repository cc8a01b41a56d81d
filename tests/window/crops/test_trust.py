"""How far a crop's figures can be trusted, in words."""

from dataclasses import replace

import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile, HeldTo
from ripenroom.window.crops.trust import (
    doubt_words,
    held_sentence,
    is_doubtful,
    judged_sentence,
    judged_words,
    owner_words,
)


def held(error_pct: float, statements: int = 4) -> CropProfile:
    found = HeldTo(error_pct, statements, "")
    return replace(shipped_profiles()["pawpaw"], held_to=found)


def test_each_way_of_judging_has_its_words() -> None:
    crops = shipped_profiles()
    judged = [crops["pawpaw"], crops["tomato"], crops["banana"]]
    assert [judged_words(crop) for crop in judged] == ["by firmness", "by colour", "dates only"]
    assert len({judged_sentence(crop) for crop in judged}) == 3


def test_whose_figures_they_are() -> None:
    assert (owner_words(own=True), owner_words(own=False)) == ("own", "built in")


@pytest.mark.parametrize(
    ("error_pct", "doubt"),
    [(0.0, ""), (30.0, ""), (30.5, "days off by up to 30 %"), (41.0, "41 %")],
)
def test_a_crop_that_is_off_says_by_how_much(error_pct: float, doubt: str) -> None:
    crop = held(error_pct)
    assert (doubt in doubt_words(crop)) if doubt else doubt_words(crop) == ""
    assert is_doubtful(crop) == bool(doubt)


def test_a_crop_held_to_nothing_says_so() -> None:
    never = replace(held(0.0), held_to=None)
    for crop in (never, held(50.0, statements=0)):
        assert doubt_words(crop) == "not tested yet"
        assert "never compared" in held_sentence(crop)
    assert not is_doubtful(never)


def test_the_sentence_gives_error_and_number() -> None:
    assert "4 published statements" in held_sentence(held(18.0))
    assert "18\u00a0%" in held_sentence(held(18.0))
    assert "1 published statement " in held_sentence(held(18.0, 1))
    assert "all of them come out" in held_sentence(held(0.0))
