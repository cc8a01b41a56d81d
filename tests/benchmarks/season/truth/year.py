"""One season as it is drawn: fruit and its picks, markets and their buyers, rooms."""

import math
from dataclasses import dataclass, replace

import numpy as np

from tests.benchmarks.season.truth.fruit import Floats, Fruit, Nature, Numbers

DAYS = 30
FRUIT, WANTED = 2_280, 1_820
"""About so many fruit are picked in a season, and so many are wanted."""

FRUIT_PER_CRATE = 25
SELLS_BEYOND = 1.25
"""So many times what a market wants its buyers take, the last fifth of it at half the price."""

_LEAST_PICK = 6
_FIRST_MARKET = 5
_ORCHARD_C = 22.0


@dataclass(frozen=True, slots=True)
class Room:
    """Where fruit waits: its ``dial_c`` and how far the air is ``off`` it (K), how much it swings
    over a day (K), how fast it cools, how many crates it holds (None: any number)."""

    name: str
    kind: str
    dial_c: float
    half_cooling_h: float
    crates: int | None
    swing_k: float = 0.0
    off_k: float = 0.0

    def air_c(self, hour: float) -> float:
        """Temperature of the air, warmest at three in the afternoon."""
        swing = self.swing_k * math.cos(2.0 * math.pi * (hour - 15.0) / 24.0)
        return self.dial_c + self.off_k + swing


COLD, SHELF, WARM, COUNTER, BIN = range(5)
ROOMS = (
    Room("Cold room", "cold room", 4.0, 8.0, 30),
    Room("Cool shelf", "cool shelf", 13.0, 6.0, 16),
    Room("Ripening room", "ripening room", 19.0, 5.0, 8),
    Room("Counter", "counter", 21.0, 4.0, 10, swing_k=3.0),
    Room("Field bin", "field bin", 20.0, 4.0, None, swing_k=6.0),
)
"""As every grower has them; all numbers of places are of these."""


@dataclass(frozen=True, slots=True)
class Pick:
    """Fruit of one cultivar picked on a day."""

    day: int
    cultivar: int
    fruit: Numbers


@dataclass(frozen=True, slots=True)
class Market:
    """A market day: what is ``wanted`` is known ahead, how many ``buyers`` come is not.

    They eat within so many days and pay ``price_minor`` (cents) each.
    """

    day: int
    name: str
    kind: str
    wanted: int
    price_minor: int
    eat_within_days: int
    buyers: int

    @property
    def most(self) -> int:
        """More than that nobody brings."""
        return round(SELLS_BEYOND * self.wanted)


@dataclass(frozen=True, slots=True)
class Year:
    """All of a season, of which each grower sees only a part; ``seed`` is that of its hands."""

    seed: int
    days: int
    nature: Nature
    fruit: Fruit
    cultivars: tuple[str, ...]
    picks: tuple[Pick, ...]
    markets: tuple[Market, ...]
    rooms: tuple[Room, ...]

    def picks_on(self, day: int) -> list[Pick]:
        """What is picked on a day."""
        return [pick for pick in self.picks if pick.day == day]

    def markets_on(self, day: int) -> list[tuple[int, Market]]:
        """The markets of a day, with their numbers."""
        return [(n, market) for n, market in enumerate(self.markets) if market.day == day]


def drawn_year(seed: int, days: int = DAYS) -> Year:
    """The season of a seed; of a shorter one the same, cut off."""
    draw = np.random.default_rng(seed)
    nature = Nature(float(5.0 * np.exp(draw.normal(0.0, 0.08))), float(draw.uniform(1.4, 1.9)))
    cultivars = ("Early", "Middle", "Late")
    paces = np.exp(draw.normal(0.0, 0.2, len(cultivars)))
    counts = _counts(draw, len(cultivars))
    rooms = tuple(replace(room, off_k=float(draw.normal(0.0, 0.5))) for room in ROOMS)
    markets = tuple(market for market in _markets(draw) if market.day < days)
    picks, stages, fruit_paces, begin = [], [], [], 0
    for day in range(min(days, counts.shape[0])):
        for cultivar in range(len(cultivars)):
            number = int(counts[day, cultivar])
            if number < _LEAST_PICK:
                continue
            picks.append(Pick(day, cultivar, np.arange(begin, begin + number)))
            begin += number
            stages.append(draw.normal(draw.normal(1.5, 0.25), 0.5, number))
            fruit_paces.append(paces[cultivar] * np.exp(draw.normal(0.0, 0.1, number)))
    fruit = Fruit(
        stage=np.maximum(np.concatenate(stages), 0.0),
        lives=np.zeros(begin),
        pulp_c=np.full(begin, _ORCHARD_C),
        pace=np.concatenate(fruit_paces),
        life_days=2.5 * np.exp(draw.normal(0.0, 0.15, begin)),
        ripens=draw.random(begin) >= 0.03,
    )
    return Year(seed, days, nature, fruit, cultivars, tuple(picks), markets, rooms)


def _counts(draw: np.random.Generator, cultivars: int) -> Floats:
    """Fruit picked on each day of each cultivar: a course with a peak, every other day, until
    frost."""
    frost = int(draw.integers(22, 28))
    day = np.arange(frost)[:, None]
    peak = draw.uniform(3.0, 7.0, cultivars) + 6.0 * np.arange(cultivars)
    width = draw.uniform(3.0, 4.0, cultivars)
    course = np.exp(-0.5 * ((day - peak) / width) ** 2)
    course *= (day + np.arange(cultivars)) % 2 == 0
    course *= draw.uniform(0.7, 1.3, cultivars) / course.sum(axis=0)
    course *= FRUIT * draw.uniform(0.88, 1.06) / course.sum()
    return np.asarray(np.round(course * np.exp(draw.normal(0.0, 0.25, course.shape))))


def _markets(draw: np.random.Generator) -> list[Market]:
    """A large and a small weekly market, a shop once a week and one festival."""
    begin, festival = int(draw.integers(0, 7)), int(draw.integers(10, 25))
    kinds = {
        "Town market": ("market", 1.4, 150.0, 1),
        "Village market": ("market", 0.8, 150.0, 1),
        "Shop": ("shop order", 0.7, 120.0, 2),
        "Festival": ("festival", 2.0, 240.0, 0),
    }
    planned = [(festival, "Festival")]
    for day in range(_FIRST_MARKET, DAYS):
        planned += [
            (day, name)
            for name, on in zip(kinds, (0, 4, 2), strict=False)
            if (day - begin) % 7 == on
        ]
    planned.sort()
    weight = np.array([kinds[name][1] for _, name in planned]) * draw.uniform(
        0.6, 1.4, len(planned)
    )
    wanted = np.round(weight / weight.sum() * WANTED * draw.uniform(0.9, 1.1))
    found = []
    for (day, name), count in zip(planned, wanted.astype(int).tolist(), strict=True):
        kind, _, price, eat_within = kinds[name]
        buyers = round(SELLS_BEYOND * count * float(np.exp(draw.normal(0.0, 0.1))))
        price_minor = round(price * float(draw.uniform(0.8, 1.2)))
        found.append(Market(day, name, kind, count, price_minor, eat_within, buyers))
    return found
