"""What finds a crop besides its name, and where crops are grown."""

import tomllib

import pytest

from ripenroom.paths import resource
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.well_known import (
    also_found_by,
    cultivars_of,
    grown_around,
    kinds_of,
)

REGIONS = tomllib.loads((resource("crops") / "known" / "regions.toml").read_text("utf-8"))
KINDS = tomllib.loads((resource("crops") / "known" / "kinds.toml").read_text("utf-8"))


def test_a_territory_stands_in_one_region_whose_crops_there_are() -> None:
    territories = [one for region in REGIONS.values() for one in region["territories"]]
    assert len(territories) == len(set(territories))
    assert all(len(one) == 2 and one.isupper() for one in territories)
    for region in REGIONS.values():
        assert set(region) == {"territories", "crops"}
        assert len(set(region["crops"])) == len(region["crops"])
        assert set(region["crops"]) <= set(shipped_profiles())


@pytest.mark.parametrize("key", sorted(KINDS))
def test_names_are_those_of_a_crop_that_there_is_and_no_name_twice(key: str) -> None:
    assert key in shipped_profiles()
    assert set(KINDS[key]) <= {"kinds", "cultivars"}
    found_by = [name.casefold() for name in also_found_by(key)]
    assert found_by
    assert len(set(found_by)) == len(found_by)
    assert shipped_profiles()[key].name.casefold() not in found_by
    assert list(cultivars_of(key)) == sorted(cultivars_of(key), key=str.casefold)


def test_what_is_grown_differs_by_region_and_what_is_not_known_is_empty() -> None:
    firsts = {grown_around(territory)[0] for territory in ("US", "GB", "IN", "JP", "NZ")}
    assert len(firsts) > 3
    assert "mango" not in grown_around("DE")
    assert (grown_around("XX"), grown_around("")) == ((), ())
    assert (kinds_of("moonfruit"), cultivars_of("moonfruit")) == ((), ())
    assert "Fuyu" in cultivars_of("persimmon")
    assert "Hachiya" in cultivars_of("persimmon_astringent")
