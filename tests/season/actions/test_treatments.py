"""Ethylene treatments: what cannot be, and what goes with a batch."""

import math
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.records.crop.made import WINTER
from tests.season.farm import NOW, ROOM, YESTERDAY, entry, refused


@pytest.fixture
def living(living: Season) -> Season:
    living.do(actions.crops.save, WINTER)
    return living


def winter_pick(living: Season, **given: Any) -> str:
    facts = {"crop": "winter", "place_id": ROOM, "feel_counts": None, "count": 20, **given}
    return living.do(actions.picks.add, entry(**facts))[0].id


def test_batches_are_treated_together_and_it_is_undone(living: Season) -> None:
    ids = [winter_pick(living), winter_pick(living)]
    before = living.book
    at = NOW.replace(microsecond=700)
    living.do(actions.batches.treat, [*ids, ids[0]], 48.0, at)
    assert living.undo_label == "ethylene for 2 batches"
    given = list(living.book.treatments.values())
    assert sorted(t.batch_id for t in given) == sorted(ids)
    assert {(t.at, t.hours) for t in given} == {(NOW, 48.0)}
    living.do(actions.batches.delete_treatment, given[0].id)
    assert len(living.book.treatments) == 1
    assert living.undo_label is not None
    assert living.undo_label.endswith("taken back")
    living.undo()
    living.undo()
    assert living.book == before


@pytest.mark.parametrize(
    ("hours", "days", "field", "words"),
    [
        (0.5, 0.0, "hours", "from 1 to 240 hours"),
        (-4.0, 0.0, "hours", "from 1 to 240 hours"),
        (2400.0, 0.0, "hours", "from 1 to 240 hours"),
        (math.nan, 0.0, "hours", "nan"),
        (24.0, -1.1, "at", "before X-0930-1 was picked"),
        (24.0, 500.0, "at", "400 days after"),
    ],
)
def test_a_treatment_that_cannot_be_is_refused(
    living: Season, hours: float, days: float, field: str, words: str
) -> None:
    batch_id = winter_pick(living)
    at = NOW + timedelta(days=days)
    refusal = refused(living, lambda: living.do(actions.batches.treat, [batch_id], hours, at))
    assert refusal.field == field
    assert words in refusal.message


def test_fruit_that_waits_for_no_ethylene_is_not_treated(living: Season) -> None:
    pawpaw = living.do(actions.picks.add, entry())[0]
    both = [winter_pick(living), pawpaw.id]
    refusal = refused(living, lambda: living.do(actions.batches.treat, both, 24.0, NOW))
    assert f"{pawpaw.code} needs no ethylene" in refusal.message
    only_cold = "\n".join(x for x in WINTER.splitlines() if not x.startswith("ethylene_days"))
    living.do(actions.crops.save, only_cold)
    refused(living, lambda: living.do(actions.batches.treat, both[:1], 24.0, NOW))
    refused(living, lambda: living.do(actions.batches.treat, ["gone"], 24.0, NOW))


@pytest.mark.parametrize(
    ("hours_later", "fits"),
    [(0.0, False), (-23.0, False), (-24.0, True), (47.0, False), (48.0, True)],
)
def test_a_batch_is_not_in_ethylene_twice_at_a_time(
    living: Season, hours_later: float, fits: bool
) -> None:
    batch_id = winter_pick(living)
    living.do(actions.batches.treat, [batch_id], 48.0, NOW)
    at = NOW + timedelta(hours=hours_later)
    if fits:
        living.do(actions.batches.treat, [batch_id], 24.0, at)
        assert len(living.book.treatments) == 2
    else:
        refusal = refused(living, lambda: living.do(actions.batches.treat, [batch_id], 24.0, at))
        assert "already" in refusal.message


def test_a_treatment_that_is_gone(living: Season) -> None:
    refused(living, lambda: living.do(actions.batches.delete_treatment, "gone"))


def test_a_deleted_batch_takes_its_treatments_along(living: Season) -> None:
    kept, gone = winter_pick(living), winter_pick(living)
    living.do(actions.batches.treat, [kept, gone], 24.0, NOW)
    book = living.book
    living.do(actions.batches.delete, [gone])
    assert [t.batch_id for t in living.book.treatments.values()] == [kept]
    living.undo()
    assert living.book == book


def test_a_pick_is_not_mended_to_after_its_treatment(living: Season) -> None:
    batch_id = winter_pick(living)
    living.do(actions.batches.treat, [batch_id], 24.0, YESTERDAY + timedelta(hours=3))
    later = replace(living.book.batches[batch_id], picked_at=YESTERDAY + timedelta(hours=4))
    refusal = refused(living, lambda: living.do(actions.batches.change, later))
    assert refusal.field == "picked_at"
    assert "ethylene" in refusal.message
    living.do(actions.batches.change, replace(later, picked_at=YESTERDAY + timedelta(hours=2)))
