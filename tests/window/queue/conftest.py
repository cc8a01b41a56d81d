"""Scenes made of plain columns, without a season file."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from ripenroom.planning.evaluate import PlanOutcome, SampledRange
from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.market import ExpectedPick, MarketDay
from ripenroom.records.place import Place
from ripenroom.records.season import SeasonDetails
from ripenroom.season.moments import to_hours
from ripenroom.season.plans.plan import Plan, PlannedItinerary, PlannedMarket, PlannedMove
from ripenroom.season.projection import EndCause, FruitState, Projection, Ranged, Supply
from ripenroom.window.queue.batch_order import Filter, Shown, SortBy, arrange, facts_of
from ripenroom.window.queue.queue_plan import planned_of
from ripenroom.window.queue.scene import Scene, bands_of, expected_of
from ripenroom.wording.formats import Formats

ZONE = ZoneInfo("America/New_York")
NOW = datetime(2026, 9, 24, 9, 0, tzinfo=ZONE)
NOW_H = to_hours(NOW)
CROPS = {
    "pawpaw": shipped_profiles()["pawpaw"],
    "pear": replace(shipped_profiles()["pear"], name="European pear"),
}


def buyers_days(day: MarketDay, crop: str) -> float:
    """At the village market a crop is eaten within three days, at the fair the same day."""
    return 3.0 if day.name == "Village market" else 0.0


MakeProjection = Callable[..., Projection]
MakeScene = Callable[..., Scene]


def season_record() -> SeasonDetails:
    return SeasonDetails(
        id="7d8f4c1e-52a3-4b0e-9c6d-0a1b2c3d4e5f",
        name="Test farm",
        zone=ZONE.key,
        first_day=date(2026, 9, 1),
        units="metric",
        currency="USD",
        practice_now=NOW.astimezone(UTC),
    )


@pytest.fixture
def words() -> Formats:
    return Formats("en_US", season_record(), ZONE)


@pytest.fixture
def make_projection() -> MakeProjection:
    """A projection of windows given as (opens, closes) in days from now, a range on each side."""

    def make(
        windows: Sequence[tuple[float, float]],
        spread_days: float = 0.5,
        left: Sequence[float] | None = None,
        shift_days: float = 0.0,
    ) -> Projection:
        count = len(windows)
        opens = NOW_H + 24.0 * (np.array([w[0] for w in windows], dtype=float) + shift_days)
        closes = NOW_H + 24.0 * (np.array([w[1] for w in windows], dtype=float) + shift_days)
        spread = spread_days * 24.0

        def ranged(mid: np.ndarray, half: float) -> Ranged:
            return Ranged(mid - half, mid, mid + half)

        state = np.where(opens > NOW_H, FruitState.HOLDING, FruitState.READY)
        state = np.where(closes <= NOW_H, FruitState.PAST, state)
        state = np.where(np.isnan(closes), FruitState.WONT_RIPEN, state)
        ids = tuple(f"batch-{n}" for n in range(count))
        return Projection(
            at_h=NOW_H,
            batch_ids=ids,
            line_of={batch_id: n for n, batch_id in enumerate(ids)},
            left=np.array(left if left is not None else [20.0 + n for n in range(count)]),
            first_ready_h=ranged(opens - 12.0, spread),
            opens_h=ranged(opens, spread),
            best_h=ranged((opens + closes) / 2.0, spread),
            closes_h=ranged(closes, spread),
            end_cause=np.full(count, EndCause.TOO_SOFT, dtype=np.int8),
            ready_at_best=ranged(np.full(count, 0.8), 0.1),
            wont_ripen=np.full(count, 0.1),
            chilling_used=np.zeros(count),
            chilling_out_h=np.full(count, np.nan),
            frozen_h=np.full(count, np.nan),
            state=state.astype(np.int8),
            uneven=np.zeros(count, dtype=bool),
            gate_opens_h=np.full(count, np.nan),
            gate_done=np.full(count, np.nan),
            gate_times=np.full(count, np.nan),
            squeeze_again_h=np.full(count, np.nan),
        )

    return make


@pytest.fixture
def make_book() -> Callable[..., Book]:
    """Batches that lie in two places by turns, crops by turns, and market days some days ahead."""

    def make(batches: int, market_days: Mapping[int, str] | None = None) -> Book:
        records: list[Batch | Move | Place | MarketDay] = [
            Place(id="cold", name="Cold room", kind="cold room", half_cooling_h=8.0),
            Place(id="shelf", name="Cellar shelf", kind="cool shelf", half_cooling_h=8.0),
        ]
        for n in range(batches):
            picked = NOW - timedelta(days=3, minutes=n)
            batch_id = f"batch-{n}"
            crop = ("pawpaw", "pear")[n % 2]
            records.append(
                Batch(
                    id=batch_id,
                    code=f"P-0921-{n + 1}",
                    crop=crop,
                    picked_at=picked.astimezone(UTC),
                    count=20 + n,
                )
            )
            place = ("cold", "shelf")[n % 2]
            records.append(
                Move(id=f"move-{n}", batch_id=batch_id, at=picked.astimezone(UTC), place_id=place)
            )
        for days, name in (market_days or {}).items():
            starts = (NOW + timedelta(days=days)).astimezone(UTC)
            records.append(MarketDay(id=f"day-{days}", name=name, kind="market", starts_at=starts))
        return Book(season_record()).with_changes(records)

    return make


@pytest.fixture
def make_scene(make_book: Callable[..., Book], make_projection: MakeProjection) -> MakeScene:
    """A scene of these windows, sorted and filtered."""

    def make(
        windows: Sequence[tuple[float, float]],
        market_days: Mapping[int, str] | None = None,
        supplies: Sequence[Supply] = (),
        sort_by: SortBy = SortBy.CLOSES,
        keep: Filter | None = None,
        **columns: object,
    ) -> Scene:
        projection = make_projection(windows, **columns)
        book = make_book(len(windows), market_days)
        facts = facts_of(book, projection.batch_ids, NOW, CROPS)
        return Scene(
            projection=projection,
            facts=facts,
            order=arrange(projection, facts, sort_by, keep or Filter(shown=Shown.ALL)),
            bands=bands_of(book, supplies, ZONE),
            zone=ZONE,
            crops=CROPS,
        )

    return make


def line(batch_id: str, **said: object) -> PlannedItinerary:
    """A planned line: a crate that waits in the cold room and is sold on Saturday."""
    usual: dict[str, object] = {
        "crates": 1,
        "from_place_id": "cold",
        "pull_at": None,
        "to_place_id": "cold",
        "market_day_id": "day-2",
        "expected_ready_share": 0.78,
        "expected_value_minor": 1000.0,
        "fruit": 20.0,
    }
    return PlannedItinerary(batch_id=batch_id, **{**usual, **said})  # type: ignore[arg-type]


def pulled_line(batch_id: str, days: float, **said: object) -> PlannedItinerary:
    """A planned line that is pulled on an evening (whole days from now) into the cellar."""
    at = (NOW + timedelta(days=days)).replace(hour=18)
    steps = (PlannedMove(at, "shelf"),)
    return line(batch_id, pull_at=at, to_place_id="shelf", steps=steps, **said)


def plan_of(*lines: PlannedItinerary, markets: Sequence[PlannedMarket] = ()) -> Plan:
    """A plan of these lines."""
    none = PlanOutcome(SampledRange(0, 0, 0), SampledRange(0, 0, 0), SampledRange(0, 0, 0))
    return Plan(lines, 0.0, none, none, none, none, none, tuple(markets), NOW)


MakePlanned = Callable[..., Scene]


@pytest.fixture
def make_planned(make_scene: MakeScene, make_book: Callable[..., Book]) -> MakePlanned:
    """A scene of as many batches with a market on Saturday and one a week later, planned so."""

    def make(
        batches: int,
        *lines: PlannedItinerary,
        markets: Sequence[PlannedMarket] = (),
        supplies: Sequence[Supply] = (),
        expected: Sequence[ExpectedPick] = (),
    ) -> Scene:
        days = {2: "Village market", 9: "Harvest fair"}
        scene = make_scene([(1.0, 5.0 + n) for n in range(batches)], days, supplies)
        book = make_book(batches, days).with_changes(expected)
        return replace(
            scene,
            planned=planned_of(plan_of(*lines, markets=markets), book, buyers_days),
            expected=expected_of(book, NOW.date(), CROPS, Filter(), ZONE),
        )

    return make
