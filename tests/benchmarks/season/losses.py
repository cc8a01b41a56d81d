"""Where the fruit went that an oracle sells at its best and a grower does not.

What was not sold at its best is given to the buyers whom a market lacked, by the largest flow:
first what was fit at home that morning, then what was still too firm, past, or gone. So each fruit
is lost once, by what it was on the morning on which it was wanted. What no such way leads to is
lost since other fruit went to the wrong market.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.season.growers.grower import Grower
from tests.benchmarks.season.growers.oracle import chances, given, most_sold
from tests.benchmarks.season.play import Begin
from tests.benchmarks.season.truth.fruit import Flags, Numbers
from tests.benchmarks.season.truth.store import Condition, Fate, Store
from tests.benchmarks.season.truth.year import COLD, Market, Pick

CAUSES = (
    "fit, its crate not opened",
    "fit, felt otherwise or too many",
    "too firm, in the cold",
    "too firm, out of it",
    "past",
    "sold before, and disappointed",
    "thrown before",
    "others at the wrong market",
)


@dataclass(frozen=True, slots=True)
class Morning:
    """A market day: what each fruit was before it (:class:`Condition`), where, whether it was
    squeezed, and what had become of it before and after."""

    was: Numbers
    room: Numbers
    squeezed: Flags
    before: Numbers
    after: Numbers


class Followed:
    """A grower of whose market days is kept what fruit there was."""

    def __init__(self, begin: Begin, store: Store) -> None:
        self.store = store
        self.mornings: dict[int, Morning] = {}
        self._grower: Grower = begin(store)

    def sell(self, number: int, market: Market) -> None:
        """As the grower does."""
        was, room = self.store.conditions(market)
        before = self.store.fate.copy()
        self._grower.sell(number, market)
        squeezed = self.store.squeezed_h == self.store.hour
        self.mornings[number] = Morning(was, room, squeezed, before, self.store.fate.copy())

    def picked(self, pick: Pick) -> None:
        """As the grower does."""
        self._grower.picked(pick)

    def cleared(self, rotten: Mapping[int, int]) -> None:
        """As the grower does."""
        self._grower.cleared(rotten)

    def plan_evening(self) -> None:
        """As the grower does."""
        self._grower.plan_evening()

    def move(self) -> None:
        """As the grower does."""
        self._grower.move()

    def close(self) -> None:
        """As the grower does."""
        self._grower.close()


def losses(followed: Followed) -> Counter[str]:
    """How many fruit were lost in a season that is over, by cause."""
    year, mornings = followed.store.year, followed.mornings
    every = np.arange(year.fruit.stage.size)
    best = np.array([_sold_at(mornings[n]) for n in range(len(year.markets))])
    lacks = np.array([min(m.buyers, m.most) for m in year.markets]) - best.sum(axis=1)
    left = every[~best.any(axis=0)]
    can, found = chances(year), Counter[str]()
    cause = np.array([_causes(mornings[n]) for n in range(len(year.markets))]).T
    for number, name in enumerate(CAUSES[:-1]):
        market = given(can[left] & (cause[left] == number), lacks.tolist())
        found[name] = int((market >= 0).sum())
        lacks -= np.bincount(market[market >= 0], minlength=lacks.size)
        left = left[market < 0]
    found[CAUSES[-1]] = most_sold(year) - int(best.sum()) - found.total()
    return found


def _sold_at(morning: Morning) -> Flags:
    sold = morning.after == Fate.SOLD_AT_BEST
    return np.asarray(sold & (morning.before == Fate.IN_STORE))


def _causes(morning: Morning) -> Numbers:
    """The number of the cause of which each fruit would be lost that day."""
    was, warm = morning.was, morning.room != COLD
    gone = np.where(morning.before == Fate.THROWN, 6, np.where(morning.before > 0, 5, -1))
    return np.select(
        [was == Condition.FIT, was == Condition.FIRM, was == Condition.PAST],
        [np.where(morning.squeezed, 1, 0), np.where(warm, 3, 2), np.full(was.size, 4)],
        gone,
    )


def told(lost: Mapping[str, Sequence[Counter[str]]]) -> Iterator[str]:
    """Lines of a table: mean fruit of a season that each grower lost, by cause."""
    yield "| of what the oracle sells, lost | " + " | ".join(lost) + " |"
    yield "| --- |" + " ---: |" * len(lost)
    for name in CAUSES:
        means = (np.mean([one[name] for one in own]) for own in lost.values())
        yield f"| {name} | " + " | ".join(f"{mean:,.0f}" for mean in means) + " |"
