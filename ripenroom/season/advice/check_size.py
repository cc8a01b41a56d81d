"""How many fruit of a batch to squeeze for a given certainty about its next date."""

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np

from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import Book
from ripenroom.science.check_design import AgeDoubt
from ripenroom.science.eat_by_dates import TOO_SOFT
from ripenroom.science.outlook import Outlook
from ripenroom.science.spread import TAIL_80
from ripenroom.season.advice.advice import WARM_C, CheckDesign, DateKind
from ripenroom.season.advice.check_gain import telling
from ripenroom.season.learned import CheckKind
from ripenroom.season.moments import to_hours
from ripenroom.season.projector import Projector

MOST_FRUIT = 60
_WANTED_DAYS = 1.0
_MOST_OF_IT = 0.75
"""Where no number of fruit tells the day, or it is known already: enough of what they can tell."""

_FEWEST = 5
"""Fewer fruit may all be of one corner of a crate."""

_WORTH_IT = 0.9
"""A check that leaves more than this share of the doubt is hardly worth cold hands."""


def check_design(
    book: Book,
    now: datetime,
    batch: Batch,
    moves: Sequence[Move],
    projector: Projector,
    kind: CheckKind,
    left: int,
) -> CheckDesign | None:
    """What squeezing fruit of a batch now would tell; None where no date of it lies ahead.

    ``left`` fruit are there to be squeezed.
    """
    alone = replace(book, batches={batch.id: batch}, moves={move.id: move for move in moves})
    outlook = projector.outlook(alone, now)
    batches, way = outlook.batches, outlook.way
    crop = projector.constants.of_batch(batch, book)
    now_h = to_hours(now)
    doubt = AgeDoubt(float(batches.doubt_sd[0]), float(way.rate_sd[0]))
    date = _date_ahead(outlook, now_h)
    if date is not None:
        named, date_h, half_width_days = date
        advance, at_date = outlook.gained(np.array([now_h, date_h])).advance[0].tolist()
    else:
        advance = float(outlook.gained(np.array([now_h])).advance[0, 0])
        at_date = crop.ready_age - float(batches.mean_age[0])
        if at_date <= advance or crop.gate.shut:
            return None
        named = DateKind.READY_IF_WARM
        # How much more slowly it ages in the cold is doubtful as well, but not that in the warm.
        doubt = AgeDoubt(doubt.age_sd, float(batches.rate_sd[0]))
        per_day = float(batches.rate_per_day[0]) * float(crop.response.relative_rate(WARM_C))
        half_width_days = TAIL_80 * doubt.sd_at(at_date) / per_day
    age = float(batches.mean_age[0]) + advance
    tells = telling(crop, age, float(batches.fruit_sd[0]), kind is CheckKind.FEEL)
    fruit = np.arange(min(MOST_FRUIT, left) + 1)
    within = half_width_days * doubt.of_date_after(fruit, tells, advance, at_date)
    return CheckDesign(batch.id, named, tuple(within.tolist()), _enough(within.tolist()))


def _date_ahead(outlook: Outlook, now_h: float) -> tuple[DateKind, float, float] | None:
    """Which date a check tells about, when it is (h), and half of its 80 % range (days)."""
    eat_by = outlook.eat_by
    for kind, dates in ((DateKind.OPENS, eat_by.opens), (DateKind.CLOSES, eat_by.closes)):
        middle = float(dates.mid[0])
        width_h = float(dates.high[0] - dates.low[0])
        if not math.isfinite(middle) or middle <= now_h or not math.isfinite(width_h):
            continue
        if kind is DateKind.CLOSES and eat_by.cause[0] != TOO_SOFT:
            continue  # softness does not tell when anything else is used up
        return kind, middle, width_h / 48.0
    return None


def _enough(within_days: Sequence[float]) -> int | None:
    best = within_days[-1]
    if best > _WORTH_IT * within_days[0]:
        return None
    most_of_it = within_days[0] + _MOST_OF_IT * (best - within_days[0])
    wanted = _WANTED_DAYS if best < _WANTED_DAYS < within_days[0] else most_of_it
    enough = next(number for number, days in enumerate(within_days) if days <= wanted)
    return min(max(enough, _FEWEST), len(within_days) - 1)
