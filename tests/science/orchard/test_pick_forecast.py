"""Forecasts of rows, against fruit drawn one by one from what is believed."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import gamma

from ripenroom.science.orchard.cohort import LOG_FRUIT, LOG_PACE, LOG_SPREAD, NEEDS, WEIGHT, Z
from ripenroom.science.orchard.pick_forecast import (
    UNEVEN,
    FruitLeft,
    Numbers,
    all_picked_by,
    expected_picks,
    forecast,
    frost_finds,
    lost_by,
    picked_by,
)
from ripenroom.science.orchard.row_fit import RowsBelief, learn
from ripenroom.science.orchard.sightings import Sightings
from tests.science.orchard.rows_made import STARTS, cultivars, marks, no_sightings, rows_of, walks

DAYS = np.arange(132.0, 150.0)
LOOKS = walks(
    [0, 0, 1],
    [129.0, 132.0, 131.0],
    [[26.0, 4, 0, 0, 0], [20.0, 8, 2, 0, 0], [27.0, 3, 0, 0, 0]],
)


def believed(pick: bool) -> RowsBelief:
    """Two rows of one cultivar after some walks, and after a pick of the first."""
    seen = LOOKS
    if pick:
        taken = replace(
            Sightings.nothing(np.array([0]), np.array([132.0])),
            picked=np.array([[0.0, 30.0, 8.0, 0.0, 0.0]]),
        )
        columns = [
            np.concatenate(pair) for pair in zip(_columns(seen), _columns(taken), strict=True)
        ]
        seen = Sightings(*columns)
    return learn(rows_of([0, 0]), marks(2), cultivars(1), seen)


def _columns(seen: Sightings) -> list[np.ndarray]:
    return [
        seen.row, seen.tree_days, seen.squeezed, seen.picked, seen.picked_unfelt, seen.dropped,
        seen.hanging, seen.hanging_log_sd,
    ]  # fmt: skip


class Drawn:
    """Many years of one row: fruit drawn from its belief, each with its own give and drop."""

    def __init__(self, belief: RowsBelief, row: int, years: int = 3_000) -> None:
        rng = np.random.default_rng(8)
        self.years = years
        which = rng.choice(belief.weight.shape[0], years, p=belief.weight[:, row])
        at = belief.points[which, row]
        node = rng.choice(Z.size, (years, 700), p=WEIGHT)
        kept = rng.random((years, 700)) < belief.kept[which[:, None], row, node]
        there = np.arange(700) < rng.poisson(np.exp(at[:, LOG_FRUIT]))[:, None]
        self.there = kept & there
        between = Z[node] + (rng.random((years, 700)) - 0.5) * (Z[1] - Z[0])
        self.gives = at[:, NEEDS, None] + np.exp(at[:, LOG_SPREAD, None]) * between
        slower = np.exp(-at[:, LOG_PACE])[:, None]
        self.soft = self.gives + slower * STARTS[-1]
        later = np.maximum(slower * 7.0 + rng.normal(0.0, 1.8, (years, 700)), 0.0)
        self.drops = self.gives + later

    def of(self, what: np.ndarray) -> np.ndarray:
        """How many fruit of each year."""
        return np.asarray((self.there & what).sum(axis=1))

    def ready(self, day: float) -> np.ndarray:
        """Fruit that gives, hangs and is not too soft."""
        return self.of((self.gives <= day) & (self.soft > day) & (self.drops > day))


def _agrees(numbers: Numbers, row: int, day: int, drawn: np.ndarray) -> None:
    """Mean and range are those of the gamma distribution with the drawn fruit's mean and sd: the
    drawn years come of sixteen points only, so that there is no more to compare."""
    mean, sd = drawn.mean(), np.hypot(drawn.std(), UNEVEN * drawn.mean())
    assert numbers.mean[row, day] == pytest.approx(mean, abs=0.06 * sd + 0.02 * mean + 0.3)
    low, high = gamma((mean / sd) ** 2, scale=sd**2 / mean).ppf([0.1, 0.9]) if mean > 0 else (0, 0)
    assert numbers.low[row, day] == pytest.approx(low, abs=0.1 * sd + 0.8)
    assert numbers.high[row, day] == pytest.approx(high, abs=0.1 * sd + 0.8)


@pytest.mark.parametrize("pick", [False, True])
@pytest.mark.parametrize("row", [0, 1])
def test_numbers_are_those_of_fruit_drawn_one_by_one(pick: bool, row: int) -> None:
    belief = believed(pick)
    days = np.tile(DAYS, (2, 1))
    told, drawn = forecast(belief, days), Drawn(belief, row)
    lost = lost_by(belief, days)
    for place in (0, 3, 8, 15):
        day = DAYS[place]
        _agrees(told.ready, row, place, drawn.ready(day))
        _agrees(told.hanging, row, place, drawn.of(drawn.drops > day))
        first = np.minimum(drawn.soft, drawn.drops)
        _agrees(lost, row, place, drawn.of((first <= day) & (first > DAYS[0])))


def test_what_hangs_only_falls_and_holds_what_is_ready() -> None:
    told = forecast(believed(pick=True), np.tile(DAYS, (2, 1)))
    assert (np.diff(told.hanging.mean, axis=1) <= 1e-9).all()
    assert (told.ready.mean <= told.hanging.mean + 1e-9).all()
    assert (told.ready.low <= told.ready.mean).all()
    assert (told.ready.mean <= told.ready.high).all()


@pytest.mark.parametrize("row", [0, 1])
def test_picks_on_chosen_days_find_what_gave_since(row: int) -> None:
    belief = believed(pick=True)
    on = np.zeros((2, DAYS.size), bool)
    on[:, [1, 5, 6, 11]] = True
    told = expected_picks(belief, np.tile(DAYS, (2, 1)), on)
    drawn = Drawn(belief, row)
    for place in range(DAYS.size):
        found = (drawn.gives <= DAYS[place]) & (drawn.soft > DAYS[place])
        found &= drawn.drops > DAYS[place]
        _agrees(told, row, place, drawn.of(found))
        if on[row, place]:
            drawn.there &= ~found


@pytest.mark.parametrize("row", [0, 1])
def test_all_picks_until_a_day_are_those_of_drawn_fruit(row: int) -> None:
    belief = believed(pick=True)
    on = np.zeros((2, DAYS.size), bool)
    on[:, [1, 5, 6, 11]] = True
    days = np.tile(DAYS, (2, 1))
    each, told = expected_picks(belief, days, on), picked_by(belief, days, on)
    drawn = Drawn(belief, row)
    taken = np.zeros_like(drawn.there)
    for place in range(DAYS.size):
        found = (drawn.gives <= DAYS[place]) & (drawn.soft > DAYS[place])
        found &= drawn.drops > DAYS[place]
        if on[row, place]:
            taken |= drawn.there & found
            drawn.there &= ~found
        if taken.any():
            _agrees(told, row, place, taken.sum(axis=1))
    # Fruit that is late for one pick is there at the next: together they are surer.
    wide = (each.high - each.low)[:, [1, 5, 6, 11]].sum(axis=1)
    assert (told.high[:, -1] - told.low[:, -1] < 0.95 * wide).all()


def test_a_clock_that_may_be_off_widens_picks_of_the_days_that_come() -> None:
    belief = believed(pick=True)
    days, on = np.tile(DAYS, (2, 1)), np.ones((2, DAYS.size), bool)
    sure = picked_by(belief, days, on)
    unsure = picked_by(belief, days, on, 0.4 * np.sqrt(np.arange(DAYS.size)))
    assert unsure.mean == pytest.approx(sure.mean)
    assert unsure.high[:, 0] == pytest.approx(sure.high[:, 0])
    assert (unsure.high[:, 3] > sure.high[:, 3]).all()


def test_all_rows_together_are_less_unsure_than_each_and_more_than_alone() -> None:
    belief = believed(pick=False)
    days = np.tile(DAYS[:6], (2, 1))
    on = np.ones(days.shape, bool)
    each, total = picked_by(belief, days, on), all_picked_by(belief, days, on)
    assert total.mean == pytest.approx(each.mean.sum(axis=0))
    wide, widest = total.high - total.low, (each.high - each.low).sum(axis=0)
    alone = np.sqrt(np.square(each.high - each.low).sum(axis=0))
    assert (wide < widest + 0.5).all()
    assert (wide > 0.95 * alone).all()
    some = np.zeros(days.shape, bool)
    some[0, 2] = True
    told = all_picked_by(belief, days, some, 0.3).mean
    assert (told > 0.0).tolist() == [False] * 2 + [True] * 4


def test_frost_finds_what_was_not_picked_nor_fell_before_it() -> None:
    belief = believed(pick=True)
    days = np.tile(DAYS, (2, 1))
    on = np.zeros((2, DAYS.size), bool)
    on[:, ::4] = True
    chances = np.zeros(DAYS.size)
    chances[[3, 10]] = 0.3, 0.5
    found = frost_finds(belief, days, on, chances)
    drawn = Drawn(belief, 0)
    counts = []
    for place in range(11):
        if place in (3, 10):
            # The frost of a night comes before the pick of its day.
            counts.append(drawn.of(drawn.drops > DAYS[place]).mean())
        if on[0, place]:
            gives = (drawn.gives <= DAYS[place]) & (drawn.drops > DAYS[place])
            drawn.there &= ~gives
    assert found.mean[0] == pytest.approx(0.3 * counts[0] + 0.5 * counts[1], rel=0.06)
    none = frost_finds(belief, days, on, np.zeros(DAYS.size))
    assert (none.high == 0.0).all()


def test_nothing_known_is_told_as_widely_as_it_is_believed() -> None:
    """Without a look the range of what hangs is that of the number believed before: 80 % of a
    log-normal of sd 0.4, fruit one by one and unevenness on top."""
    belief = learn(rows_of([0]), marks(1), cultivars(1), no_sightings())
    told = forecast(belief, np.array([[90.0, 91.0]]))
    low, high = 150.0 * np.exp(np.array([-1.2816, 1.2816]) * 0.4)
    assert told.hanging.low[0, 0] == pytest.approx(low, rel=0.12)
    assert told.hanging.high[0, 0] == pytest.approx(high, rel=0.12)
    assert told.ready.mean[0, 0] < 0.5


def test_a_clock_that_is_off_widens_what_moves_with_it() -> None:
    """Of numbers that rise evenly the variance grows by the square of their slope times the clock's
    error; the ends are those of a gamma distribution (scipy's)."""
    left, days = FruitLeft(believed(pick=False)), np.tile(DAYS, (2, 1))
    rising = left.all * (0.5 + 0.01 * (days - DAYS[0]))
    sd = np.array([[0.0], [4.0]]) * np.ones(DAYS.size)
    mean, variance = left.moments(rising)
    slope = 0.01 * (left.weight * left.all[..., 0]).sum(axis=0)
    told = left.numbers(rising, days, sd)
    for row in (0, 1):
        for place in (0, 5, DAYS.size - 1):
            spread = variance[row, place] + (slope[row] * sd[row, place]) ** 2
            middle = mean[row, place]
            ends = gamma(middle**2 / spread, scale=spread / middle).ppf([0.1, 0.9])
            found = told.low[row, place], told.high[row, place]
            assert found == pytest.approx(tuple(ends), rel=0.01)
