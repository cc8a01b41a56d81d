"""Picks that are expected, and who takes second grade."""

from contextlib import closing
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from ripenroom.exchange.season_json import read_json, write_json
from ripenroom.records.file import verify
from ripenroom.records.market import ExpectedPick, SecondGrade
from ripenroom.season import actions
from ripenroom.season.merging import meet
from ripenroom.season.season import Season
from tests.season.farm import COLD, NOW, refused

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
    living.do(actions.details.save, replace(living.book.season, first_day=first))
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
