"""How long buyers take, and that their kitchens are as any other place of 20 C would be."""

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from ripenroom.records.batch import Move
from ripenroom.records.book import Record
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.market import MarketKind
from ripenroom.records.place import Place, SetPointChange
from ripenroom.science.eaten import _Kitchen, when_eaten
from ripenroom.season.buyers import all_days, days_of, kitchens_of, usual_days
from ripenroom.season.crop_constants import buyers_days, crop_constants
from ripenroom.season.crop_kinds import CropKind
from ripenroom.season.moments import to_hours
from ripenroom.season.projector import Projector
from tests.season.farm import COLD, NOW, SHELF, batch_and_move, book_of, farm_records, market

PROFILES = shipped_profiles()
ZONE = ZoneInfo("Europe/Lisbon")
KITCHEN = "kitchen"


@pytest.mark.parametrize(
    ("kind", "of_crop", "days"),
    [
        ("festival", 3.0, 0.0),
        ("farm stand", 3.0, 2.0),
        ("farm stand", 1.5, 1.0),
        ("farm stand", 0.5, 0.5),
        ("market", 3.0, 3.0),
        ("shop order", 3.0, 4.0),
    ],
)
def test_usual_days_grow_with_the_patience_of_buyers(
    kind: MarketKind, of_crop: float, days: float
) -> None:
    assert usual_days(kind, of_crop) == days


def test_a_crop_without_days_of_its_own_is_eaten_within_three() -> None:
    assert PROFILES["pawpaw"].buyers_eat_within is None
    assert buyers_days(PROFILES["pawpaw"]) == 3.0
    pear = PROFILES["pear"].buyers_eat_within
    assert pear is not None
    assert buyers_days(PROFILES["pear"]) == pear.value > 3.0


def test_what_the_grower_says_goes_before_what_is_usual() -> None:
    day, _ = market(3, {}, kind="shop order", eat_within_days=None)
    assert days_of(day, 3.0) == 4.0
    for days in (0, 2, 30):
        assert days_of(replace(day, eat_within_days=days), 3.0) == days


def test_every_crop_has_days_of_its_own_at_every_market() -> None:
    usual, _ = market(3, {}, eat_within_days=None)
    fixed, _ = market(4, {}, eat_within_days=2)
    crops = [crop_constants(PROFILES[key]) for key in ("pawpaw", "avocado")]
    assert all_days([usual, fixed], crops).tolist() == [[3.0, 2.0], [4.0, 2.0]]
    assert all_days([usual, fixed], []).shape == (0, 2)


CASES = [
    # crop, days since the pick, where it waits, pulp at the pick (C)
    ("pawpaw", 2.0, COLD, None),
    ("pawpaw", 0.05, COLD, 27.0),
    ("avocado", 3.0, SHELF, 12.0),
    ("anjou", 20.0, COLD, None),
    ("anjou", 90.0, COLD, None),
    ("kiwifruit", 20.0, COLD, None),
    ("kiwifruit", 60.0, COLD, None),
    ("banana", 4.0, SHELF, 25.0),
    ("banana", 20.0, SHELF, 25.0),
    ("plantain", 12.0, SHELF, None),
]


@pytest.mark.parametrize(("crop", "waited", "place", "pulp_c"), CASES)
def test_a_kitchen_is_a_place_of_20_c_that_fruit_is_moved_to(
    crop: str, waited: float, place: str, pulp_c: float | None
) -> None:
    """Single fruit there cools by half in two hours. A gate that opens there opens as early."""
    sold = NOW + timedelta(days=1)
    batch, move = batch_and_move(
        1, place, crop=crop, picked_at=sold - timedelta(days=waited), pulp_c=pulp_c,
        feel_counts=None,
    )  # fmt: skip
    kitchen: list[Record] = [
        Place(id=KITCHEN, name="Kitchen", kind="counter", half_cooling_h=2.0),
        SetPointChange(
            id="set kitchen", place_id=KITCHEN, at=NOW - timedelta(days=200), set_point_c=20.0
        ),
    ]
    taken_home = Move(id="home", batch_id=batch.id, at=sold, place_id=KITCHEN)
    projector = Projector(PROFILES, ZONE)
    here = projector.outlook(book_of(*farm_records(), *kitchen, batch, move), NOW)
    there = Projector(PROFILES, ZONE).outlook(
        book_of(*farm_records(), *kitchen, batch, move, taken_home), NOW
    )
    sold_h, crops = np.array([to_hours(sold)]), [projector.constants[CropKind(crop)]]
    for days in (0.0, 0.2, 3.0, 9.0):
        eaten_h = sold_h + 24.0 * days
        for stayed, moved in zip(here.parts(), there.parts(), strict=True):
            kitchens = kitchens_of(here.lines, crops)
            found = _Kitchen(stayed, sold_h, np.array([[days]]), kitchens).days()
            ageing = moved.outlook.ageing
            gained = ageing.at(eaten_h[None, :]) - ageing.at(sold_h[None, :])
            # Half a minute, to which a gate is found that opens while the pulp is on its way.
            assert found == pytest.approx(gained, abs=4e-4)


def test_eaten_at_once_is_as_sold() -> None:
    batch, move = batch_and_move(1, COLD)
    projector = Projector(PROFILES, ZONE)
    outlook = projector.outlook(book_of(*farm_records(), batch, move), NOW)
    (part,) = outlook.parts()
    sold_h, crops = np.array([to_hours(NOW)]), [projector.constants[CropKind("pawpaw")]]
    gained = outlook.gained(sold_h)
    found = when_eaten(part, gained, sold_h, np.zeros((1, 1)), kitchens_of(outlook.lines, crops))
    assert found.advance == pytest.approx(gained.advance)
    assert found.rate_sd == pytest.approx(gained.rate_sd)
    (share,) = found.ready(outlook.batches)
    ready, past = outlook.shares(sold_h)
    assert share == pytest.approx((ready + past)[0], abs=1e-9)


def test_in_a_kitchen_the_rate_is_in_less_doubt_than_in_the_cold() -> None:
    batch, move = batch_and_move(1, COLD, crop="avocado")
    projector = Projector(PROFILES, ZONE)
    outlook = projector.outlook(book_of(*farm_records(), batch, move), NOW)
    (part,) = outlook.parts()
    crop = projector.constants[CropKind("avocado")]
    sold_h = np.array([to_hours(NOW)])
    gained = outlook.gained(sold_h)
    doubts = [
        when_eaten(
            part, gained, sold_h, np.array([[days]]), kitchens_of(outlook.lines, [crop])
        ).rate_sd[0, 0]
        for days in (0.0, 1.0, 4.0, 30.0)
    ]
    assert doubts == sorted(doubts, reverse=True)
    assert doubts[0] > 1.3 * crop.rate_sd
    assert doubts[-1] == pytest.approx(crop.rate_sd, rel=0.02)
