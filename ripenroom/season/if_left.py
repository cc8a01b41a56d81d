"""What becomes of crates that a plan moves now, if they are moved a day later, or not at all."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.planning.itineraries import Journeys
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.foresight import Foresight, Sales
from ripenroom.season.moments import column, to_hours
from ripenroom.season.planned import PlannedLine
from ripenroom.season.projector import Projector

if TYPE_CHECKING:
    from ripenroom.season.learning.learned import Learned

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class IfLeft:
    """Expected ready shares at the market day of a planned move that is not made in time.

    ``later`` is that of a move one day later, None where the market day has begun by then;
    ``never`` that of fruit which stays where it is.
    """

    later: float | None
    never: float


def if_left(
    book: Book,
    crops: Mapping[str, CropProfile],
    now: datetime,
    zone: ZoneInfo,
    planned: Sequence[PlannedLine],
    learned: "Learned | None" = None,
) -> dict[PlannedLine, IfLeft]:
    """Of each planned line with one move and a market day, as on ``now``.

    Lines of picks that are only expected, and of batches that are to be moved anyway as written
    down, are left out.
    """
    ahead = {move.batch_id for move in book.moves.values() if move.at > now}
    projector = Projector(crops, zone, learned)
    lines = projector.outlook(book, now).lines
    number = {batch_id: n for n, batch_id in enumerate(lines.ids)}
    asked = [
        line
        for line in planned
        if len(line.steps) == 1
        and line.market_day_id in book.market_days
        and line.batch_id in number
        and line.batch_id not in ahead
        and line.to_place_id in lines.place_ids
    ]
    if not asked:
        return {}
    days = sorted(
        (book.market_days[key] for key in {line.market_day_id for line in asked} if key),
        key=lambda day: (day.starts_at, day.id),
    )
    day_of = {day.id: n for n, day in enumerate(days)}
    starts_h = column(day.starts_at for day in days)
    until_h = starts_h + np.array([24.0 * day.eat_within_days for day in days])
    batch = np.array([number[line.batch_id] for line in asked], dtype=np.intp)
    later_h = np.array([to_hours(line.steps[0].at + _DAY) for line in asked])
    target = np.array([lines.place_ids.index(line.steps[0].place_id) for line in asked])
    here = lines.stays.place[batch, -1]
    one_move = 2 * batch.size
    journeys = Journeys(
        np.concatenate([batch, batch]),
        np.full(one_move, np.nan),
        np.full(one_move, -1),
        np.concatenate([later_h, np.full(batch.size, np.nan)]),
        np.concatenate([target, here]),
    )
    look = Foresight(projector, book, now, lines).looking_at(Sales.at_markets(starts_h, until_h))
    shares = look(journeys).expected()
    found = {}
    for n, line in enumerate(asked):
        day = day_of[line.market_day_id or ""]
        later = float(shares[n, day]) if later_h[n] < starts_h[day] else None
        found[line] = IfLeft(later, float(shares[len(asked) + n, day]))
    return found
