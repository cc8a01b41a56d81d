"""What crops and their fruit are called."""

from dataclasses import replace

import pytest

from ripenroom.records.crop.crop_names import (
    as_called,
    called,
    fruit_noun,
    gate_called,
    names_of,
    within,
)
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile


def own(name: str) -> CropProfile:
    """A crop that a grower gave this name."""
    return replace(shipped_profiles()["pawpaw"], key="own", name=name)


@pytest.mark.parametrize(
    ("name", "one", "several"),
    [
        ("Pawpaw", "pawpaw", "pawpaws"),
        ("Anjou pear", "Anjou pear", "Anjou pears"),
        ("Peach and nectarine", "peach or nectarine", "peaches and nectarines"),
        ("Persimmon (non-astringent)", "persimmon (non-astringent)", "persimmons (non-astringent)"),
        ("Persimmon, astringent", "persimmon, astringent", "persimmons, astringent"),
        ("Kiwifruit", "kiwifruit", "kiwifruit"),
        ("Kiwiberry", "kiwiberry", "kiwiberries"),
        ("Mango", "mango", "mangoes"),
        ("Avocado", "avocado", "avocados"),
        ("", "", ""),
    ],
)
def test_fruit_are_called_by_how_many_there_are(name: str, one: str, several: str) -> None:
    crop = own(name)
    assert (fruit_noun(crop, 1), fruit_noun(crop, 0), fruit_noun(crop, 2.6)) == (
        one,
        several,
        several,
    )


@pytest.mark.usefixtures("in_spanish")
def test_a_built_in_crop_is_called_by_its_name_in_another_language() -> None:
    pear, comice = shipped_profiles()["pear"], shipped_profiles()["comice"]
    assert (called(pear), names_of(pear)) == ("Pera", ("Pera", "Pear"))
    assert [fruit_noun(comice, count) for count in (1, 2)] == ["pera Comice", "peras Comice"]
    assert within(called(comice)) == "pera Comice"
    assert as_called(pear, "summer") == "de verano"
    assert pear.gate is not None
    assert gate_called(pear.gate) == "frío"


@pytest.mark.usefixtures("in_spanish")
def test_what_a_grower_named_stays_as_it_was_typed() -> None:
    """Also where its name is one of a built-in crop, or a built-in crop was named otherwise."""
    pear = replace(shipped_profiles()["pear"], key="pear_own")
    assert (called(pear), names_of(pear), as_called(pear, "summer")) == (
        "Pear", ("Pear",), "summer",
    )  # fmt: skip
    assert [fruit_noun(pear, count) for count in (1, 2)] == ["pear", "pear"]
    named = replace(shipped_profiles()["pear"], name="Grandmother's pear")
    assert (called(named), fruit_noun(named)) == ("Grandmother's pear", "Grandmother's pear")


def test_in_english_a_crop_has_one_name() -> None:
    pear = shipped_profiles()["pear"]
    assert (called(pear), names_of(pear)) == ("Pear", ("Pear",))
    assert within("Anjou pear") == "anjou pear"
