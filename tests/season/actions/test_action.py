"""Checks that many actions share."""

import pytest

from ripenroom.records.place import Place
from ripenroom.records.refusal import Refusal
from ripenroom.season.actions.action import (
    mass_label,
    require_free_name,
    temperature_label,
    tidy,
)
from ripenroom.units import celsius, kilograms
from tests.season.farm import book_of


def test_a_name_is_told_without_blanks_around_it() -> None:
    place = Place(id="p", name="  Walk-in\t", kind="counter", half_cooling_h=3.0)
    assert tidy(place).name == "Walk-in"


@pytest.mark.parametrize(
    ("name", "words"),
    [("", "Give the place a name."), ("a" * 201, "201 characters"), ("one\x07two", "one line")],
)
def test_a_name_that_cannot_be(name: str, words: str) -> None:
    with pytest.raises(Refusal, match=words) as caught:
        tidy(Place(id="p", name=name, kind="counter", half_cooling_h=3.0))
    assert caught.value.field == "name"


def test_a_name_that_another_has() -> None:
    require_free_name("Walk-in", [" Shelf "], "place")
    with pytest.raises(Refusal, match="named “sHELF” already") as caught:
        require_free_name("sHELF", [" Shelf "], "place")
    assert caught.value.field == "name"


@pytest.mark.parametrize(
    ("units", "temperature", "mass"),
    [("metric", "22.2 °C", "9.1 kg"), ("us", "72 °F", "20 lb")],
)
def test_undo_names_amounts_in_the_seasons_units(units: str, temperature: str, mass: str) -> None:
    book = book_of(units=units)
    assert temperature_label(book, celsius(72.0, "F")) == temperature
    assert mass_label(book, kilograms(20.0, "lb")) == mass
