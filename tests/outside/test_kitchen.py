"""Fruit sold to be eaten within days, against fruit that is followed one by one to the kitchen.

The season says how old a batch is at its pick; from there on nothing of the program takes part. Two
hundred thousand fruit with rates and temperature slopes of their own are warmed and aged in
steps of minutes by the figures of the crop profiles, in the seller's place until the market begins
and on a counter of 20 C afterwards. Seeds are fixed; the sampling error (sd) of a share is 0.001.

A fruit on a counter warms half of the way in two hours (an estimate, as in the program); that a
kitchen has 20 C (68 F) is what produce guides mean by room temperature (common practice).
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from scipy.special import ndtr

from ripenroom.records.batch import FEELS
from ripenroom.records.book import new_id
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile, DaysAt, Figure
from ripenroom.records.entry import PickEntry
from ripenroom.records.market import MarketDay, MarketKind, Want
from ripenroom.records.place import Place
from ripenroom.records.season import SeasonDetails
from ripenroom.science.softening import Floats
from ripenroom.season import actions
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.projector import Projector
from ripenroom.season.season import Season
from tests.draws import one_in
from tests.season.plans.planning import plan_of

PICKED_AT = datetime(2025, 9, 10, 14, tzinfo=UTC)
COUNTER_C, COUNTER_HALF_COOLING_H = 20.0, 2.0
ROOM_HALF_COOLING_H = 6.0
STEP_H = 0.125
FRUIT_OF_A_SLOPE, SLOPES = 1_000, 200
SPREAD_80 = 2.0 * 1.2816
"""An 80 % range is so many standard deviations wide (any table of the normal distribution)."""

Stay = tuple[float, float]
"""Degrees Celsius, and days there."""


@dataclass(frozen=True)
class Sale:
    """Fruit of one feel, its way from the pick to a market, and how long its buyers take."""

    crop: str
    feel: str
    stays: Sequence[Stay]
    eaten_days: int | None = 3
    pulp_at_pick_c: float | None = None
    kind: MarketKind = "shop order"

    @property
    def market_days(self) -> float:
        """Days from the pick to the market."""
        return sum(days for _, days in self.stays)


@pytest.fixture
def living(tmp_path: Path) -> Iterator[Season]:
    season = SeasonDetails(
        id=new_id(),
        name="Outside",
        zone="America/New_York",
        first_day=date(2025, 8, 1),
        units="metric",
        currency="USD",
        practice_now=PICKED_AT,
    )
    opened = Season.create(tmp_path / "kitchen.ripenroom", season)
    yield opened
    opened.close()


def given(living: Season, sale: Sale) -> float:
    """The share that the season counts on for the market."""
    for number, (celsius, _) in enumerate(sale.stays):
        place = Place(
            id=str(number),
            name=f"Place {number}",
            kind="cold room",
            half_cooling_h=ROOM_HALF_COOLING_H,
        )
        living.do(actions.places.save, place, celsius)
    a, b, c, d, e = (20 if name == sale.feel else 0 for name in FEELS)
    (batch,) = living.do(
        actions.picks.add,
        PickEntry(
            crop=sale.crop,
            place_id="0",
            picked_at=PICKED_AT,
            count=20,
            feel_counts=(a, b, c, d, e),
            pulp_c=sale.pulp_at_pick_c,
        ),
    )
    leaves = PICKED_AT
    for number, (_, days) in enumerate(sale.stays[:-1], start=1):
        leaves += timedelta(days=days)
        living.do(actions.moves.move, [batch.id], str(number), leaves)
    day = MarketDay(
        id=new_id(),
        name="Shop",
        kind=sale.kind,
        starts_at=PICKED_AT + timedelta(days=sale.market_days),
        eat_within_days=sale.eaten_days,
    )
    want = Want(id=new_id(), market_day_id=day.id, crop=sale.crop, count=20)
    living.do(actions.ahead.save_market_day, day, [want])
    (supply,) = living.supply()
    return supply.ready / 20.0


def simulated(living: Season, sale: Sale, eaten_days: float) -> float:
    """The share of fruit, followed one by one, that is good within the buyers' days."""
    crop = shipped_profiles()[sale.crop]
    draw = np.random.default_rng(20250913)
    pulp_c = pulp_on_its_way(sale, eaten_days)
    shape = SLOPES, FRUIT_OF_A_SLOPE
    at_pick = age_at_pick(living, draw, shape)
    rate = crop.rate.per_day.value * np.exp(
        draw.normal(
            0.0, math.log(crop.rate.per_day.high / crop.rate.per_day.low) / SPREAD_80, shape
        )
    )
    slope = crop.rate.activation_kj_mol
    assert slope is not None
    slopes = draw.normal(slope.value, (slope.high - slope.low) / SPREAD_80, SLOPES)
    needs = need_factors(crop, draw)
    good = 0
    for number in range(SLOPES):
        days = reference_days(crop, slopes[number], needs[number], pulp_c)
        good += good_fruit(crop, at_pick[number], rate[number], days, pulp_c, sale.market_days)
    return good / (SLOPES * FRUIT_OF_A_SLOPE) * able(living)


def pulp_on_its_way(sale: Sale, eaten_days: float) -> Floats:
    """Pulp (C) in the middle of the steps from the pick to the last buyer's meal."""
    stays = [(air_c, days, ROOM_HALF_COOLING_H) for air_c, days in sale.stays]
    stays.append((COUNTER_C, eaten_days, COUNTER_HALF_COOLING_H))
    pulp = stays[0][0] if sale.pulp_at_pick_c is None else sale.pulp_at_pick_c
    celsius = []
    for air_c, days, half_cooling_h in stays:
        kept = 0.5 ** (STEP_H / half_cooling_h)
        for _ in range(round(24.0 * days / STEP_H)):
            nearer = air_c + (pulp - air_c) * kept
            celsius.append((pulp + nearer) / 2.0)
            pulp = nearer
    return np.array(celsius)


def age_at_pick(living: Season, draw: np.random.Generator, shape: tuple[int, int]) -> Floats:
    """Ages of fruit at the pick, as the season has them."""
    batches = lines(living).batches
    spread = math.hypot(batches.fruit_sd[0], batches.doubt_sd[0])
    return np.asarray(draw.normal(batches.mean_age[0], spread, shape))


def able(living: Season) -> float:
    """Share of fruit that can ripen, as the season has it."""
    return float(lines(living).batches.ripens[0])


def lines(living: Season) -> BatchColumns:
    zone = ZoneInfo(living.book.season.zone)
    return Projector(shipped_profiles(), zone).outlook(living.book, PICKED_AT).lines


def relative_rate(crop: CropProfile, slope_kj_mol: float, celsius: Floats) -> Floats:
    """Arrhenius with half of the rate lost at the heat's midpoint, 1 at the reference."""

    def plain(at_c: Floats) -> Floats:
        kelvin = at_c + 273.15
        rate = np.exp(-slope_kj_mol / 0.008314462 / kelvin)
        midpoint, energy = crop.rate.heat_midpoint_c, crop.rate.heat_kj_mol
        if midpoint is not None and energy is not None:
            middle_k = midpoint.value + 273.15
            rate /= 1.0 + np.exp(energy.value / 0.008314462 * (1.0 / middle_k - 1.0 / kelvin))
        return np.asarray(rate)

    return plain(celsius) / plain(np.array(crop.rate.reference_c))


def reference_days(crop: CropProfile, slope_kj_mol: float, need: float, pulp_c: Floats) -> Floats:
    """Days at the reference temperature that have counted by the end of each step."""
    pace = relative_rate(crop, slope_kj_mol, pulp_c)
    if crop.gate is not None:
        a_day = share_per_day(crop.gate.needs, crop.gate.none_above_c, pulp_c)
        met = np.cumsum(a_day) * STEP_H / 24.0 / need
        width = crop.gate.width
        free = ndtr(np.log(np.maximum(met, 1e-12)) / width.value) if width else met >= 1.0
        pace = (crop.gate.meanwhile.value + (1.0 - crop.gate.meanwhile.value) * free) * pace
    return np.asarray(np.cumsum(pace) * STEP_H / 24.0)


def share_per_day(needs: Sequence[DaysAt], none_above_c: float, celsius: Floats) -> Floats:
    known = [at.temperature_c for at in needs]
    log_days = np.interp(celsius, known, [math.log(at.days.value) for at in needs])
    return np.where(celsius < none_above_c, np.exp(-log_days), 0.0)


def need_factors(crop: CropProfile, draw: np.random.Generator) -> Floats:
    """By what factor the need of each lot of fruit differs from the middle figure."""
    if crop.gate is None:
        return np.ones(SLOPES)
    figures: list[Figure] = [at.days for at in crop.gate.needs]
    low = sum(math.log(figure.low / figure.value) for figure in figures) / len(figures)
    high = sum(math.log(figure.high / figure.value) for figure in figures) / len(figures)
    drawn = draw.normal(0.0, 1.0, SLOPES) / (SPREAD_80 / 2.0)
    return np.exp(np.where(drawn < 0.0, -low * drawn, high * drawn))


def good_fruit(
    crop: CropProfile,
    at_pick: Floats,
    rate: Floats,
    days: Floats,
    pulp_c: Floats,
    market_days: float,
) -> int:
    """How many fruit are not past at the market, and ready there or within the buyers' days."""
    high, low = crop.firmness.highest_n.value, crop.firmness.lowest_n.value

    def firmness_n(after: Floats) -> Floats:
        return np.asarray(low + (high - low) / (1.0 + np.exp(at_pick + rate * after)))

    market = round(market_days * 24.0 / STEP_H) - 1
    past = firmness_n(days[market]) <= crop.firmness.too_soft_n.value
    ready_age = math.log((high - crop.firmness.ready_n.value) / (crop.firmness.ready_n.value - low))
    if crop.ripe_life is not None:
        faster = crop.ripe_life.q10.value ** ((pulp_c - crop.ripe_life.reference_c) / 10.0)
        life = np.cumsum(faster) * STEP_H / 24.0
        since = np.interp((ready_age - at_pick) / rate, days, life, right=np.inf)
        ripe_before_the_pick = at_pick > ready_age
        past |= (life[market] - since > crop.ripe_life.days.value) & ~ripe_before_the_pick
    ready = firmness_n(days[-1]) <= crop.firmness.ready_n.value
    return int((ready & ~past).sum())


SALES = [
    # Cold fruit that a shop sells on: nothing ripens at 4 C, most of it does on a counter.
    Sale("pawpaw", "gives", [(4.0, 4.0)]),
    Sale("pawpaw", "gives", [(4.0, 4.0)], eaten_days=1),
    Sale("pawpaw", "slight give", [(4.0, 6.0)], eaten_days=5),
    # A kitchen is no warmer than the room that the fruit comes from, and cooler than another.
    Sale("pawpaw", "gives", [(20.0, 1.0)], eaten_days=2),
    Sale("pawpaw", "gives", [(26.0, 0.5)], eaten_days=2),
    # Put away warm in the morning of the market, it is still warm when it is sold.
    Sale("pawpaw", "gives", [(28.0, 0.5), (4.0, 0.125)], pulp_at_pick_c=28.0),
    Sale("avocado", "slight give", [(5.0, 5.0)], eaten_days=4),
    Sale("pear", "slight give", [(-0.5, 20.0), (20.0, 2.0)], eaten_days=3),
    # Winter pears: without their cold they wait in a kitchen too; with it they ripen there.
    Sale("anjou", "hard", [(-0.5, 15.0)], eaten_days=7),
    Sale("anjou", "hard", [(-0.5, 110.0)], eaten_days=7),
]


@pytest.mark.parametrize(
    "sale", one_in(3, SALES), ids=lambda sale: f"{sale.crop}-{sale.stays}-{sale.eaten_days}"
)
def test_the_share_that_is_good_within_the_buyers_days(living: Season, sale: Sale) -> None:
    said = given(living, sale)
    assert sale.eaten_days is not None
    assert said == pytest.approx(simulated(living, sale, sale.eaten_days), abs=0.03)


def test_the_plan_counts_on_the_same_share(living: Season) -> None:
    """The packing list prints that of the plan's line."""
    said = given(living, SALES[0])
    (line,) = [li for li in plan_of(living).lines if li.market_day_id]
    assert line.steps == ()
    assert line.expected_ready_share == pytest.approx(said, abs=1e-3)


def test_unless_the_grower_says_otherwise_a_shop_takes_four_days(living: Season) -> None:
    """A day on its shelf, and three in a kitchen (estimates)."""
    sale = Sale("pawpaw", "gives", [(4.0, 4.0)], eaten_days=None)
    assert given(living, sale) == pytest.approx(simulated(living, sale, 4.0), abs=0.03)
