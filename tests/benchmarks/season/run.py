"""Runs every grower through the same seasons and prints what came of it."""

import sys
import time
from collections import Counter
from functools import partial

from tests.benchmarks.season.growers.letter import ToTheLetter
from tests.benchmarks.season.growers.oracle import most_sold
from tests.benchmarks.season.growers.rules import (
    ByBook,
    ByHabit,
    MovesNothing,
    first_expired,
    oldest,
)
from tests.benchmarks.season.held import RangesHeld
from tests.benchmarks.season.losses import Followed, losses
from tests.benchmarks.season.losses import told as losses_told
from tests.benchmarks.season.play import Begin, Tally, play
from tests.benchmarks.season.report import against_bound, differences, means
from tests.benchmarks.season.truth.store import Store
from tests.benchmarks.season.truth.year import DAYS, drawn_year
from tests.benchmarks.season.tuning import tuned

SEASONS = 2
"""Seasons where nobody says how many: each takes the plan about a minute."""

PLAN = "the plan to the letter"


def growers(days: int, ranges: RangesHeld) -> dict[str, Begin]:
    """All growers by name; the plan comes first, and what its packing lists say goes to
    ``ranges``."""
    return {
        PLAN: partial(ToTheLetter, ranges=ranges),
        "first in first out, tuned on other seasons": partial(ByHabit, habits=tuned(days)),
        "first expired first out by the book": partial(ByBook, rank=first_expired),
        "first in first out by the book": partial(ByBook, rank=oldest),
        "oldest pick first, nothing moved": MovesNothing,
    }


def run(seasons: int = SEASONS, days: int = DAYS, first: int = 0) -> None:
    """Print the figures of so many seasons; those of another ``first`` seed are others."""
    ranges = RangesHeld()
    everyone = growers(days, ranges)
    print(f"tuned on other seasons: {tuned(days)}")
    tallies: dict[str, list[Tally]] = {name: [] for name in everyone}
    lost: dict[str, list[Counter[str]]] = {name: [] for name in everyone}
    most, taken_s = [], dict.fromkeys(everyone, 0.0)
    for seed in range(first, first + seasons):
        year = drawn_year(seed, days)
        most.append(most_sold(year))
        for name, begin in everyone.items():
            began = time.process_time()
            followed: list[Followed] = []
            tallies[name].append(play(year, partial(_followed, begin=begin, kept=followed)))
            taken_s[name] += time.process_time() - began
            lost[name].append(losses(followed[0]))
        sold = ", ".join(str(own[-1].at_best) for own in tallies.values())
        print(f"season {seed}: {sold} of {most[-1]}", file=sys.stderr, flush=True)
    tables = means(tallies), differences(PLAN, tallies), against_bound(tallies, most)
    for lines in (*tables, losses_told(lost), ranges.told()):
        print()
        print("\n".join(lines))
    print()
    for name, seconds in taken_s.items():
        print(f"{name}: {seconds / seasons:.2f} s of the processor a season")


def _followed(store: Store, begin: Begin, kept: list[Followed]) -> Followed:
    kept.append(Followed(begin, store))
    return kept[0]
