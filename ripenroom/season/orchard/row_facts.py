"""What is known of each row so far: fruit that hung, was picked, dropped and sold."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import fmean, stdev

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.orchard import Row, Walk
from ripenroom.season.balance import Tally, balance
from ripenroom.season.orchard.found import FruitRange

_Z_80 = 1.2816
"""Standard deviations to either side that hold 80 % of a normal distribution."""


@dataclass(frozen=True, slots=True)
class CountedFruit:
    """Fruit on the trees of a row when it was counted: the middle, and how sure it is as the
    standard deviation of its natural logarithm."""

    fruit: float
    log_sd: float

    @property
    def range(self) -> FruitRange:
        """The middle with its 80 % range."""
        factor = math.exp(_Z_80 * self.log_sd)
        return FruitRange(self.fruit / factor, self.fruit, self.fruit * factor)


@dataclass(frozen=True, slots=True)
class RowFacts:
    """A row and what is written down of it; ``walks`` are in their order, latest last.

    ``tally`` is what was picked of it and became of that; ``on_ground`` all fruit that walks found
    fallen.
    """

    row: Row
    crop: str | None
    counted: CountedFruit | None
    tally: Tally
    on_ground: int
    walks: tuple[Walk, ...]


def counted_fruit(row: Row) -> CountedFruit | None:
    """How many fruit were on the trees of a row when they were counted; None if nobody did.

    Of counts on branches it is mean x branches x trees. Its doubt is the one that was typed,
    and no less than what the counts differ among themselves leaves of their mean.
    """
    log_sd = math.log1p(row.fruit_doubt) / _Z_80
    if row.fruit_on_trees is not None:
        return CountedFruit(float(row.fruit_on_trees), log_sd)
    if not row.branch_counts or not row.trees or row.branches_per_tree is None:
        return None
    mean = fmean(row.branch_counts)
    if len(row.branch_counts) > 1 and mean > 0.0:
        of_mean = stdev(row.branch_counts) / math.sqrt(len(row.branch_counts)) / mean
        log_sd = max(log_sd, of_mean)
    return CountedFruit(mean * row.branches_per_tree * row.trees, log_sd)


def row_facts(book: Book, crops: Mapping[str, CropProfile]) -> tuple[RowFacts, ...]:
    """All rows by name."""
    picked: dict[str, Tally] = {}
    for line in balance(book, crops).rows:
        if line.key is not None:
            picked[line.key] = picked.get(line.key, Tally()).plus(line.tally)
    walks: dict[str, list[Walk]] = {}
    for walk in sorted(book.walks.values(), key=lambda w: (w.at, w.id)):
        walks.setdefault(walk.row_id, []).append(walk)
    return tuple(
        _facts(book, row, picked.get(row.id, Tally()), tuple(walks.get(row.id, ())))
        for row in sorted(book.rows.values(), key=lambda row: (row.name.casefold(), row.id))
    )


def _facts(book: Book, row: Row, tally: Tally, walks: tuple[Walk, ...]) -> RowFacts:
    cultivar = book.cultivars.get(row.cultivar_id or "")
    return RowFacts(
        row=row,
        crop=cultivar.crop if cultivar else None,
        counted=counted_fruit(row),
        tally=tally,
        on_ground=sum(walk.on_ground or 0 for walk in walks),
        walks=walks,
    )
