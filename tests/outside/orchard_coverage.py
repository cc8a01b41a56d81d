"""``python -m tests.outside.orchard_coverage [ORCHARDS]``: how often the 80 % ranges of rows hold
what a simulated orchard does (:mod:`tests.outside.true_orchard`)."""

import copy
import sys
from collections.abc import Iterable

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.orchard.pick_forecast import (
    Numbers,
    all_picked_by,
    expected_picks,
    forecast,
    lost_by,
    picked_by,
)
from ripenroom.science.orchard.row_fit import CultivarBelief, RowColumns, RowsBelief, learn
from ripenroom.science.orchard.sightings import Sightings
from ripenroom.science.orchard.tree_clock import TreeMarks
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80
from tests.outside.coverage import Tally
from tests.outside.true_orchard import (
    DROP_DAYS,
    DROP_SD_DAYS,
    STAGE_DAYS,
    Seen,
    TrueOrchard,
    TrueRow,
)

CULTIVARS, ROWS = 3, 4
AHEAD = (2.0, 5.0, 9.0)
"""Days ahead that are forecast."""


def sightings_of(seen: list[Seen]) -> Sightings:
    """What was written down, as columns."""
    return Sightings(
        row=np.array([s.row for s in seen], int),
        tree_days=np.array([s.day for s in seen], float),
        squeezed=np.array([s.squeezed for s in seen], float).reshape(-1, 5),
        picked=np.array([s.picked for s in seen], float).reshape(-1, 5),
        picked_unfelt=np.zeros(len(seen)),
        dropped=np.array([s.dropped for s in seen], float),
        hanging=np.array([s.hanging for s in seen], float),
        hanging_log_sd=np.full(len(seen), 0.2),
    )


def marks(rows: int) -> TreeMarks:
    """The marks by the book."""
    starts = np.concatenate([[0.0], np.cumsum(STAGE_DAYS)])
    return TreeMarks(
        np.tile(starts, (rows, 1)),
        np.full(rows, DROP_DAYS),
        np.full(rows, DROP_SD_DAYS),
        np.full(rows, 0.5),
    )


def before_season(orchard: TrueOrchard) -> tuple[RowColumns, TreeMarks, CultivarBelief]:
    """What is believed of an orchard before anything was seen."""
    habits, number, kinds = orchard.habits, len(orchard.rows), orchard.needs.size
    rows = RowColumns(
        cultivar=np.array([row.cultivar for row in orchard.rows]),
        bloomed=np.zeros(number),
        bloomed_sd=np.zeros(number),
        fruit=np.full(number, habits.fruit),
        fruit_log_sd=np.full(number, habits.fruit_log_sd),
    )
    mean = np.tile([habits.needs_days, np.log(habits.spread_days), 0.0], (kinds, 1))
    sd = np.tile([habits.needs_sd, habits.spread_log_sd, habits.pace_log_sd], (kinds, 1))
    return rows, marks(number), CultivarBelief(mean, sd)


def believed(orchard: TrueOrchard) -> RowsBelief:
    """What is believed of an orchard after all that was seen."""
    rows, book, cultivars = before_season(orchard)
    return learn(rows, book, cultivars, sightings_of(orchard.seen))


def add(found: Tally, what: str, numbers: Numbers, truth: Floats, begun: Indices) -> None:
    """Count how often counts lie in their ranges, where at least three are expected.

    Rows whose fruit has not ``begun`` to give stand apart: their ranges begin at none and mostly
    none is the truth, so that they hold more often than they say.
    """
    low, high = np.where(numbers.low < 0.5, 0.0, numbers.low), numbers.high
    some = numbers.mean >= 3.0
    for when, there in ((what, some & begun), (f"{what}, none gave yet", some & ~begun)):
        found.add(when, low[there], numbers.mean[there], high[there], truth[there])


def tally(seeds: Iterable[int], now_days: Iterable[float] = (118.0, 126.0, 134.0, 142.0)) -> Tally:
    """Orchards of these seeds, each tended until a day, learned, and held to what comes."""
    found = Tally()
    for seed in seeds:
        for now in now_days:
            orchard = TrueOrchard(CULTIVARS, ROWS, seed * 1000 + int(now))
            orchard.tend(now)
            if not orchard.seen:
                continue
            belief = believed(orchard)
            _parameters(found, orchard, belief)
            days = now + np.concatenate([[0.0], AHEAD])
            every = np.tile(days, (len(orchard.rows), 1))
            looks = forecast(belief, every)
            begun = np.zeros(len(orchard.rows), bool)
            for seen in orchard.seen:
                begun[seen.row] |= bool(seen.squeezed[1:].sum() > 0.0)
            for place, ahead in enumerate(AHEAD, start=1):
                truth = np.array([float(row.ready(now + ahead)) for row in orchard.rows])
                numbers = _column(looks.ready, place)
                add(found, f"ready in {ahead:.0f} days", numbers, truth, begun)
            lost = np.array([_lost(row, now, now + AHEAD[1]) for row in orchard.rows])
            add(found, "lost in 5 days", _column(lost_by(belief, every), 2), lost, begun)
            picks = now + np.array([2.0, 4.0, 6.0])
            coming = np.tile(picks, (len(orchard.rows), 1))
            took = _picked(copy.deepcopy(orchard), picks)
            each = expected_picks(belief, coming)
            every_day = np.ones(coming.shape, bool)
            so_far = picked_by(belief, coming, every_day)
            total = all_picked_by(belief, coming, every_day)
            for place in range(picks.size):
                add(found, f"pick {place + 1} of 3", _column(each, place), took[:, place], begun)
            by_then = took.cumsum(axis=1)
            for place in range(1, picks.size):
                what = f"first {place + 1} picks of 3"
                add(found, what, _column(so_far, place), by_then[:, place], begun)
            summed = by_then.sum(axis=0)
            found.add("picks of all rows so far", total.low, total.mean, total.high, summed)
    return found


def _column(numbers: Numbers, place: int) -> Numbers:
    return Numbers(numbers.low[:, place], numbers.mean[:, place], numbers.high[:, place])


def _parameters(found: Tally, orchard: TrueOrchard, belief: RowsBelief) -> None:
    mean, sd = belief.cultivars.mean, belief.cultivars.sd
    truths = (orchard.needs, orchard.log_spread, orchard.log_pace)
    for place, (what, truth) in enumerate(zip(("needs", "spread", "pace"), truths, strict=True)):
        middle, wide = mean[:, place], TAIL_80 * sd[:, place]
        found.add(f"cultivar's {what}", middle - wide, middle, middle + wide, truth)
    fruit = np.log([row.gives.size for row in orchard.rows])
    middle, wide = belief.mean[:, 2], TAIL_80 * np.sqrt(belief.covariance[:, 2, 2])
    found.add("fruit set", middle - wide, middle, middle + wide, fruit)


def _lost(fruit: TrueRow, now: float, then: float) -> float:
    kept = fruit.there & (fruit.drops > now) & (fruit.feel(now) <= 3)
    return float((kept & ((fruit.drops <= then) | (fruit.feel(then) >= 4))).sum())


def _picked(orchard: TrueOrchard, days: Floats) -> Floats:
    """Fruit that thorough picks take, (rows, picks)."""
    took = np.zeros((len(orchard.rows), days.size))
    for number, row in enumerate(orchard.rows):
        for place, day in enumerate(days):
            feel = row.feel(float(day))
            mine = row.hangs(float(day)) & (feel >= 1) & (feel <= 3)
            took[number, place] = mine.sum()
            row.there[mine] = False
    return took


def main(orchards: int) -> None:
    """Print the table."""
    found = tally(range(orchards))
    print("| 80 % range of | ranges | held, % | middle off by |")
    print("| --- | ---: | ---: | ---: |")
    for what, held in found.held.items():
        off = float(np.median(found.off[what]))
        print(f"| {what} | {len(held):,} | {100 * np.mean(held):.1f} | {off:.2f} |")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
