"""How much fruit of each crop will be ready on each market day.

The number to count on includes every uncertainty. Its range follows from what all batches of a
crop share, the doubt about their rate: when the rate is high they are all early together, so the
ranges of single batches must not be added as if they were independent.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from ripenroom.records.book import Book
from ripenroom.records.market import MarketDay
from ripenroom.science.softening import Floats
from ripenroom.science.spread import even_z
from ripenroom.season.buyers import all_days, when_eaten
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.findings import Supply
from ripenroom.season.kinds import CropKind
from ripenroom.season.moments import column
from ripenroom.season.outlook import Outlook

_LEVELS = 21
"""Equally likely levels of the shared rate; enough for the 10 and 90 % points of a smooth curve."""

_SHARED_Z = even_z(_LEVELS)


def supply(
    outlook: Outlook, book: Book, constants: Mapping[CropKind, CropConstants]
) -> tuple[Supply, ...]:
    """Wanted and ready fruit of every want, in the order of market days and crops.

    Fruit counts for a market day if it is not past when the market begins, and is ready then or
    becomes ready in its buyers' kitchens within the days in which they eat it.
    """
    days = sorted(book.market_days.values(), key=lambda day: day.starts_at)
    wants = sorted(book.wants.values(), key=lambda want: want.crop)
    if not days:
        return ()
    if not outlook.lines.ids:
        return tuple(
            Supply(day.id, want.crop, want.count, 0.0, 0.0, 0.0)
            for day in days
            for want in wants
            if want.market_day_id == day.id
        )
    fruit = outlook.lines.left_at(column(day.starts_at for day in days))
    crops = [constants[kind] for kind in outlook.lines.kinds]
    expected, levels = _ready(outlook, days, crops)
    number = {key: n for n, key in enumerate(outlook.lines.crop_keys)}
    found = []
    for which, day in enumerate(days):
        for want in (w for w in wants if w.market_day_id == day.id):
            of_crop = fruit[:, which] * (outlook.lines.crop == number.get(want.crop, -1))
            low, high = np.quantile(of_crop @ levels[:, which, :], (0.1, 0.9))
            ready = float(of_crop @ expected[:, which])
            # A few early fruit can lift the expected number out of a narrow range; it is held in.
            found.append(
                Supply(
                    day.id,
                    want.crop,
                    want.count,
                    ready,
                    min(float(low), ready),
                    max(float(high), ready),
                )
            )
    return tuple(found)


def _ready(
    outlook: Outlook, days: Sequence[MarketDay], crops: Sequence[CropConstants]
) -> tuple[Floats, Floats]:
    """Ready share per batch and day: expected, and (last axis) at every level of the rate."""
    starts_h = column(day.starts_at for day in days)
    eaten_days = all_days(days, crops)
    in_supply = outlook.in_supply(starts_h)
    expected = -outlook.shares(starts_h)[1] * in_supply
    levels = np.zeros((*expected.shape, _LEVELS))
    for part in outlook.parts():
        start = part.outlook.gained(starts_h)
        eaten = when_eaten(part, start, starts_h, eaten_days, crops)
        counted = part.weight * in_supply[part.lines]
        expected[part.lines] += eaten.ready(part.outlook.batches) * counted
        for level, z in enumerate(_SHARED_Z):
            beyond_ready = eaten.ready_at_rate(part.outlook.batches, float(z))
            beyond_past = part.outlook.beyond_at_rate(start, float(z))[1]
            levels[part.lines, :, level] += np.maximum(beyond_ready - beyond_past, 0.0) * counted
    return np.maximum(expected, 0.0), levels
