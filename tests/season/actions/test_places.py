"""Places and set points are made, changed and deleted; temperature logs go in and out."""

import math
from dataclasses import replace
from datetime import timedelta
from typing import Any

import numpy as np
import pytest

from ripenroom.records.book import Record
from ripenroom.records.market import ExpectedPick, Pin
from ripenroom.records.place import Place, TemperatureLog
from ripenroom.records.temperature_series import pack
from ripenroom.season import actions
from ripenroom.season.season import Season
from tests.season.conftest import Open
from tests.season.farm import (
    COLD,
    NOW,
    ROOM,
    SHELF,
    UNUSED,
    batch_and_move,
    entry,
    farm_records,
    refused,
)

CELLAR = Place(id="cellar", name="Cellar", kind="cool shelf", half_cooling_h=9.0)


def test_a_new_place_is_held_at_its_set_point_from_the_first_day_on(living: Season) -> None:
    before = living.book
    living.do(actions.places.save, replace(CELLAR, name="  Cellar "), 13.5)
    assert living.book.places["cellar"].name == "Cellar"
    assert living.set_point_c("cellar", NOW - timedelta(days=300)) == 13.5
    assert living.undo() == "new place Cellar"
    assert living.book == before


@pytest.mark.parametrize(
    ("given", "set_point_c", "field"),
    [
        ({}, None, "set_point_c"),
        ({}, -40.0, "set_point_c"),
        ({}, 68.0, "set_point_c"),
        ({}, math.nan, "set_point_c"),
        ({"name": " "}, 5.0, "name"),
        ({"name": "x" * 201}, 5.0, "name"),
        ({"name": "cold "}, 5.0, "name"),
        ({"name": "Two\nlines"}, 5.0, "name"),
        ({"name": "Two\u2028lines"}, 5.0, "name"),
        ({"half_cooling_h": 0.0}, 5.0, "half_cooling_h"),
        ({"half_cooling_h": -3.0}, 5.0, "half_cooling_h"),
        ({"half_cooling_h": math.inf}, 5.0, "half_cooling_h"),
        ({"daily_swing_k": -1.0}, 5.0, "daily_swing_k"),
        ({"daily_swing_k": 60.0}, 5.0, "daily_swing_k"),
        ({"capacity_crates": 0}, 5.0, "capacity_crates"),
        ({"capacity_crates": 10**9}, 5.0, "capacity_crates"),
    ],
)
def test_a_place_that_cannot_be_is_refused(
    living: Season, given: dict[str, Any], set_point_c: float | None, field: str
) -> None:
    place = replace(CELLAR, **given)
    assert (
        refused(living, lambda: living.do(actions.places.save, place, set_point_c)).field == field
    )


def test_names_may_hold_any_script(living: Season) -> None:
    name = "חדר 4 \U0001f468\u200d\U0001f33e № 1"
    living.do(actions.places.save, replace(CELLAR, name=name), 4.0)
    assert living.book.places["cellar"].name == name


def test_a_place_keeps_its_set_points_when_it_is_renamed(living: Season) -> None:
    living.do(actions.places.save, replace(living.book.places[COLD], name="Walk-in"))
    assert living.set_point_c(COLD) == 3.0
    assert living.undo_label == "change of Walk-in"


def test_a_place_in_use_is_not_deleted(living: Season) -> None:
    (batch,) = living.do(actions.picks.add, entry())
    living.do(actions.moves.move, [batch.id], ROOM, NOW)
    for used in (COLD, ROOM):
        refusal = refused(living, lambda used=used: living.do(actions.places.delete, used))  # type: ignore[misc]
        assert ": 1 batch waits or waited there, so" in refusal.message
    before = living.book
    living.do(actions.places.delete, UNUSED)
    assert UNUSED not in living.book.places
    living.undo()
    assert living.book == before
    assert living.set_point_c(UNUSED) == 8.0


def test_a_set_point_holds_from_its_time_on_and_drops_later_ones(living: Season) -> None:
    living.do(actions.places.set_set_point, COLD, 5.0, NOW + timedelta(days=5))
    assert (living.set_point_c(COLD), living.set_point_c(COLD, NOW + timedelta(days=5))) == (3, 5)
    living.do(actions.places.set_set_point, COLD, 1.0)
    assert living.set_point_c(COLD) == 1.0
    assert living.set_point_c(COLD, NOW + timedelta(days=9)) == 1.0
    assert living.set_point_c(COLD, NOW - timedelta(seconds=1)) == 3.0
    assert living.undo() == "Cold set to 1 °C"
    assert living.set_point_c(COLD, NOW + timedelta(days=9)) == 5.0


@pytest.mark.parametrize("celsius", [-5.1, 45.1, math.nan, math.inf])
def test_no_fruit_is_kept_at_such_a_set_point(living: Season, celsius: float) -> None:
    assert (
        refused(living, lambda: living.do(actions.places.set_set_point, COLD, celsius)).field
        == "set_point_c"
    )
    assert refused(living, lambda: living.preview_set_point(COLD, celsius)).field == "set_point_c"


def test_a_place_that_is_gone_is_refused(living: Season) -> None:
    refused(living, lambda: living.do(actions.places.delete, "attic"))
    refused(living, lambda: living.do(actions.places.set_set_point, "attic", 5.0))
    refused(living, lambda: living.preview_set_point("attic", 5.0))


def test_several_batches_in_a_place_are_counted(living: Season) -> None:
    for _ in range(2):
        living.do(actions.picks.add, entry())
    refusal = refused(living, lambda: living.do(actions.places.delete, COLD))
    assert ": 2 batches wait or waited there, so" in refusal.message


def test_a_refused_set_point_is_told_in_both_units(living: Season) -> None:
    refusal = refused(living, lambda: living.do(actions.places.set_set_point, COLD, 68.0))
    assert "68 °C (154.4 °F)" in refusal.message
    assert "-5 to 45 °C (23 to 113 °F)" in refusal.message


def test_a_place_that_something_names_stays(living: Season, open_season: Open) -> None:
    named: list[tuple[Record, str]] = [
        (Pin(id="pin", batch_id="batch 1", crates=1, pull_at=NOW, place_id=UNUSED), "pinned"),
        (
            ExpectedPick(id="pick", crop="pear", on=NOW.date(), count=5, place_id=UNUSED),
            "expected",
        ),
        (
            TemperatureLog(
                id="log",
                place_id=UNUSED,
                name="fridge.csv",
                probe="1",
                starts_at=NOW - timedelta(days=1),
                ends_at=NOW,
                series=pack(
                    np.array([(NOW - timedelta(days=1)).timestamp(), NOW.timestamp()]), [4.0, 4.5]
                ),
            ),
            "temperature logs",
        ),
    ]
    for record, word in named:
        living = open_season(*farm_records(), *batch_and_move(1), record)
        refusal = refused(living, lambda season=living: season.do(actions.places.delete, UNUSED))  # type: ignore[misc]
        assert word in refusal.message


START_S = int((NOW - timedelta(days=10)).timestamp())
TIMES = START_S + 600 * np.arange(6 * 24 * 9)
WARM = np.full(TIMES.size, 9.0)


def test_a_log_is_taken_in_and_undone(living: Season) -> None:
    before = living.book
    log = living.do(actions.places.add_log, COLD, "fridge.csv", "Probe\t1\n", TIMES, WARM)
    assert living.ask.logs_of_place(COLD) == (log,)
    assert (log.probe, log.ends_at - log.starts_at) == ("Probe 1", timedelta(days=9, minutes=-10))
    assert living.undo() == "temperature log of Cold"
    assert living.book == before


def test_a_log_is_deleted_and_brought_back(living: Season) -> None:
    log = living.do(actions.places.add_log, COLD, "fridge.csv", "", TIMES, WARM)
    living.do(actions.places.delete_log, log.id)
    assert not living.book.temperature_logs
    assert living.undo() == "deletion of a temperature log of Cold"
    assert living.book.temperature_logs == {log.id: log}
    assert (
        "not in the season"
        in refused(living, lambda: living.do(actions.places.delete_log, "gone")).message
    )


def test_readings_that_lie_ahead_are_refused(living: Season) -> None:
    ahead = TIMES + 3 * 86_400
    refusal = refused(living, lambda: living.do(actions.places.add_log, COLD, "f", "", ahead, WARM))
    assert (refusal.field, "still to come" in refusal.message) == ("series", True)


@pytest.mark.parametrize("celsius", [np.full(TIMES.size, 99.0), np.full(TIMES.size, np.nan)])
def test_temperatures_that_cannot_be_are_refused(living: Season, celsius: np.ndarray) -> None:
    refusal = refused(
        living, lambda: living.do(actions.places.add_log, COLD, "f", "", TIMES, celsius)
    )
    assert refusal.field == "series"


def test_the_same_readings_are_not_taken_twice(living: Season) -> None:
    living.do(actions.places.add_log, COLD, "fridge.csv", "", TIMES, WARM)
    again = refused(
        living, lambda: living.do(actions.places.add_log, COLD, "copy.csv", "", TIMES, WARM)
    )
    assert "Cold has these readings already" in again.message
    living.do(actions.places.add_log, SHELF, "fridge.csv", "", TIMES, WARM)


def test_a_log_of_a_place_that_is_gone_is_refused(living: Season) -> None:
    refusal = refused(
        living, lambda: living.do(actions.places.add_log, "gone", "f", "", TIMES, WARM)
    )
    assert refusal.field == "place_id"
