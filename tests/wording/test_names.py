"""Every code of the records has its word."""

from typing import get_args

from ripenroom.records.batch import FEELS
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.market import MarketKind
from ripenroom.records.place import PlaceKind
from ripenroom.wording.names import (
    begun,
    by_name,
    crop_name,
    feel_names,
    market_kind_name,
    place_kind_name,
)


def test_no_code_is_without_a_word() -> None:
    words = [
        *(place_kind_name(kind) for kind in get_args(PlaceKind)),
        *(market_kind_name(kind) for kind in get_args(MarketKind)),
    ]
    assert all(words)


def test_feels_stand_in_the_order_of_the_counts() -> None:
    assert feel_names() == FEELS


def test_a_crop_without_a_profile_goes_by_its_key() -> None:
    crops = shipped_profiles()
    assert crop_name(crops, "pawpaw") == crops["pawpaw"].name
    assert crop_name(crops, "medlar") == "medlar"


def test_numbered_names_stand_in_the_order_of_their_numbers() -> None:
    assert sorted(["Row 10", "row 9", "Hill"], key=by_name) == ["Hill", "row 9", "Row 10"]


def test_only_the_first_letter_becomes_a_capital() -> None:
    assert begun("cold room at 3 °C") == "Cold room at 3 °C"
    assert begun("") == ""
