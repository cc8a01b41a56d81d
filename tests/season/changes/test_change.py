"""Checks that many actions share."""

import math

import pytest

from ripenroom.records.refusal import Refusal
from ripenroom.season.changes.change import (
    mass_label,
    require_between,
    require_name,
    temperature_label,
)
from ripenroom.units import celsius, kilograms
from tests.season.farm import book_of


def test_a_name_is_told_without_blanks_around_it() -> None:
    assert require_name("  Walk-in\t", ["Shelf"], "place") == "Walk-in"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("", "Give the place a name."),
        ("a" * 201, "201 characters"),
        ("one\x07two", "one line"),
        ("sHELF", "named “sHELF” already"),
    ],
)
def test_a_name_that_cannot_be(name: str, words: str) -> None:
    with pytest.raises(Refusal, match=words) as caught:
        require_name(name, [" Shelf "], "place")
    assert caught.value.field == "name"


@pytest.mark.parametrize("value", [0.99, 5.01, math.nan, -math.inf])
def test_a_number_outside_its_range(value: float) -> None:
    with pytest.raises(Refusal) as caught:
        require_between("weight_kg", value, 1.0, 5.0, "The weight", " kg")
    assert caught.value.message == f"The weight is {value:g} kg; it must be from 1 to 5 kg."


def test_both_ends_of_a_range_are_in_it() -> None:
    require_between("weight_kg", 1.0, 1.0, 5.0, "The weight")
    require_between("weight_kg", 5.0, 1.0, 5.0, "The weight")


@pytest.mark.parametrize(
    ("units", "temperature", "mass"),
    [("metric", "22.2 °C", "9.1 kg"), ("us", "72 °F", "20 lb")],
)
def test_undo_names_amounts_in_the_seasons_units(units: str, temperature: str, mass: str) -> None:
    book = book_of(units=units)
    assert temperature_label(book, celsius(72.0, "F")) == temperature
    assert mass_label(book, kilograms(20.0, "lb")) == mass
