"""Market days are made, changed and deleted; picks are expected, and second grade has prices."""

from contextlib import closing
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from ripenroom.exchange.season_json import read_json, write_json
from ripenroom.records.batch import Brought
from ripenroom.records.file import verify
from ripenroom.records.market import ExpectedPick, Pin, SecondGrade, Want
from ripenroom.season import actions
from ripenroom.season.actions.action import Action
from ripenroom.season.actions.ahead import wants_of
from ripenroom.season.merging import meet
from ripenroom.season.season import Season
from tests.season.conftest import Open
from tests.season.farm import COLD, NOW, batch_and_move, entry, farm_records, market, refused
from tests.season.writing import write


def test_wants_are_replaced_as_a_whole(living: Season) -> None:
    day, wants = market(3, {"pawpaw": 30, "pear": 10})
    living.do(actions.ahead.save_market_day, day, wants)
    before = living.book
    avocado = Want(id="new", market_day_id=day.id, crop="avocado", count=5, price_minor=120)
    living.do(actions.ahead.save_market_day, replace(day, name="Fair "), [wants[0], avocado])
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
        refused(living, lambda: living.do(actions.ahead.save_market_day, changed, wants)).field
        == field
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
    assert (
        refused(living, lambda: living.do(actions.ahead.save_market_day, day, wants)).field == field
    )


def test_several_days_are_one_step(living: Season) -> None:
    before = living.book
    living.do(actions.ahead.save_market_days, [market(n, {"pawpaw": 10}) for n in (3, 10, 17)])
    assert len(living.book.market_days) == 3
    assert living.undo() == "3 market days"
    assert living.book == before
    living.do(actions.ahead.save_market_days, [market(3, {})])
    assert living.undo_label == "new market day Quay"


def test_one_bad_day_keeps_all_out(living: Season) -> None:
    days = [market(3, {"pawpaw": 10}), market(10, {"pawpaw": -10})]
    refused(living, lambda: living.do(actions.ahead.save_market_days, days))


def test_a_market_day_on_which_fruit_was_sold_stays(living: Season) -> None:
    day, wants = market(-0.5, {"pawpaw": 30})
    living.do(actions.ahead.save_market_day, day, wants)
    (batch,) = living.do(actions.picks.add, entry())
    living.do(actions.batches.take_out, batch.id, 3, "sold", NOW, day.id)
    assert (
        "fruit was sold there"
        in refused(living, lambda: living.do(actions.ahead.delete_market_day, day.id)).message
    )
    living.undo()
    living.do(actions.ahead.delete_market_day, day.id)
    assert not living.book.market_days
    assert not living.book.wants
    refused(living, lambda: living.do(actions.ahead.delete_market_day, day.id))


def test_pins_go_with_their_market_day(open_season: Open) -> None:
    day, wants = market(3, {"pawpaw": 30})
    pins = [
        Pin(id="its", batch_id="batch 1", crates=1, market_day_id=day.id),
        Pin(id="other", batch_id="batch 1", crates=1),
    ]
    living = open_season(*farm_records(), day, *wants, *batch_and_move(1, count=90), *pins)
    before = living.book
    living.do(actions.ahead.delete_market_day, day.id)
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
        "brought"
        in refused(living, lambda: living.do(actions.ahead.delete_market_day, day.id)).message
    )
    ahead = replace(day, starts_at=NOW + timedelta(days=2))
    assert (
        refused(living, lambda: living.do(actions.ahead.save_market_day, ahead, wants)).field
        == "starts_at"
    )


TODAY = NOW.date()
PICK = ExpectedPick(
    id="pick", crop="pawpaw", on=TODAY + timedelta(days=2), count=120, place_id=COLD
)
PULP = SecondGrade(id="pulp", crop="pawpaw", price_minor=40, fruit_per_day=50)


def test_a_pick_is_expected_changed_and_expected_no_longer(living: Season) -> None:
    living.do(actions.ahead.save_expected_pick, PICK)
    changed = replace(PICK, count=80, feel="gives", cultivar_id="early", note="if it stays dry")
    living.do(actions.ahead.save_expected_pick, changed)
    assert living.book.expected_picks == {"pick": changed}
    living.do(actions.ahead.delete_expected_pick, "pick")
    assert not living.book.expected_picks
    undone = [living.undo() for _ in range(3)]
    assert undone == [
        "deletion of expected pick of 80 pawpaw",
        "change of expected pick of 80 pawpaw",
        "expected pick of 120 pawpaw",
    ]


def test_a_pick_may_be_expected_for_today(living: Season) -> None:
    living.do(actions.ahead.save_expected_pick, replace(PICK, on=TODAY))
    assert living.book.expected_picks["pick"].on == TODAY


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"crop": "medlar"}, "crop"),
        ({"cultivar_id": "gone"}, "cultivar_id"),
        ({"cultivar_id": "pears"}, "cultivar_id"),
        ({"on": TODAY - timedelta(days=1)}, "on"),
        ({"on": TODAY + timedelta(days=401)}, "on"),
        ({"count": -1}, "count"),
        ({"count": 1_000_000}, "count"),
        ({"place_id": "gone"}, "place_id"),
        ({"feel": "squashy"}, "feel"),
        ({"note": "x" * 20_000}, "note"),
    ],
)
def test_a_pick_that_cannot_be_expected_is_refused(
    living: Season, given: dict[str, Any], field: str
) -> None:
    pick = replace(PICK, **given)
    assert refused(living, lambda: living.do(actions.ahead.save_expected_pick, pick)).field == field


def test_that_nothing_more_comes_is_said_kept_and_taken_back(
    living: Season, tmp_path: Path
) -> None:
    over = replace(PICK, count=0, on=TODAY, cultivar_id="early")
    living.do(actions.ahead.save_expected_pick, over)
    assert living.book.expected_picks["pick"].nothing_more
    write_json(living.book, tmp_path / "season.json")
    assert read_json(tmp_path / "season.json") == living.book
    before = replace(living.book, expected_picks={})
    assert meet(before, before, living.book).together({}) == living.book
    with closing(Season.open(living.path, read_only=True)) as again:
        assert again.book == living.book
        assert verify(living.path) == []
    living.do(actions.ahead.delete_expected_pick, "pick")
    assert [living.undo(), living.undo()] == [
        "deletion of no more to pick of pawpaw",
        "no more to pick of pawpaw",
    ]
    assert not living.book.expected_picks
    assert living.redo() == "no more to pick of pawpaw"
    assert living.book.expected_picks == {"pick": over}


def test_before_the_season_nothing_is_picked(living: Season) -> None:
    first = date(2026, 12, 1)
    living.do(actions.season.save, replace(living.book.season, first_day=first))
    early = replace(PICK, on=first - timedelta(days=1))
    assert refused(living, lambda: living.do(actions.ahead.save_expected_pick, early)).field == "on"


def test_what_is_gone_cannot_be_deleted(living: Season) -> None:
    assert (
        refused(living, lambda: living.do(actions.ahead.delete_expected_pick, "gone")).field == ""
    )


def test_all_second_grade_is_said_in_one_step(living: Season) -> None:
    living.do(actions.ahead.save_second_grades, [PULP])
    pears = SecondGrade(id="pears", crop="pear", price_minor=0)
    living.do(actions.ahead.save_second_grades, [replace(PULP, price_minor=30), pears])
    assert {g.price_minor for g in living.book.second_grades.values()} == {30, 0}
    living.do(actions.ahead.save_second_grades, [pears])
    assert living.book.second_grades == {"pears": pears}
    assert living.undo() == "change of second grade"
    assert set(living.book.second_grades) == {"pulp", "pears"}


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"crop": "medlar"}, "crop"),
        ({"price_minor": -1}, "price_minor"),
        ({"fruit_per_day": 0}, "fruit_per_day"),
        ({"fruit_per_day": 10_000_000}, "fruit_per_day"),
    ],
)
def test_a_price_that_cannot_be_is_refused(
    living: Season, given: dict[str, Any], field: str
) -> None:
    grade = replace(PULP, **given)
    assert (
        refused(living, lambda: living.do(actions.ahead.save_second_grades, [grade])).field == field
    )


def test_a_crop_twice_is_refused(living: Season) -> None:
    twice = [PULP, replace(PULP, id="again")]
    assert (
        refused(living, lambda: living.do(actions.ahead.save_second_grades, twice)).field == "crop"
    )
