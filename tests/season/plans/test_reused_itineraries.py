"""A plan after an edit finds again only what the edit has touched, and is the plan from nothing."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta

import pytest

from ripenroom.planning.itineraries import find
from ripenroom.records.batch import Removal
from ripenroom.records.book import Record
from ripenroom.records.market import MarketDay, Want
from ripenroom.season.plans.planner import Planner
from ripenroom.season.state import SeasonState
from tests.season.farm import NOW
from tests.season.plans.planning import CROPS, LISBON, farm_book, market_records, pin

WANTED = market_records(6, {"pawpaw": 60})
BEFORE = SeasonState(farm_book(*WANTED, batches=3), CROPS, NOW, LISBON)
FIRST = Planner(BEFORE)

DAY = next(record for record in WANTED if isinstance(record, MarketDay))
WANT = next(record for record in WANTED if isinstance(record, Want))
ONE = next(iter(BEFORE.book.batches.values()))
PLACE = next(iter(BEFORE.book.places.values()))
SOLD = Removal(id="sold", batch_id=ONE.id, at=NOW, count=9, outcome="sold")


def searches(
    monkeypatch: pytest.MonkeyPatch, state: SeasonState, last: Planner | None
) -> tuple[int, Planner]:
    """How often itineraries are looked for, and what was made of them."""
    asked: list[object] = []

    def counted(*given: object) -> object:
        asked.append(given)
        return find(*given)  # type: ignore[arg-type]

    with monkeypatch.context() as patched:
        patched.setattr("ripenroom.season.plans.input.find", counted)
        made = Planner(state, last=last)
    return len(asked), made


def edited(*records: Record, deleted: Iterable[Record] = ()) -> SeasonState:
    return BEFORE.with_changes(records, deleted)


UNTOUCHED = {
    "nothing": BEFORE,
    "a want": edited(replace(WANT, count=20, price_minor=333)),
    "a pin": edited(pin(1, 2, market_day_id=DAY.id)),
    "a sale": edited(SOLD),
    "a minute": replace(BEFORE, now=NOW + timedelta(minutes=1)),
}

TOUCHED = {
    "a pick": edited(replace(ONE, picked_at=ONE.picked_at - timedelta(days=1))),
    "a batch less": edited(deleted=[ONE]),
    "a place": edited(replace(PLACE, half_cooling_h=PLACE.half_cooling_h + 1.0)),
    "a market day": edited(replace(DAY, starts_at=DAY.starts_at + timedelta(hours=2))),
    "its buyers": edited(replace(DAY, eat_within_days=6)),
    "a want less": edited(deleted=[WANT]),
    "a day": replace(BEFORE, now=NOW + timedelta(days=1)),
    "the crops": replace(BEFORE, crops=dict(CROPS)),
}


@pytest.mark.parametrize("edit", UNTOUCHED)
def test_what_no_edit_has_touched_is_not_looked_for_again(
    edit: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    number, again = searches(monkeypatch, UNTOUCHED[edit], FIRST)
    assert number == 0
    assert again.plan() == Planner(UNTOUCHED[edit]).plan()
    # It goes on from there as well.
    assert searches(monkeypatch, BEFORE, again)[0] == 0


@pytest.mark.parametrize("edit", TOUCHED)
def test_what_an_edit_has_touched_is(edit: str, monkeypatch: pytest.MonkeyPatch) -> None:
    number, again = searches(monkeypatch, TOUCHED[edit], FIRST)
    assert number == 1
    assert again.plan() == Planner(TOUCHED[edit]).plan()
