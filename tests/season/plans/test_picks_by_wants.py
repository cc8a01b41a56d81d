"""What market days want, in what is likely to come before a cultivar was picked twice."""

import math
from datetime import timedelta

import numpy as np
import pytest

from ripenroom.records.book import Record
from ripenroom.records.orchard import Cultivar
from ripenroom.season.plans.expected_picks import count_range, likely_crops
from ripenroom.season.plans.plan import CountRange, LikelyCrop
from ripenroom.season.state import SeasonState
from tests.season.farm import COLD, NOW, batch_and_move
from tests.season.plans.planning import CROPS, LISBON, farm_book, market_records
from tests.season.plans.test_coming_cultivars import drawn_farm
from tests.season.plans.test_last_picks import likely
from tests.season.plans.test_likely import picked

FARMS = 60
WANTED_SD = 0.8
"""How far what markets of drawn farms want is off what these bear (of the log): mostly a third to
three times as much."""


def wanting(*wants: int, crop: str = "pawpaw") -> list[Record]:
    return [one for n, want in enumerate(wants) for one in market_records(6 + 7 * n, {crop: want})]


def in_all(*records: Record) -> CountRange:
    return count_range(likely(farm_book(*records)))


def of_crop(*records: Record) -> LikelyCrop:
    (found,) = likely_crops(SeasonState(farm_book(*records), CROPS, NOW, LISBON))
    return found


def test_after_one_day_of_picking_the_harvest_of_which_it_is_the_first_is_likely() -> None:
    found = likely(farm_book(*picked(0), *wanting(300, 300)))
    assert len(found) > 3
    assert {one.by_wants for one in found} == {True}
    low, mid, high = count_range(found)
    assert 200 < mid < 900
    # Hardly more is known than that.
    assert low < mid / 2.5
    assert high > 1.8 * mid


def test_more_wanted_makes_more_likely_but_far_less_than_it_is_more() -> None:
    """A market that wants ten times as much as another has no farm ten times as large."""
    mids = [in_all(*picked(0), *wanting(want)).mid for want in (100, 200, 400, 1_000, 2_000)]
    assert mids == sorted(mids)
    assert mids[-1] < 6.0 * mids[1]


def test_what_another_crops_market_wants_says_nothing() -> None:
    assert in_all(*picked(0), *wanting(900, crop="pear")) == in_all(*picked(0))
    assert not of_crop(*picked(0), *wanting(900, crop="pear")).by_wants


def test_once_a_cultivar_was_picked_twice_picks_alone_speak() -> None:
    twice = picked(0, 3)
    assert in_all(*twice, *wanting(2_000)) == in_all(*twice)
    assert not of_crop(*twice, *wanting(2_000)).by_wants


def test_it_is_shared_among_the_cultivars_on_record() -> None:
    names = [Cultivar(id=key, crop="pawpaw", name=key) for key in ("early", "late", "later")]
    first = picked(0, cultivar_id="early", count=30)
    found = of_crop(*names, *first, *wanting(300, 300, 300))
    assert set(found.not_begun) == {"late", "later"}
    alone = of_crop(names[0], *first, *wanting(300, 300, 300))
    assert 0.5 < found.count.mid / alone.count.mid < 1.5


@pytest.mark.parametrize("cultivars", [1, 3])
def test_drawn_farms_bring_what_is_said_after_their_first_day(cultivars: int) -> None:
    """In most cases their markets want a third to three times what they bear."""
    draw = np.random.default_rng(cultivars)
    off, off_without, held = [], [], 0
    for seed in range(FARMS):
        picks = [pick for pick in drawn_farm(seed) if pick[1] < cultivars]
        bears = sum(count for _, _, count in picks)
        want = round(bears * math.exp(draw.normal(0.0, WANTED_SD)) / 2.0)
        names = [Cultivar(id=f"{n}", crop="pawpaw", name=f"{n}") for n in range(cultivars)]
        first = [
            record
            for number, (day, kind, count) in enumerate(picks)
            if day == picks[0][0]
            for record in batch_and_move(
                number, COLD, picked_at=NOW - timedelta(hours=1), count=count, cultivar_id=f"{kind}"
            )
        ]
        came = sum(count for day, _, count in picks if day > picks[0][0])
        low, mid, high = in_all(*names, *first, *wanting(want, want))
        off.append(abs(math.log((mid + 1) / (came + 1))))
        without = in_all(*names, *first).mid
        off_without.append(abs(math.log((without + 1) / (came + 1))))
        held += low <= came <= high
    assert held >= 0.75 * FARMS
    assert np.mean(off) < 0.6 * np.mean(off_without)
