"""What projections count on once something was learned."""

from dataclasses import replace

import numpy as np
import pytest

from ripenroom.records.orchard import Cultivar
from ripenroom.season.learned import Learned
from ripenroom.season.projection import Projection
from ripenroom.season.projector import Projector
from tests.season.farm import COLD, NOW, batch_and_move
from tests.season.learning.checks import CROPS, FAST, PICKED, ZONE, farm, learned


def projected(book_has: object, found: Learned | None = None) -> Projection:
    projector = Projector(CROPS, ZONE, found)
    return projector.projection(projector.outlook(book_has, NOW), NOW)  # type: ignore[arg-type]


def width(of: Projection, batch_id: str) -> float:
    line = of.line_of[batch_id]
    return float(of.closes_h.high[line] - of.closes_h.low[line])


def test_a_checked_batch_is_surer_than_one_that_only_learned_its_rate() -> None:
    book = farm(*FAST)
    before, after = projected(book), projected(book, learned(book))
    assert width(after, "batch 1") < 0.6 * width(before, "batch 1")
    assert width(after, "batch 2") < width(before, "batch 2")
    assert width(after, "batch 1") < width(after, "batch 2")


def test_faster_fruit_closes_sooner() -> None:
    book = farm(*FAST)
    before, after = projected(book), projected(book, learned(book))
    line = after.line_of["batch 2"]
    assert after.closes_h.mid[line] < before.closes_h.mid[line]


def test_a_batch_in_the_cold_learns_less_than_one_in_the_warm() -> None:
    """How much the cold slows ripening is in doubt too, and checks in the warm say little of it."""
    cold, move = batch_and_move(8, COLD, picked_at=PICKED, cultivar_id="early")
    book = farm(cold, move, *FAST)
    sd = {}
    for name, found in (("before", None), ("after", learned(book))):
        outlook = Projector(CROPS, ZONE, found).outlook(book, NOW)
        line_of = {key: n for n, key in enumerate(outlook.lines.ids)}
        way = outlook.gaining.way
        sd[name] = way.rate_sd[line_of["batch 8"]], way.rate_sd[line_of["batch 1"]]
    assert sd["after"][0] < sd["before"][0]
    assert sd["after"][0] / sd["before"][0] > sd["after"][1] / sd["before"][1]


def test_a_cultivar_that_came_later_is_as_any_of_its_crop() -> None:
    found = learned(farm(*FAST))
    late = Cultivar(id="new", crop="pawpaw", name="New", rate_factor=1.25)
    batch, move = batch_and_move(8, COLD, picked_at=PICKED, cultivar_id="new")
    outlook = Projector(CROPS, ZONE, found).outlook(farm(late, batch, move, *FAST), NOW)
    line = outlook.lines.ids.index("batch 8")
    any_of_crop = found.rate_of("pawpaw", None)
    assert any_of_crop is not None
    expected = CROPS["pawpaw"].rate.per_day.value * any_of_crop.factor.mid * 1.25
    assert outlook.batches.rate_per_day[line] == pytest.approx(expected)


def test_a_batch_that_was_changed_since_is_taken_from_its_pick() -> None:
    book = farm(*FAST)
    found = learned(book)
    changed = replace(book.batches["batch 1"], feel_counts=(0, 5, 15, 0, 0))
    outlook = Projector(CROPS, ZONE, found).outlook(book.with_changes((changed,)), NOW)
    line = outlook.lines.ids.index("batch 1")
    assert outlook.gaining.way.from_days[line] == pytest.approx(0.0, abs=1e-9)


def test_crops_of_which_nothing_was_learned_stay_as_they_were() -> None:
    pear, move = batch_and_move(8, COLD, crop="pear", picked_at=PICKED, cultivar_id="pears")
    book = farm(pear, move, *FAST)
    before, after = projected(book), projected(book, learned(book))
    for dates in ("opens_h", "closes_h"):
        ours, theirs = getattr(after, dates), getattr(before, dates)
        line = after.line_of["batch 8"]
        for edge in ("low", "mid", "high"):
            assert getattr(ours, edge)[line] == pytest.approx(
                getattr(theirs, edge)[line], nan_ok=True
            )


def test_a_set_point_is_tried_on_what_was_learned() -> None:
    book = farm(*FAST)
    projector = Projector(CROPS, ZONE, learned(book))
    whole = projector.projection(projector.outlook(book, NOW), NOW)
    warmer = projector.with_set_point(whole, book, NOW, "shelf", 18.0)
    same = projector.with_set_point(whole, book, NOW, "shelf", 14.0)
    line = whole.line_of["batch 0"]
    assert warmer.closes_h.mid[line] < whole.closes_h.mid[line]
    assert same.closes_h.mid == pytest.approx(whole.closes_h.mid, abs=0.2)
    assert np.array_equal(same.batch_ids, whole.batch_ids)
