"""Cultivars on record of which nothing was picked yet, while others of their crop are.

Whoever writes down that a late cultivar stands on the farm will pick it: a plan that counts on
nothing of it keeps the early fruit for late markets, and starves the near ones. When it begins is
guessed from the middle of other harvests and from the order in which cultivars ripen, how much it
brings from its rows, or from what others bear; both in wide doubt, and that it bears at all is
none too sure, less so with each day on which it could have begun.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import fmean

from ripenroom.records.book import Book
from ripenroom.records.orchard import Cultivar, Row
from ripenroom.science.orchard.coming_harvest import Coming, coming_of
from ripenroom.season.orchard.orchard_rows import counted_fruit
from ripenroom.season.plans.harvests import (
    CULTIVAR_SPREAD_DAYS,
    FEWEST,
    SPREAD_LOG_SD,
    Begun,
    Due,
    alike_sd,
)

BEARS = 0.8
"""How likely a cultivar on record is picked this season at all, before anything is known of it:
some stand there to pollinate, are young, or lost their bloom to a late frost (an estimate)."""

GROUPS_APART_DAYS, GROUPS_APART_SD = 7.0, 3.5
"""From the middle of early cultivars to that of mid-season ones, and from these to late ones: about
a week, since trees overlap a good deal that bear for two (Peterson's order of pawpaws; an estimate
for other crops), half as much or half as much again."""

MIDDLES_APART_SD = 3.5
"""How far the middles of cultivars of one group lie apart (an estimate)."""

_PICKED_OF_COUNTED_SD = 0.3
"""What is picked of fruit that was counted, as the sd of the log: some drop, some are overlooked
(an estimate)."""

_GROUPS: Mapping[str | None, int] = {"early": -1, "mid": 0, None: 0, "late": 1}

_ANY_GROUP_SD = GROUPS_APART_DAYS * math.sqrt(2.0 / 3.0)
"""What a cultivar is off the middle ones where nobody said when it ripens: it may be any."""


@dataclass(frozen=True, slots=True)
class NotBegun:
    """A cultivar that was never picked yet, in days from the farm's last pick on."""

    cultivar_id: str
    harvest: Coming

    @property
    def pick_days(self) -> frozenset[date]:
        """None so far."""
        return frozenset()

    def comes(self, due: Due) -> tuple[float, float, float]:
        """As any harvest says it."""
        mid, sd = self.harvest.comes(0.0 if due.first else due.since, due.until)
        return mid, 0.0, sd

    def over(self, after: float) -> bool:
        """As any harvest says it."""
        return self.harvest.comes(after, math.inf)[0] < FEWEST


def not_begun(
    book: Book, crop: str, harvests: Sequence[Begun], known: frozenset[str], overdue: float
) -> list[NotBegun]:
    """Cultivars of a crop on record that were never picked, by what the ``harvests`` that have
    begun tell of them; without those that are ``known`` better.

    None while no harvest tells how many fruit there are. Nor where fruit without a cultivar was
    picked: it may be theirs. A pick that is ``overdue`` for some days was not missed by them, as
    far as they are concerned.
    """
    told = [one for one in harvests if one.known]
    if not told or any(one.cultivar_id is None for one in harvests):
        return []
    ever = known | {batch.cultivar_id or "" for batch in book.batches.values()}
    own = [one for one in book.cultivars.values() if one.crop == crop and one.id not in ever]
    found = []
    for cultivar in sorted(own, key=lambda one: (one.name, one.id)):
        harvest = coming_of(
            _middle(cultivar, told, book),
            (CULTIVAR_SPREAD_DAYS, SPREAD_LOG_SD),
            _log_all(cultivar, told, book),
            BEARS,
            overdue,
        )
        if harvest is not None:
            found.append(NotBegun(cultivar.id, harvest))
    return found


def _middle(cultivar: Cultivar, told: Sequence[Begun], book: Book) -> tuple[float, float]:
    """When half of a cultivar's fruit has come due, in days from the farm's last pick on, with its
    sd: as other harvests lie, and as far from these as it ripens earlier or later."""
    sure, middles, groups = [], [], []
    for one in told:
        assert one.course is not None, "a harvest that tells has a course"
        other = book.cultivars[one.cultivar_id or ""]
        day, sd = one.course.middle_day
        group = _GROUPS[other.group]
        sure.append(1.0 / (sd**2 + _own_sd(other) ** 2))
        middles.append(day - one.ago - GROUPS_APART_DAYS * group)
        groups.append(group)
    total = sum(sure)
    mean, of_group = (
        sum(weight * value for weight, value in zip(sure, column, strict=True)) / total
        for column in (middles, groups)
    )
    group = _GROUPS[cultivar.group]
    sd = math.hypot(_own_sd(cultivar), total**-0.5, GROUPS_APART_SD * (group - of_group))
    return mean + GROUPS_APART_DAYS * group, sd


def _own_sd(cultivar: Cultivar) -> float:
    """How far a cultivar's middle lies from that of its group."""
    return math.hypot(MIDDLES_APART_SD, 0.0 if cultivar.group else _ANY_GROUP_SD)


def _log_all(cultivar: Cultivar, told: Sequence[Begun], book: Book) -> tuple[float, float]:
    """The log of all fruit of a cultivar and its sd: as they were counted on its rows, else as many
    to a tree as others bear, else as many as these."""
    own = _rows_of(book, cultivar.id)
    counts = [counted_fruit(row) for row in own]
    if counts and all(one is not None and one.fruit > 0.0 for one in counts):
        fruit = sum(one.fruit for one in counts if one is not None)
        doubt = max(one.log_sd for one in counts if one is not None)
        return math.log(fruit), math.hypot(doubt, _PICKED_OF_COUNTED_SD)
    usual = {one.cultivar_id: one.course.usual_log_all for one in told if one.course is not None}
    trees = _trees(own)
    if trees:
        to_a_tree = [
            log_all - math.log(of_other)
            for key, log_all in usual.items()
            if (of_other := _trees(_rows_of(book, key or "")))
        ]
        if to_a_tree:
            return fmean(to_a_tree) + math.log(trees), alike_sd(len(to_a_tree))
    return fmean(usual.values()), alike_sd(len(usual))


def _rows_of(book: Book, cultivar_id: str) -> list[Row]:
    return [row for row in book.rows.values() if row.cultivar_id == cultivar_id]


def _trees(rows: Sequence[Row]) -> int | None:
    """Trees in all of the rows; None where a row says nothing of them."""
    trees = [row.trees or 0 for row in rows]
    return sum(trees) if trees and all(trees) else None
