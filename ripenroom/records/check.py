"""Checks: fruit of a batch squeezed again; and lessons: what earlier seasons' checks taught."""

from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from ripenroom.records.batch import FEELS, Batch, FeelCounts
from ripenroom.records.limits import (
    Checks,
    CropKey,
    Id,
    LogLife,
    LogLifeSd,
    LogRate,
    LogRateSd,
    LogSpread,
    Moment,
    Name,
    Note,
    PickedFruit,
    PickedOverDays,
    ProbeMm,
    Readings,
    TreeDays,
    TreeDaysSd,
)
from ripenroom.units import ForceUnit

_UNPICKED = 10**9
"""More fruit than any batch has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """What fruit of a batch felt like at ``at`` (UTC); the fruit was taken at random.

    Known by ``feel_counts`` (fruit of each feel) or by ``readings`` as the gauge showed them, in
    ``reading_unit`` with a probe of ``probe_mm``. A check that is not ``counted`` stays written
    down, and nothing is learned from it.

    A batch that was *picked over* for a market day whose buyers eat within ``eat_within_days`` was
    looked at as that asks: of its ``picked_from`` fruit those of some crates were all squeezed, and
    ``feel_counts`` are so many left as too firm, none, taken, left as too soft, and gone as too
    soft (see :attr:`sorted_counts`).
    """

    id: Id
    batch_id: Id
    at: Moment
    feel_counts: FeelCounts | None = None
    readings: Readings = ()
    reading_unit: ForceUnit | None = None
    probe_mm: ProbeMm | None = None
    counted: bool = True
    note: Note = ""
    eat_within_days: PickedOverDays | None = None
    picked_from: PickedFruit | None = None

    @property
    def picks_over(self) -> bool:
        """Whether the batch was picked over, and not a sample of it squeezed."""
        return self.eat_within_days is not None

    @property
    def order(self) -> tuple[datetime, int, str]:
        """Goes up from check to check of a batch. Of those of one moment a sample was squeezed
        first, and of two pickings over the later one found less fruit there."""
        return self.at, -(self.picked_from or _UNPICKED), self.id

    @property
    def sorted_counts(self) -> "SortedCounts":
        """What a picking over made of the fruit that it looked at; of any other check nothing."""
        if self.feel_counts is None or not self.picks_over:
            return SortedCounts(0, 0, 0, 0)
        firm, _, taken, soft, gone = self.feel_counts
        return SortedCounts(firm, taken, soft, gone)


class SortedCounts(NamedTuple):
    """Fruit that was too ``firm`` and left, was ``taken``, was too ``soft`` and left all the same,
    or too soft and is ``gone``: thrown away, or sold for second grade."""

    firm: int
    taken: int
    soft: int
    gone: int


def last_felt(batch: Batch, last: Check | None) -> str | None:
    """How most fruit of a batch felt (one of :data:`~ripenroom.records.batch.FEELS`) when it was
    squeezed ``last``, or else at the pick: what a grower knows it by. None if it never was."""
    counts = batch.feel_counts if last is None else last.feel_counts
    if counts is None or not any(counts):
        return None
    return FEELS[max(range(len(FEELS)), key=lambda feel: counts[feel])]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """How fast fruit softened compared with the crop's profile, as learned from ``checks``.

    ``log_rate`` is the natural logarithm of how many times as fast, ``log_rate_sd`` how sure that
    is. It holds for cultivars of the ``cultivar`` name, or for all of the crop if that is None.
    ``log_life``, with its sd, says the same of how many times as long ripe fruit of the crop lasts,
    whatever the cultivar; None where nothing was learned of that. ``taught_by`` names the season
    that it comes from.
    """

    id: Id
    crop: CropKey
    cultivar: Name | None
    log_rate: LogRate
    log_rate_sd: LogRateSd
    checks: Checks
    taught_by: Name
    log_life: LogLife | None = None
    log_life_sd: LogLifeSd | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeLesson:
    """When fruit got ready on the tree, and how fast it went on there, as learned from ``walks``.

    ``needs_days`` are tree days from full bloom until half of a row's fruit gives: degree days over
    those of a usual day where ``by_heat``, else days of the calendar. ``log_spread`` is the natural
    logarithm of how much the fruit of a row differ in that (tree days), ``log_pace`` of how many
    times as fast as usual they soften on the tree. Each ``_sd`` says how sure that is. ``days_off``
    is by how many days that season's forecasts missed, half of the time; None where none was held
    to what came. It holds for cultivars of the ``cultivar`` name, or for all of the crop if that is
    None. ``taught_by`` names the season that it comes from.
    """

    id: Id
    crop: CropKey
    cultivar: Name | None
    by_heat: bool
    needs_days: TreeDays
    needs_sd: TreeDaysSd
    log_spread: LogSpread
    log_spread_sd: LogRateSd
    log_pace: LogRate
    log_pace_sd: LogRateSd
    walks: Checks
    taught_by: Name
    days_off: TreeDaysSd | None = None
