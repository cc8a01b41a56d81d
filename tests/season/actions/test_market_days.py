"""Making, changing and deleting market days."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from ripenroom.records.batch import Brought
from ripenroom.records.market import Pin, Want
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.actions.market_days import wants_of
from ripenroom.season.season import Season
from tests.season.conftest import Open
from tests.season.farm import NOW, batch_and_move, entry, farm_records, market, refused
from tests.season.writing import write


def test_wants_are_replaced_as_a_whole(living: Season) -> None:
    day, wants = market(3, {"pawpaw": 30, "pear": 10})
    living.do(actions.market_days.save, day, wants)
    before = living.book
    avocado = Want(id="new", market_day_id=day.id, crop="avocado", count=5, price_minor=120)
    living.do(actions.market_days.save, replace(day, name="Fair "), [wants[0], avocado])
    assert [want.crop for want in wants_of(living.book, day.id)] == ["avocado", "pawpaw"]
    assert living.undo() == "change of Fair"
    assert living.book == before


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "x" * 300}, "name"),
        ({"eat_within_days": -1}, "eat_within_days"),
        ({"eat_within_days": 31}, "eat_within_days"),
        ({"starts_at": NOW - timedelta(days=90)}, "starts_at"),
        ({"starts_at": NOW + timedelta(days=36_500)}, "starts_at"),
        ({"note": "x" * 20_000}, "note"),
    ],
)
def test_a_market_day_that_cannot_be_is_refused(
    living: Season, given: dict[str, Any], field: str
) -> None:
    day, wants = market(3, {"pawpaw": 30})
    changed = replace(day, **given)
    assert (
        refused(living, lambda: living.do(actions.market_days.save, changed, wants)).field == field
    )


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"crop": "medlar"}, "crop"),
        ({"crop": "pear"}, "crop"),
        ({"count": -1}, "count"),
        ({"count": 100_001}, "count"),
        ({"price_minor": -1}, "price_minor"),
        ({"price_minor": 10**12}, "price_minor"),
    ],
)
def test_a_want_that_cannot_be_is_refused(
    living: Season, given: dict[str, Any], field: str
) -> None:
    day, wants = market(3, {"pawpaw": 30, "pear": 10})
    wants[0] = replace(wants[0], **given)
    assert refused(living, lambda: living.do(actions.market_days.save, day, wants)).field == field


def test_several_days_are_one_step(living: Season) -> None:
    before = living.book
    living.do(actions.market_days.save_all, [market(n, {"pawpaw": 10}) for n in (3, 10, 17)])
    assert len(living.book.market_days) == 3
    assert living.undo() == "3 market days"
    assert living.book == before
    living.do(actions.market_days.save_all, [market(3, {})])
    assert living.undo_label == "new market day Quay"


def test_one_bad_day_keeps_all_out(living: Season) -> None:
    days = [market(3, {"pawpaw": 10}), market(10, {"pawpaw": -10})]
    refused(living, lambda: living.do(actions.market_days.save_all, days))


def test_a_market_day_on_which_fruit_was_sold_stays(living: Season) -> None:
    day, wants = market(-0.5, {"pawpaw": 30})
    living.do(actions.market_days.save, day, wants)
    (batch,) = living.do(actions.picks.add, entry())
    living.do(actions.batches.take_out, batch.id, 3, "sold", NOW, day.id)
    assert (
        "Fruit was sold"
        in refused(living, lambda: living.do(actions.market_days.delete, day.id)).message
    )
    living.undo()
    living.do(actions.market_days.delete, day.id)
    assert not living.book.market_days
    assert not living.book.wants
    refused(living, lambda: living.do(actions.market_days.delete, day.id))


def test_pins_go_with_their_market_day(open_season: Open) -> None:
    day, wants = market(3, {"pawpaw": 30})
    pins = [
        Pin(id="its", batch_id="batch 1", crates=1, market_day_id=day.id),
        Pin(id="other", batch_id="batch 1", crates=1),
    ]
    living = open_season(*farm_records(), day, *wants, *batch_and_move(1, count=90), *pins)
    before = living.book
    living.do(actions.market_days.delete, day.id)
    assert set(living.book.pins) == {"other"}
    living.undo()
    assert living.book == before


def test_a_market_day_to_which_fruit_was_brought_stays_and_stays_past(open_season: Open) -> None:
    day, wants = market(-1, {"pawpaw": 30})
    living = open_season(*farm_records(), day, *wants, *batch_and_move(1))
    # All of it came back: nothing was sold, yet the day tells of it.
    brought = Brought(id="brought", batch_id="batch 1", market_day_id=day.id, count=5)
    write(living, Action("brought", (brought,)))
    assert (
        "brought" in refused(living, lambda: living.do(actions.market_days.delete, day.id)).message
    )
    ahead = replace(day, starts_at=NOW + timedelta(days=2))
    assert (
        refused(living, lambda: living.do(actions.market_days.save, ahead, wants)).field
        == "starts_at"
    )
