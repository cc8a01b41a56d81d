"""Which marks of the plan are there to be seen."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from ripenroom.records.market import ExpectedPick
from ripenroom.window.queue.legend import marks_in, plan_entries
from ripenroom.window.queue.scene import Scene
from tests.window.queue.conftest import line, pulled_line

MakePlanned = Callable[..., Scene]
PICK = ExpectedPick(id="pick", crop="pawpaw", on=date(2026, 9, 25), count=40, place_id="cold")


def test_every_mark_has_its_way(make_planned: MakePlanned) -> None:
    ways = {
        "sold": line("batch-0"),
        "packed": line("batch-0", packed=True),
        "knot": line("batch-0", pin_id="pin", packed=True),
        "pull": pulled_line("batch-0", 1),
    }
    for mark, planned in ways.items():
        assert mark in marks_in(make_planned(1, planned)), mark
    everything = marks_in(make_planned(1, *ways.values(), expected=[PICK]))
    assert everything == set(plan_entries())


def test_only_what_is_seen_is_told(make_planned: MakePlanned) -> None:
    assert marks_in(make_planned(1, line("batch-0"))) == {"sold"}
    assert marks_in(make_planned(1)) == set()
    left = line("batch-0", market_day_id=None)
    assert marks_in(make_planned(1, left)) == set()  # what goes nowhere is said in words
    assert marks_in(replace(make_planned(1, expected=[PICK]), planned=None)) == {"expected"}
