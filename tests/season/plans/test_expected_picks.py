"""Expected picks in the plan: batches that do not exist yet."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from ripenroom.records.batch import Batch
from ripenroom.season.plans.expected_picks import likely_picks, still_expected, with_expected
from ripenroom.season.plans.input import unpinned
from ripenroom.season.state import SeasonState
from tests.season.farm import COLD, NOW, ROOM, batch_and_move
from tests.season.plans.planning import (
    CROPS,
    LISBON,
    expected,
    farm_book,
    faults,
    market_records,
    planned,
)

WANTED = market_records(9, {"pawpaw": 100})


def test_an_expected_pick_is_planned_for() -> None:
    book = farm_book(*WANTED, expected(2))
    plan = planned(book)
    assert sum(line.crates for line in plan.lines) == 2
    for line in plan.lines:
        assert (line.batch_id, line.expected_pick_id) == ("", "pick 2")
        assert line.from_place_id == COLD
        assert line.fruit == pytest.approx(20.0 * line.crates)
    sold = [line for line in plan.lines if line.market_day_id]
    assert sold
    noon = datetime.combine(expected(2).on, datetime.min.time(), LISBON) + timedelta(hours=12)
    assert all(step.at > noon for line in sold for step in line.steps)
    assert faults(book, plan) == []


def test_it_is_no_move_that_is_written_down() -> None:
    plan = planned(farm_book(*WANTED, expected(2, place_id=ROOM, feel="gives")))
    assert all(len(line.steps) <= 2 for line in plan.lines)
    standing = [line for line in plan.lines if not line.steps]
    assert all(line.pull_at is None for line in standing)


def test_its_fruit_is_as_doubtful_as_the_crop() -> None:
    book = farm_book(*WANTED, expected(2), batches=1)
    laid = unpinned(SeasonState(book, CROPS, NOW, LISBON))
    doubt = dict(zip(laid.lines.ids, laid.lines.batches.doubt_sd.tolist(), strict=True))
    (own,) = laid.expected
    assert doubt[own] > doubt["batch 0"]


def test_picks_of_days_gone_by_or_written_down_do_not_count() -> None:
    early = replace(expected(3), id="early", cultivar_id="early")
    book = farm_book(*WANTED, expected(-1), expected(0), expected(3), early)
    ids = [pick.id for pick in still_expected(book, NOW, LISBON)]
    assert ids == ["pick 0", "early", "pick 3"]
    late = NOW + timedelta(days=3, hours=8)
    picked = batch_and_move(7, picked_at=NOW + timedelta(days=3))
    then = book.with_changes(picked)
    # No cultivar was noted: that is the pick of any pawpaws, but not of the early ones.
    assert [pick.id for pick in still_expected(then, late, LISBON)] == ["early"]
    of_early = batch_and_move(7, picked_at=NOW + timedelta(days=3), cultivar_id="early")
    assert still_expected(book.with_changes(of_early), late, LISBON) == []
    pears = batch_and_move(7, picked_at=NOW + timedelta(days=3), crop="pear")
    assert len(still_expected(book.with_changes(pears), late, LISBON)) == 2


def test_what_nothing_is_known_of_is_left_out() -> None:
    unknown = replace(expected(2), id="unknown", crop="medlar")
    nowhere = replace(expected(2), id="nowhere", place_id="gone")
    empty = replace(expected(2), id="empty", count=0)
    book = farm_book(*WANTED, unknown, nowhere, empty)
    assert with_expected(SeasonState(book, CROPS, NOW, LISBON)) == (book, {})
    assert planned(book).lines == ()


def test_a_pick_of_today_is_there_from_noon_or_from_now() -> None:
    for now, at in ((NOW, 12), (NOW.replace(hour=14), 15)):
        made, found = with_expected(SeasonState(farm_book(expected(0)), CROPS, now, LISBON))
        (batch,) = (made.batches[key] for key in found)
        assert isinstance(batch, Batch)
        assert batch.picked_at.astimezone(LISBON).hour == at


def test_what_comes_after_the_last_market_is_no_matter() -> None:
    assert planned(farm_book(*WANTED, expected(20))).lines == ()
    assert planned(farm_book(expected(2))).lines == ()


def test_likely_picks_hang_on_no_order_of_records() -> None:
    """Undo puts a batch back at the end, and a file that is opened again in another place."""
    records = [
        record
        for n, place_id in enumerate((ROOM, COLD))
        for record in batch_and_move(n, picked_at=NOW - timedelta(days=n + 1), place_id=place_id)
    ]
    one, other = farm_book(*records), farm_book(*records[2:], *records[:2])
    assert list(one.batches) == list(other.batches)[::-1]
    likely, again = (likely_picks(SeasonState(b, CROPS, NOW, LISBON)) for b in (one, other))
    assert likely
    assert likely == again
