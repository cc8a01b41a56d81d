"""What is expected of hypothetical journeys is what is said of them once they are written down."""

import tracemalloc
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from functools import partial
from itertools import product
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.planning.itineraries import Journeys
from ripenroom.records.batch import Move
from ripenroom.records.book import Book, Record
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.place import Place
from ripenroom.season.forecast import supply
from ripenroom.season.moments import to_hours
from ripenroom.season.plans.journey_outlook import (
    SECOND_GRADE_H,
    JourneyOutlook,
    SaleTimes,
    blocks_of,
)
from ripenroom.season.projector import Projector
from tests.draws import first_every_day, one_in
from tests.season.farm import COLD, NOW, ROOM, SHELF, batch_and_move, book_of, farm_records, market

DAYS = (3.0, 6.0, 8.0, 15.0)
WITHIN = (5, 0, None, 0)


@pytest.mark.parametrize(
    ("crop", "pull_days", "target"),
    one_in(
        5,
        list(product(("pawpaw", "pear", "anjou", "kiwifruit"), (None, 0.4, 4.4), (ROOM, SHELF))),
    ),
)
def test_shares_are_those_of_the_supply(crop: str, pull_days: float | None, target: str) -> None:
    firm = crop != "pawpaw"
    batch, move = batch_and_move(
        1,
        COLD,
        crop=crop,
        pulp_c=25.0,
        feel_counts=(20, 0, 0, 0, 0) if firm else (0, 20, 0, 0, 0),
        picked_at=NOW - timedelta(days=40 if crop == "anjou" else 1),
    )
    days: list[Record] = []
    for ahead, within in zip(DAYS, WITHIN, strict=True):
        day, wants = market(ahead, {crop: 30}, eat_within_days=within)
        days += [day, *wants]
    book = book_of(*farm_records(), batch, move, *days)
    projector = Projector(shipped_profiles(), ZoneInfo("Europe/Lisbon"))
    lines = projector.outlook(book, NOW).lines
    in_order = sorted(book.market_days.values(), key=lambda day: day.starts_at)
    look = JourneyOutlook(projector, book, NOW, lines).looking_at(SaleTimes.at_markets(in_order))
    at = None if pull_days is None else NOW + timedelta(days=pull_days)
    journeys = Journeys(
        np.zeros(2, np.intp),
        np.array([np.nan, np.nan if at is None else to_hours(at)]),
        np.full(2, lines.place_ids.index(target)),
    )
    expected = look(journeys).expected()

    assert pull_days is None or 0.0 < expected.max() < 1.0
    pulled = [Move(id="pull", batch_id=batch.id, at=at, place_id=target)] if at else []
    for line, moves in enumerate(([], pulled)):
        written = book.with_changes(moves)
        outlook = Projector(shipped_profiles(), ZoneInfo("Europe/Lisbon")).outlook(written, NOW)
        said = [found.ready / 20.0 for found in supply(outlook, written, projector.constants)]
        assert expected[line] == pytest.approx(said, abs=2e-4)


@pytest.mark.parametrize("crop", ["pawpaw", "pear"])
def test_a_rough_look_sees_about_the_same(crop: str) -> None:
    feels = (0, 20, 0, 0, 0) if crop == "pawpaw" else (20, 0, 0, 0, 0)
    batch, move = batch_and_move(1, COLD, crop=crop, feel_counts=feels)
    day_records = [market(ahead, {crop: 30}, eat_within_days=2) for ahead in DAYS]
    days: list[Record] = []
    for day, wants in day_records:
        days += [day, *wants]
    book = book_of(*farm_records(), batch, move, *days)
    projector = Projector(shipped_profiles(), ZoneInfo("Europe/Lisbon"))
    lines = projector.outlook(book, NOW).lines
    in_order = sorted(book.market_days.values(), key=lambda day: day.starts_at)
    sales, foresight = SaleTimes.at_markets(in_order), JourneyOutlook(projector, book, NOW, lines)
    pulls = np.arange(0.5, 14.0)
    journeys = Journeys(
        np.zeros(pulls.size, np.intp),
        to_hours(NOW) + 24.0 * pulls,
        np.full(pulls.size, lines.place_ids.index(ROOM)),
    )
    exact = foresight.looking_at(sales)(journeys).expected()
    rough = foresight.looking_at(sales, rough=True)(journeys).expected_roughly()
    assert exact.max() > 0.2
    assert np.abs(rough - exact).mean() < 0.05
    # As if pulp settled at once: on an evening on which much changes by the hour that is a lot.
    assert np.abs(rough - exact).max() < 0.5


@pytest.mark.parametrize("crop", ["pawpaw", "pear"])
def test_two_moves_are_as_if_both_were_written_down(crop: str) -> None:
    firm = crop != "pawpaw"
    feel = (20, 0, 0, 0, 0) if firm else (0, 20, 0, 0, 0)
    batch, move = batch_and_move(1, ROOM, crop=crop, feel_counts=feel)
    days: list[Record] = []
    for ahead in DAYS:
        day, wants = market(ahead, {crop: 30})
        days += [day, *wants]
    book = book_of(*farm_records(), batch, move, *days)
    projector = Projector(shipped_profiles(), ZoneInfo("Europe/Lisbon"))
    lines = projector.outlook(book, NOW).lines
    foresight = JourneyOutlook(projector, book, NOW, lines)
    away, back = NOW + timedelta(days=0.4), NOW + timedelta(days=4.4)
    number = {key: n for n, key in enumerate(lines.place_ids)}
    journeys = Journeys(
        np.zeros(1, np.intp),
        np.array([to_hours(back)]),
        np.array([number[SHELF]]),
        np.array([to_hours(away)]),
        np.array([number[COLD]]),
    )
    in_order = sorted(book.market_days.values(), key=lambda day: day.starts_at)
    expected = foresight.looking_at(SaleTimes.at_markets(in_order))(journeys).expected()
    written = book.with_changes(
        [
            Move(id="away", batch_id=batch.id, at=away, place_id=COLD),
            Move(id="back", batch_id=batch.id, at=back, place_id=SHELF),
        ]
    )
    outlook = Projector(shipped_profiles(), ZoneInfo("Europe/Lisbon")).outlook(written, NOW)
    said = [found.ready / 20.0 for found in supply(outlook, written, projector.constants)]
    assert expected[0] == pytest.approx(said, abs=2e-4)
    closes_h = foresight.closes_h(journeys)
    assert closes_h == pytest.approx(outlook.eat_by.closes.mid, nan_ok=True, abs=0.01)


def test_second_grade_takes_what_is_ripe_or_past_for_two_days() -> None:
    batch, move = batch_and_move(1, ROOM, feel_counts=(0, 0, 0, 20, 0))
    book = book_of(*farm_records(), batch, move)
    projector = Projector(shipped_profiles(), ZoneInfo("Europe/Lisbon"))
    outlook = projector.outlook(book, NOW)
    evenings = to_hours(NOW) + 24.0 * np.arange(1.0, 12.0)
    look = JourneyOutlook(projector, book, NOW, outlook.lines).looking_at(
        SaleTimes.of_second_grade(evenings)
    )
    journey = Journeys(np.zeros(1, np.intp), np.array([np.nan]), outlook.lines.stays.place[:, -1])
    share = look(journey).expected()[0]
    ready, past = outlook.shares(evenings)
    _, past_before = outlook.shares(evenings - SECOND_GRADE_H)
    assert share == pytest.approx((ready + past - past_before)[0], abs=1e-6)
    assert (share >= ready[0] - 1e-9).all()
    assert share[-1] < 0.2


def _hopping(hops: int, batches: int, crop: str = "pawpaw", swing_k: float = 0.0) -> Book:
    """Batches that stay where they were picked, the first but moved so often, and a market day."""
    records: list[Record] = []
    for number in range(1, batches + 1):
        batch, move = batch_and_move(number, COLD, pulp_c=25.0, crop=crop)
        records += [batch, move]
        for hop in range(hops if number == 1 else 0):
            at = batch.picked_at + timedelta(minutes=10 + 10 * hop)
            place = SHELF if hop % 2 else ROOM
            records.append(Move(id=f"hop {hop}", batch_id=batch.id, at=at, place_id=place))
    for ahead in DAYS:
        day, wants = market(ahead, {crop: 30})
        records += [day, *wants]
    farm = [
        replace(one, daily_swing_k=swing_k) if isinstance(one, Place) else one
        for one in farm_records()
    ]
    return book_of(*farm, *records)


def _on_their_way(book: Book, journeys: int) -> tuple[JourneyOutlook, Journeys, SaleTimes]:
    projector = Projector(shipped_profiles(), ZoneInfo("Europe/Lisbon"))
    lines = projector.outlook(book, NOW).lines
    days = sorted(book.market_days.values(), key=lambda day: day.starts_at)
    batch = np.arange(journeys, dtype=np.intp) % len(lines.ids)
    move_h = to_hours(NOW) + 1.0 + np.arange(journeys, dtype=np.float64) % 100.0
    place = np.full(journeys, lines.place_ids.index(SHELF))
    foresight = JourneyOutlook(projector, book, NOW, lines)
    return foresight, Journeys(batch, move_h, place), SaleTimes.at_markets(days)


def _first(journeys: Journeys, few: int) -> Journeys:
    return Journeys(journeys.batch[:few], journeys.move_h[:few], journeys.place[:few])


def _most_bytes(job: Callable[[], object]) -> int:
    job()  # Clocks are made once.
    tracemalloc.start()
    job()
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return most


def test_journeys_are_the_same_in_one_go_and_by_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    foresight, journeys, sales = _on_their_way(_hopping(9, 7), 60)
    look = foresight.looking_at(sales)
    whole, closes_h = look(journeys), foresight.closes_h(journeys)
    monkeypatch.setattr("ripenroom.season.plans.journey_outlook.CELLS", 700)
    assert len(list(blocks_of(np.full(60, 120), 700))) > 10
    parts = look(journeys)
    assert parts.expected() == pytest.approx(whole.expected(), abs=1e-9)
    assert parts.ripe_ago == pytest.approx(whole.ripe_ago, abs=1e-9)
    assert foresight.closes_h(journeys) == pytest.approx(closes_h, abs=1e-6)


@pytest.mark.parametrize("swing_k", [0.0, 4.0])
@pytest.mark.parametrize("crop", first_every_day(["pear", "pawpaw", "anjou"]))
def test_stays_told_as_one_change_nothing(
    crop: str, swing_k: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = _hopping(40, 3, crop=crop, swing_k=swing_k)
    monkeypatch.setattr("ripenroom.season.histories.MANY_STAYS", 99)
    foresight, journeys, sales = _on_their_way(book, 90)
    one_by_one, closes_h = foresight.looking_at(sales)(journeys), foresight.closes_h(journeys)
    monkeypatch.setattr("ripenroom.season.histories.MANY_STAYS", 6)
    foresight, journeys, sales = _on_their_way(book, 90)
    as_one = foresight.looking_at(sales)(journeys)
    assert np.ptp(one_by_one.at_start) > 0.1
    # Pulp under way across a swing is followed more closely as one.
    within = 2e-3 if swing_k else 1e-4
    assert as_one.at_start == pytest.approx(one_by_one.at_start, abs=within)
    assert as_one.at_horizon == pytest.approx(one_by_one.at_horizon, abs=within)
    assert as_one.ripe_ago == pytest.approx(one_by_one.ripe_ago, abs=0.01)
    assert as_one.expected() == pytest.approx(one_by_one.expected(), abs=10.0 * within)
    assert foresight.closes_h(journeys) == pytest.approx(closes_h, abs=0.5)


@pytest.mark.long
def test_memory_is_bounded_however_many_journeys_are_looked_at(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """2,000 journeys of a batch of 50 moves once took 268 MB, 1,000 half as much."""
    book = _hopping(49, 1)
    foresight, journeys, sales = _on_their_way(book, 2_000)
    as_one = _most_bytes(partial(foresight.looking_at(sales), journeys))
    monkeypatch.setattr("ripenroom.season.histories.MANY_STAYS", 99)
    foresight, journeys, sales = _on_their_way(book, 2_000)
    look = foresight.looking_at(sales)
    few = _most_bytes(lambda: look(_first(journeys, 1_000)))
    many = _most_bytes(lambda: look(journeys))
    assert many < 200_000_000
    assert many < 1.4 * few
    assert as_one < many / 4.0


def test_a_batch_that_is_moved_often_costs_no_memory_for_the_others() -> None:
    plain, often = (
        _most_bytes(partial(foresight.looking_at(sales), journeys))
        for foresight, journeys, sales in (
            _on_their_way(_hopping(hops, 60), 6_000) for hops in (0, 49)
        )
    )
    assert often < 1.7 * plain


@given(st.lists(st.integers(1, 30), max_size=40), st.integers(1, 100))
def test_blocks_cover_all_lines_and_are_no_larger_than_they_may(
    cells: list[int], most: int
) -> None:
    blocks = list(blocks_of(np.array(cells, np.intp), most))
    assert [n for block in blocks for n in range(len(cells))[block]] == list(range(len(cells)))
    for block in blocks:
        own = cells[block]
        assert len(own) <= 1 or len(own) * max(own) <= most
