"""What must hold of every projection, whatever was written down."""

from collections.abc import Sequence
from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from ripenroom.records.batch import Batch, FeelCounts, Move
from ripenroom.records.book import Book, Record
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.place import Place, SetPointChange
from ripenroom.season.moments import to_hours
from ripenroom.season.projection import EndCause, FruitState, Projection, Ranged
from ripenroom.season.projector import Projector
from ripenroom.units import force_in
from tests.draws import one_in
from tests.season.farm import NOW, batch_and_move, book_of
from tests.season.same import assert_same_projection

LISBON = ZoneInfo("Europe/Lisbon")
CROPS = tuple(shipped_profiles())
SOFTENING = [
    key
    for key, crop in shipped_profiles().items()
    if crop.judged_by != "nothing"
    and crop.gate is None
    and crop.firmness.ready_n.value < crop.firmness.at_maturity_n.value
]
"""Crops picked unready that ripen the faster the warmer; of gates see test_gate_constants.py."""


def project(book: Book, now: datetime = NOW, zone: ZoneInfo = LISBON) -> Projection:
    projector = Projector(shipped_profiles(), zone)
    return projector.projection(projector.outlook(book, now), now)


def place(key: str, celsius: float, **given: Any) -> tuple[Place, SetPointChange]:
    facts: dict[str, Any] = {"name": key, "kind": "cold room", "half_cooling_h": 5.0}
    began = datetime(2026, 8, 1, tzinfo=UTC)
    change = SetPointChange(id=f"set {key}", place_id=key, at=began, set_point_c=celsius)
    return Place(id=key, **{**facts, **given}), change


def any_season(seed: int, batches: int = 300) -> Book:
    """Batches of all crops, known by feel, gauge or not at all, moved about among odd places."""
    rng = np.random.default_rng(seed)
    records: list[Record] = []
    for number, celsius in enumerate((-1.0, 1.5, 4.0, 8.0, 13.0, 19.0, 24.0, 31.0)):
        swing = float(rng.choice([0.0, 2.0, 8.0]))
        records += place(f"p{number}", celsius, daily_swing_k=swing)
    for number in range(batches):
        crop = str(rng.choice(CROPS))
        profile = shipped_profiles()[crop]
        known: dict[str, Any] = {"count": int(rng.integers(1, 200)), "feel_counts": None}
        kind = rng.integers(4)
        if kind == 0:
            known["feel_counts"] = tuple(rng.integers(0, 12, size=5).tolist())
        elif kind == 1:
            only = [0] * 5
            only[rng.integers(5)] = known["count"]
            known["feel_counts"] = tuple(only)
        elif kind == 2:
            low, high = profile.firmness.lowest_n.low, profile.firmness.highest_n.high
            readings = rng.uniform(low, high, size=rng.integers(1, 12))
            unit = str(rng.choice(["N", "kgf", "lbf"]))
            known["readings"] = tuple(force_in(float(n), unit) for n in readings)  # type: ignore[arg-type]
            known["reading_unit"] = unit
        else:
            known |= {"count": None, "weight_kg": float(rng.uniform(0.01, 500.0))}
        if number == 0:  # one that won't ripen is in every season, however the others are drawn
            crop, known = "pawpaw", {"count": 30, "feel_counts": (30, 0, 0, 0, 0)}
        if rng.random() < 0.5:
            known["pulp_c"] = float(rng.uniform(-2.0, 45.0))
        picked = NOW - timedelta(hours=int(rng.integers(0, 1200)))
        batch, first = batch_and_move(
            number, f"p{rng.integers(8)}", crop=crop, picked_at=picked, **known
        )
        records += (batch, first)
        at = picked
        for step in range(rng.integers(0, 4)):
            at += timedelta(hours=int(rng.integers(1, 400)))
            where = f"p{rng.integers(8)}"
            records.append(Move(id=f"{batch.id}/{step}", batch_id=batch.id, at=at, place_id=where))
    return book_of(*records)


@pytest.fixture(scope="module", params=[1, 2, 3])
def any_projection(request: pytest.FixtureRequest) -> Projection:
    return project(any_season(request.param))


def not_after(sooner: np.ndarray, later: np.ndarray, slack_h: float = 0.1) -> bool:
    """Whether no date of the first column is after that of the second, where both come."""
    both = np.isfinite(sooner) & np.isfinite(later)
    return bool((sooner[both] <= later[both] + slack_h).all())


def test_all_columns_are_as_long_as_the_list_of_batches(any_projection: Projection) -> None:
    size = (300,)
    assert len(any_projection.batch_ids) == len(any_projection.line_of) == 300
    assert all(
        any_projection.batch_ids[line] == batch_id
        for batch_id, line in any_projection.line_of.items()
    )
    for field in fields(Projection):
        value = getattr(any_projection, field.name)
        if isinstance(value, Ranged):
            assert value.low.shape == value.mid.shape == value.high.shape == size, field.name
        elif isinstance(value, np.ndarray):
            assert value.shape == size, field.name


def test_ranges_hold_their_estimate(any_projection: Projection) -> None:
    p = any_projection
    for ranged in (p.first_ready_h, p.opens_h, p.best_h, p.closes_h, p.ready_at_best):
        assert not_after(ranged.low, ranged.mid)
        assert not_after(ranged.mid, ranged.high)
        never = np.isnan(ranged.mid)
        assert np.isnan(ranged.low[never]).all()
        assert np.isnan(ranged.high[never]).all()
        assert np.isfinite(ranged.low[~never]).all()


def test_dates_come_in_their_order(any_projection: Projection) -> None:
    p = any_projection
    picked = np.array([to_hours(NOW) - 1200.0])
    assert not_after(np.broadcast_to(picked, p.opens_h.mid.shape), p.first_ready_h.low)
    assert not_after(p.first_ready_h.mid, p.opens_h.mid)
    assert not_after(p.opens_h.mid, p.best_h.mid)
    assert not_after(p.opens_h.mid, p.closes_h.mid)
    opens = np.isfinite(p.opens_h.mid)
    assert (np.isfinite(p.best_h.mid) == opens).all()
    assert np.isfinite(p.closes_h.mid[opens]).all()
    assert (np.isfinite(p.ready_at_best.mid) == opens).all()


def test_the_best_day_is_inside_the_window(any_projection: Projection) -> None:
    assert not_after(any_projection.best_h.mid, any_projection.closes_h.mid)


def test_shares_are_shares(any_projection: Projection) -> None:
    p = any_projection
    for share in (p.wont_ripen, p.ready_at_best.low, p.ready_at_best.high):
        known = share[np.isfinite(share)]
        assert ((known >= 0.0) & (known <= 1.0 + 1e-9)).all()
    assert (p.chilling_used >= 0.0).all()
    assert np.isfinite(p.chilling_used).all()
    assert (p.left >= 0.0).all()


def test_states_follow_from_the_dates(any_projection: Projection) -> None:
    p = any_projection
    ripens = p.wont_ripen <= 0.5
    with np.errstate(invalid="ignore"):
        past = p.closes_h.mid <= p.at_h
        ready = (p.opens_h.mid <= p.at_h) & ~past
    assert (p.state[~ripens] == FruitState.WONT_RIPEN).all()
    assert (p.state[ripens & past] == FruitState.PAST).all()
    assert (p.state[ripens & ready] == FruitState.READY).all()
    assert (p.state[ripens & ~ready & ~past] == FruitState.HOLDING).all()
    assert {FruitState.WONT_RIPEN, FruitState.HOLDING, FruitState.READY, FruitState.PAST} == set(
        p.state.tolist()
    )


def test_causes_fit_the_dates(any_projection: Projection) -> None:
    p = any_projection
    never = p.end_cause == EndCause.NEVER_READY
    assert np.isnan(p.closes_h.mid[never]).all()
    chilled = p.end_cause == EndCause.CHILLING
    # Ends within an hour of each other are one, named by the first cause in the list.
    np.testing.assert_allclose(p.closes_h.mid[chilled], p.chilling_out_h[chilled], rtol=0, atol=1.0)
    assert not_after(p.closes_h.mid, p.chilling_out_h)


def opening_at(celsius: float, crop: str, feel: FeelCounts) -> float:
    """When fruit that waits at a temperature opens (h); inf for never."""
    records = place("there", celsius)
    book = book_of(*records, *batch_and_move(1, "there", crop=crop, feel_counts=feel))
    opens = float(project(book).opens_h.mid[0])
    return opens if np.isfinite(opens) else np.inf


@pytest.mark.parametrize("crop", one_in(3, SOFTENING))
@pytest.mark.parametrize("feel", [(20, 0, 0, 0, 0), (0, 20, 0, 0, 0), (0, 5, 15, 0, 0)])
def test_warmer_never_opens_later(crop: str, feel: FeelCounts) -> None:
    if crop == "pawpaw" and feel[0]:
        feel = (5, 15, 0, 0, 0)  # hard pawpaws hardly ever ripen, and have no dates
    # Up to 24 C: beyond, heat slows ripening down again.
    opens = [opening_at(celsius, crop, feel) for celsius in range(0, 25, 2)]
    assert opens == sorted(opens, reverse=True)
    assert np.isfinite(opens[-1])


def opening_after_move(celsius: float, crop: str) -> float:
    # Hard pawpaws hardly ever ripen, and have no dates.
    feel = (5, 15, 0, 0, 0) if crop == "pawpaw" else (20, 0, 0, 0, 0)
    batch, first = batch_and_move(1, "cool", crop=crop, feel_counts=feel)
    later = Move(id="later", batch_id=batch.id, at=NOW + timedelta(hours=6), place_id="there")
    book = book_of(*place("cool", 14.0), *place("there", celsius), batch, first, later)
    opens = float(project(book).opens_h.mid[0])
    return opens if np.isfinite(opens) else np.inf


@pytest.mark.parametrize("crop", SOFTENING)
def test_a_pull_to_warmer_opens_sooner_and_to_colder_later(crop: str) -> None:
    opens = [opening_after_move(celsius, crop) for celsius in (2.0, 6.0, 13.0, 15.0, 20.0, 23.0)]
    assert opens == sorted(opens, reverse=True)
    ever = [at_h for at_h in opens if np.isfinite(at_h)]
    assert len(set(ever)) == len(ever) >= 2


def test_warm_pulp_is_ahead_of_cold_pulp() -> None:
    books = [
        book_of(*place("cold", 8.0), *batch_and_move(1, "cold", pulp_c=pulp, crop="pear"))
        for pulp in (4.0, None, 16.0, 28.0)
    ]
    closes = [float(project(book).closes_h.mid[0]) for book in books]
    assert closes == sorted(closes, reverse=True)
    assert closes[0] - closes[-1] > 2.0


@pytest.mark.parametrize("zone", ["UTC", "America/New_York", "Pacific/Auckland"])
def test_a_clock_change_is_no_jump_in_age(zone: str) -> None:
    picked = datetime(2026, 10, 22, 9, tzinfo=LISBON).astimezone(UTC)
    records = (*place("room", 18.0), *batch_and_move(1, "room", picked_at=picked))
    now = picked + timedelta(days=7)
    at_home = project(book_of(*records), now, LISBON)
    elsewhere = project(book_of(*records, zone=zone), now, ZoneInfo(zone))
    assert_same_projection(at_home, elsewhere)


def test_a_week_across_the_clock_change_is_as_long_as_any_other() -> None:
    def hours_to_opening(day: datetime) -> float:
        picked = day.astimezone(UTC)
        records = (*place("room", 18.0), *batch_and_move(1, "room", picked_at=picked))
        return float(project(book_of(*records), picked).opens_h.mid[0]) - to_hours(picked)

    across = hours_to_opening(datetime(2026, 10, 22, 9, tzinfo=LISBON))
    before = hours_to_opening(datetime(2026, 10, 8, 9, tzinfo=LISBON))
    assert across == pytest.approx(before, abs=1e-3)


def test_one_projector_follows_a_book_as_it_changes() -> None:
    """What is kept from one book to the next never shows."""
    projector = Projector(shipped_profiles(), LISBON)
    book = any_season(4, batches=40)
    for step in range(6):
        old = book.batches[f"batch {step}"]
        changed: list[Record] = [replace(old, feel_counts=(0, 0, 9, 0, 0), readings=())]
        changed += place(f"p{step}", 5.0 + 3.0 * step, half_cooling_h=4.0 + step)
        gone = book.batches[f"batch {step + 20}"]
        lost: list[Record] = [m for m in book.moves.values() if m.batch_id == gone.id]
        book = book.with_changes(changed, [*lost, gone])
        now = NOW + timedelta(hours=9 * step)
        kept = projector.projection(projector.outlook(book, now), now)
        assert_same_projection(kept, project(book, now))


def test_every_batch_alone_is_as_it_is_among_others() -> None:
    book = any_season(5, batches=30)
    together = project(book)
    for batch in book.batches.values():
        moves = {key: m for key, m in book.moves.items() if m.batch_id == batch.id}
        alone = project(replace(book, batches={batch.id: batch}, moves=moves))
        line = together.line_of[batch.id]
        for name in ("first_ready_h", "opens_h", "best_h", "closes_h", "ready_at_best"):
            for part in ("low", "mid", "high"):
                of_all = getattr(getattr(together, name), part)[line]
                of_one = getattr(getattr(alone, name), part)[0]
                # Two months after its last move the hours of a day are no longer told apart.
                slack = 0.01 if name == "ready_at_best" else 3.0
                np.testing.assert_allclose(of_all, of_one, atol=slack, err_msg=f"{name}.{part}")


def readings_batch(readings: Sequence[float]) -> tuple[Batch, Move]:
    return batch_and_move(
        1, "room", feel_counts=None, readings=tuple(readings), reading_unit="N", probe_mm=8.0
    )


@pytest.mark.parametrize(
    "readings", [(69.9,), (50.0, 50.0), (1.51,), (2.5, 2.5), (1.6, 69.0), (0.001,)]
)
def test_readings_at_and_beyond_the_ends_of_the_curve_give_dates(
    readings: tuple[float, ...],
) -> None:
    p = project(book_of(*place("room", 20.0), *readings_batch(readings)))
    assert 0.0 <= p.wont_ripen[0] <= 1.0
    never = p.end_cause[0] == EndCause.NEVER_READY
    assert np.isfinite(p.closes_h.mid[0]) != never


def test_firmer_readings_never_ripen_more_surely_or_sooner() -> None:
    found = [
        project(book_of(*place("room", 20.0), *readings_batch([newton] * 9)))
        for newton in (30.0, 40.0, 44.0, 46.0, 48.0, 50.0, 55.0, 60.0, 69.9)
    ]
    wont_ripen = [float(p.wont_ripen[0]) for p in found]
    assert wont_ripen == sorted(wont_ripen)
    assert wont_ripen[0] < 0.01
    assert wont_ripen[-1] > 0.95
    opens = [float(p.opens_h.mid[0]) for p in found if np.isfinite(p.opens_h.mid[0])]
    assert opens == sorted(opens)


def test_feels_that_are_all_zero_are_no_feels() -> None:
    records = place("room", 20.0)
    zeros = project(book_of(*records, *batch_and_move(1, "room", feel_counts=(0,) * 5)))
    none = project(book_of(*records, *batch_and_move(1, "room", feel_counts=None)))
    assert_same_projection(zeros, none)


def test_a_range_is_that_of_each_temperature_along_the_way() -> None:
    """Half of a banana's low, middle and high allowance at 5 C, then the rest of each at 10 C."""
    crop = shipped_profiles()["banana"]
    assert crop.chilling is not None
    at = {point.temperature_c: point.days for point in crop.chilling.allowance}
    cold, cool = at[5.0], at[10.0]
    batch, first = batch_and_move(1, "cold", crop="banana", feel_counts=None, pulp_c=5.0)
    after_days = cold.low / 2.0
    moved = first.at + timedelta(days=after_days)
    then = Move(id="then", batch_id=batch.id, at=moved, place_id="cool")
    places = (*place("cold", 5.0), *place("cool", 10.0, half_cooling_h=0.1))
    outlook = Projector(shipped_profiles(), LISBON).outlook(
        book_of(*places, batch, first, then), NOW
    )
    out = outlook.limits.chilling.out()
    for edge in ("low", "value", "high"):
        used = after_days / getattr(cold, edge)
        days = after_days + (1.0 - used) * getattr(cool, edge)
        found = getattr(out, "mid" if edge == "value" else edge)[0]
        assert (found - to_hours(first.at)) / 24.0 == pytest.approx(days, abs=0.05), edge


@pytest.mark.parametrize("seed", range(3))
def test_a_frame_of_a_drag_is_of_the_batches_in_sight(seed: int) -> None:
    book = any_season(seed)
    projector = Projector(shipped_profiles(), LISBON)
    whole = projector.projection(projector.outlook(book, NOW), NOW)
    place_id = min(book.places)
    in_sight = [*whole.batch_ids[::7], "gone meanwhile"]
    tried = projector.with_set_point(whole, book, NOW, place_id, 13.0)
    frame = projector.with_set_point(whole, book, NOW, place_id, 13.0, in_sight)
    seen = np.isin(whole.batch_ids, in_sight)
    for name in ("opens_h", "best_h", "closes_h"):
        for edge in ("low", "mid", "high"):
            now, then, both = (getattr(getattr(p, name), edge) for p in (frame, tried, whole))
            assert (np.isnan(now) == np.isnan(then))[seen].all()
            # A pixel is an hour or so. Clocks that stand still for hours are left by a rounding,
            # and rooms that nobody in sight is in are left out of the sums.
            off = np.abs(now - then)[seen & ~np.isnan(then)] > 0.05
            assert off.sum() <= 0.03 * off.size
            assert now[~seen] == pytest.approx(both[~seen], abs=0.0, rel=0.0, nan_ok=True)
    shown, exact = frame.ready_at_best.mid[seen], tried.ready_at_best.mid[seen]
    assert shown == pytest.approx(exact, abs=1e-3, nan_ok=True)
    assert frame.state[seen].tolist() == tried.state[seen].tolist()
