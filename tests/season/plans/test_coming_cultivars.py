"""Cultivars on record that were not picked yet, in what is likely to come."""

import math
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from ripenroom.records.book import Book, Record
from ripenroom.records.orchard import Cultivar, RipeningGroup, Row
from ripenroom.season.plans.expected_picks import count_range, likely_ahead, likely_crops
from ripenroom.season.plans.plan import LikelyPick
from ripenroom.season.state import SeasonState
from tests.season.farm import COLD, NOW, batch_and_move
from tests.season.plans.planning import CROPS, LISBON, expected, farm_book
from tests.season.plans.test_likely import TODAY, picked


def cultivar(key: str, group: RipeningGroup | None = None, crop: str = "pawpaw") -> Cultivar:
    return Cultivar(id=key, crop=crop, name=key.capitalize(), group=group)


def row(key: str, **given: Any) -> Row:
    return Row(
        id="row" if key == "early" else f"row {key}", name=f"Row {key}", cultivar_id=key, **given
    )


def likely(*records: Record, later_days: int = 0) -> tuple[LikelyPick, ...]:
    """What is likely on a farm that has picked its early cultivar four times."""
    book = farm_book(*begun(), *records)
    return likely_of(book, later_days)


def likely_of(book: Book, later_days: int = 0) -> tuple[LikelyPick, ...]:
    return likely_ahead(SeasonState(book, CROPS, NOW + timedelta(days=later_days), LISBON))


def begun(*days_ago: int, key: str = "early", count: int = 60) -> list[Record]:
    return picked(*(days_ago or (0, 2, 4, 6)), cultivar_id=key, count=count)


def in_all(found: tuple[LikelyPick, ...]) -> int:
    return sum(one.pick.count for one in found)


def of_others(found: tuple[LikelyPick, ...]) -> int:
    """What is likely beyond the early cultivar."""
    return in_all(found) - in_all(likely())


def half_by(found: tuple[LikelyPick, ...]) -> float:
    """In how many days half of what is likely beyond the early cultivar has come."""
    days = [(one.pick.on - TODAY).days for one in found]
    own = {(one.pick.on - TODAY).days: one.pick.count for one in likely()}
    counts = np.array([one.pick.count for one in found])
    beyond = np.cumsum(counts - [own.get(day, 0) for day in days])
    return float(np.interp(beyond[-1] / 2.0, beyond, days))


def test_a_late_cultivar_on_record_is_counted_in_and_named() -> None:
    found = likely(cultivar("late", "late"))
    assert of_others(found) > 0.5 * 0.8 * in_all(likely())
    state = SeasonState(
        farm_book(*begun(), cultivar("late", "late")),
        CROPS,
        NOW,
        LISBON,
    )
    (crop,) = likely_crops(state)
    assert crop.not_begun == ("late",)
    assert all(one.not_begun == () for one in likely())
    # Nobody knows whether it bears at all, nor how much: the range is wide.
    low, _, high = count_range(found)
    alone_low, _, alone_high = count_range(likely())
    assert high - low > 1.2 * (alone_high - alone_low)


def test_late_ones_come_after_mid_season_ones_and_unknown_ones_between() -> None:
    mid, unknown, late = (likely(cultivar("other", group)) for group in ("mid", None, "late"))
    assert half_by(mid) < half_by(unknown) < half_by(late)
    assert half_by(late) - half_by(mid) == pytest.approx(7.0, abs=3.0)


def test_an_early_one_that_has_not_begun_while_others_end_is_doubted() -> None:
    def early_beside(*days_ago: int) -> float:
        records = [cultivar("mid", "mid"), *begun(*days_ago, key="mid")]
        alone, with_early = (
            in_all(likely_of(farm_book(replace(cultivar("early", "early"), crop=crop), *records)))
            for crop in ("pear", "pawpaw")
        )
        return (with_early - alone) / alone

    assert early_beside(0, 2) > 2.0 * early_beside(*range(0, 18, 2))


def test_its_rows_say_how_much_it_brings() -> None:
    late = cultivar("late", "late")
    few, many = (of_others(likely(late, row("late", fruit_on_trees=n))) for n in (100, 400))
    assert many == pytest.approx(4.0 * few, rel=0.15)
    assert 0.5 * 400 < many < 400
    # Or how many trees there are beside those of others.
    half, twice = (
        of_others(likely(late, row("early", trees=20), row("late", trees=trees)))
        for trees in (10, 40)
    )
    assert twice == pytest.approx(4.0 * half, rel=0.15)
    as_others = of_others(likely(late, row("early", trees=20), row("late", trees=20)))
    assert as_others == pytest.approx(of_others(likely(late)), abs=5)
    # Trees of one of them alone tell nothing.
    uncounted = row("early")
    assert likely(late, uncounted, row("late", trees=500)) == likely(late, uncounted)


def test_where_nothing_tells_none_is_counted_in() -> None:
    late = cultivar("late", "late")
    # After one day of picking nobody knows how much any cultivar bears.
    once = farm_book(*begun(0), late)
    assert [one.pick.count for one in likely_of(once)] == [60]
    # Fruit without a cultivar may be the late one's.
    unnamed = picked(1, 3, count=40)
    with_late, without = (
        likely_of(farm_book(*begun(), *unnamed, *of_late)) for of_late in ((late,), ())
    )
    assert with_late == without
    # Cultivars of another crop, and one that was picked, are no matter.
    assert likely(cultivar("pear", "late", crop="pear")) == likely()
    assert likely_of(farm_book(late)) == ()


def test_what_the_grower_says_of_it_counts_instead() -> None:
    late = cultivar("late", "late")
    none_of_it = replace(expected(0), count=0, cultivar_id="late")
    found = likely(late, none_of_it)
    assert in_all(found) == in_all(likely())
    assert all(one.not_begun == () for one in found)


def test_from_its_first_pick_on_it_goes_by_its_own() -> None:
    late = cultivar("late", "late")
    first = batch_and_move(90, COLD, picked_at=NOW, count=20, cultivar_id="late")
    assert all(one.not_begun == () for one in likely(late, *first))


def test_a_day_without_a_pick_changes_little_and_in_the_end_none_is_counted_on() -> None:
    late = cultivar("late", "late")
    comes = [in_all(likely(late, later_days=later)) for later in range(0, 50, 2)]
    for before, after in pairwise(comes):
        assert before >= after - 5
        assert before - after < 0.3 * comes[0] + 10
    assert comes[-1] == 0


FARMS = 60


def drawn_farm(seed: int) -> list[tuple[int, int, int]]:
    """Picks of a farm of three cultivars that ripen one after the other: day, cultivar, fruit."""
    draw = np.random.default_rng(seed)
    made = []
    for kind in range(3):
        middle, sd = (
            12.0 + 7.0 * kind + draw.normal(0.0, 3.0),
            4.5 * math.exp(draw.normal(0.0, 0.3)),
        )
        due = draw.normal(middle, sd, round(math.exp(draw.normal(6.0, 0.5))))
        # It is begun when one in ten is due, or so, on a day on which the farm picks.
        due = np.maximum(due, middle + sd * draw.normal(-1.28, 0.5))
        counts = np.bincount(np.clip(np.ceil(due / 3.0), 0, 25).astype(int), minlength=26)
        made += [(3 * n, kind, int(count)) for n, count in enumerate(counts) if count]
    return sorted(made)


def test_farms_that_are_drawn_bring_as_much_as_is_said() -> None:
    """Ten days after their first pick, whatever has begun by then."""
    groups: tuple[RipeningGroup, ...] = ("early", "mid", "late")
    said, without, came, came_of_begun = [], [], [], []
    for seed in range(FARMS):
        picks = drawn_farm(seed)
        upto = picks[0][0] + 10
        ahead = [(groups[kind], count) for day, kind, count in picks if day > upto]
        has_begun = {groups[kind] for day, kind, _ in picks if day <= upto}
        records = [
            record
            for number, (day, kind, count) in enumerate(picks)
            if day <= upto
            for record in batch_and_move(
                number,
                COLD,
                picked_at=NOW - timedelta(days=upto - day),
                count=count,
                cultivar_id=groups[kind],
            )
        ]
        names = [cultivar(group, group) for group in groups]
        only = [replace(one, crop="pawpaw" if one.id in has_begun else "pear") for one in names]
        said.append(in_all(likely_of(farm_book(*names, *records))))
        without.append(in_all(likely_of(farm_book(*only, *records))))
        came.append(sum(count for _, count in ahead))
        came_of_begun.append(sum(count for group, count in ahead if group in has_begun))
    ratio = (np.sum(said) - np.sum(without)) / (np.sum(came) - np.sum(came_of_begun))
    # All of these bear, of which the program is sure to four fifths and less.
    assert 0.65 < ratio < 1.2
    off, off_without = (np.abs(np.array(own) - came).mean() for own in (said, without))
    assert off < 0.8 * off_without
