"""An orchard followed fruit by fruit and day by day, by rules of its own: what is believed of its
rows is held to it. Nothing here comes from the program.

Each fruit has its own day on which it begins to give, its own way through the feels and its own day
on which it drops. Trees of a row differ, so a walk that squeezes fruit of a few trees is no even
sample. A hand is off by a little for a whole walk. Picks take most, not all, of what seems to give.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

STAGE_DAYS = (2.1, 1.6, 4.1)
"""Usual days of slight give, gives and soft."""

DROP_DAYS, DROP_SD_DAYS = 7.0, 2.0
"""Usual days from the first give to the drop, and how much fruit differ."""


@dataclass
class TrueRow:
    """A row's fruit, each (fruit,): day of first give, days of each later feel, drop, tree."""

    cultivar: int
    gives: Array
    later: Array
    drops: Array
    tree: npt.NDArray[np.int64]
    there: npt.NDArray[np.bool_]

    def feel(self, day: float, hand: float = 0.0) -> npt.NDArray[np.int64]:
        """0 hard to 4 too soft, for a hand that is off by ``hand`` days."""
        since = day + hand - self.gives
        later = (since[:, None] >= self.later).sum(axis=1)
        return np.asarray((since >= 0.0).astype(np.int64) + later)

    def hangs(self, day: float) -> npt.NDArray[np.bool_]:
        """Which fruit hang on this day."""
        return self.there & (self.drops > day)

    def ready(self, day: float) -> int:
        """How many give and are not too soft."""
        feel = self.feel(day)
        return int((self.hangs(day) & (feel >= 1) & (feel <= 3)).sum())


@dataclass
class Seen:
    """What the grower wrote down of one look at one row."""

    row: int
    day: float
    squeezed: Array
    picked: Array
    dropped: float
    hanging: float


@dataclass(frozen=True)
class Habits:
    """How this orchard differs and how it is looked after."""

    needs_days: float = 135.0
    needs_sd: float = 12.0
    row_sd: float = 2.0
    tree_sd: float = 1.2
    spread_days: float = 4.0
    spread_log_sd: float = 0.25
    pace_log_sd: float = 0.3
    fruit: float = 150.0
    fruit_log_sd: float = 0.4
    squeezed: int = 30
    hand_sd: float = 0.3
    thorough: tuple[float, float] = (0.65, 0.98)
    looks_apart: tuple[int, int] = (2, 5)
    counted: float = 0.5


class TrueOrchard:
    """``cultivars`` of ``rows`` rows each, drawn from a seed."""

    def __init__(self, cultivars: int, rows: int, seed: int, habits: Habits | None = None) -> None:
        self.rng = np.random.default_rng(seed)
        self.habits = habits or Habits()
        h, rng = self.habits, self.rng
        self.rows: list[TrueRow] = []
        self.needs = rng.normal(h.needs_days, h.needs_sd, cultivars)
        self.log_spread = rng.normal(np.log(h.spread_days), h.spread_log_sd, cultivars)
        self.log_pace = rng.normal(0.0, h.pace_log_sd, cultivars)
        for cultivar in range(cultivars):
            for _ in range(rows):
                self.rows.append(self._row(cultivar))
        self.seen: list[Seen] = []
        self._last_look = dict.fromkeys(range(len(self.rows)), -1.0)

    def _row(self, cultivar: int) -> TrueRow:
        h, rng = self.habits, self.rng
        number = max(10, int(np.exp(rng.normal(np.log(h.fruit), h.fruit_log_sd))))
        trees = max(2, number // 40)
        tree = rng.integers(0, trees, number)
        middle = rng.normal(self.needs[cultivar], h.row_sd)
        of_tree = rng.normal(0.0, h.tree_sd, trees)
        spread = np.exp(rng.normal(self.log_spread[cultivar], 0.15))
        within = np.sqrt(max(spread**2 - h.tree_sd**2, 0.25))
        gives = middle + of_tree[tree] + rng.normal(0.0, within, number)
        slower = np.exp(-self.log_pace[cultivar])
        own = slower * np.exp(rng.normal(0.0, 0.1, number))
        later = gives[:, None] * 0.0 + own[:, None] * np.cumsum(STAGE_DAYS)
        drops = gives + slower * np.maximum(rng.normal(DROP_DAYS, DROP_SD_DAYS, number), 0.5)
        there = np.ones(number, bool)
        return TrueRow(cultivar, gives, later, drops, tree, there)

    def count(self, row: int, day: float, log_sd: float) -> None:
        """Estimate the fruit that hang on a row."""
        number = int(self.rows[row].hangs(day).sum())
        estimate = float(np.round(number * np.exp(self.rng.normal(0.0, log_sd))))
        none = np.zeros(5)
        self.seen.append(Seen(row, day, none, none, np.nan, estimate))

    def look(self, row: int, day: float, pick: bool) -> int:
        """Squeeze some fruit, look at the ground, and pick what seems to give. How many were
        picked."""
        h, rng, fruit = self.habits, self.rng, self.rows[row]
        feel = fruit.feel(day, rng.normal(0.0, h.hand_sd))
        hangs = np.flatnonzero(fruit.hangs(day))
        some = rng.choice(np.unique(fruit.tree), min(4, np.unique(fruit.tree).size), replace=False)
        on_these = hangs[np.isin(fruit.tree[hangs], some)]
        sample = rng.permutation(on_these)[: h.squeezed]
        squeezed = np.bincount(feel[sample], minlength=5).astype(float)
        fell = fruit.there & (fruit.drops > self._last_look[row]) & (fruit.drops <= day)
        found = float(rng.binomial(int(fell.sum()), rng.uniform(0.5, 0.9)))
        picked = np.zeros(5)
        if pick:
            gives = hangs[feel[hangs] >= 1]
            taken = gives[rng.random(gives.size) < rng.uniform(*h.thorough)]
            picked = np.bincount(feel[taken], minlength=5).astype(float)
            fruit.there[taken] = False
        self._last_look[row] = day
        self.seen.append(Seen(row, day, squeezed, picked, found, np.nan))
        return int(picked.sum())

    def tend(self, until: float, begin: float = 112.0) -> None:
        """Look after all rows up to a day: count some, walk each once a week until a fruit gives,
        then every few days, and pick from the second such walk on."""
        h, rng = self.habits, self.rng
        for number in range(len(self.rows)):
            if rng.random() < h.counted:
                self.count(number, min(begin - 10.0, until), 0.2)
            day = begin + float(rng.integers(0, 7))
            gave = False
            while day <= until:
                self.look(number, day, gave)
                gave = gave or bool(self.seen[-1].squeezed[1:].sum() > 0.0)
                few = rng.integers(h.looks_apart[0], h.looks_apart[1] + 1)
                day += float(few) if gave else 7.0
