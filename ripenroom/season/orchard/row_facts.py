"""What is known of each row so far: fruit that hung, was picked, dropped and sold."""

import math
from collections.abc import Mapping
from statistics import fmean, stdev

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.orchard import Row, Walk
from ripenroom.season.fruit_balance import Tally, balance
from ripenroom.season.orchard.found import Z_80, CountedFruit, RowFacts


def counted_fruit(row: Row) -> CountedFruit | None:
    """How many fruit were on the trees of a row when they were counted; None if nobody did.

    Of counts on branches it is mean x branches x trees. Its doubt is the one that was typed,
    and no less than what the counts differ among themselves leaves of their mean.
    """
    log_sd = math.log1p(row.fruit_doubt) / Z_80
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
