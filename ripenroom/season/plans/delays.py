"""What becomes of crates that a plan moves now, if they are moved a day later, or not at all."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from ripenroom.planning.choices import Journeys
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.moments import column, to_hours
from ripenroom.season.plans.journey_outlook import JourneyOutlook, SaleTimes
from ripenroom.season.plans.plan import PlannedItinerary, PlannedMove
from ripenroom.season.projector import Projector
from ripenroom.season.state import SeasonState

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Delay:
    """Expected ready shares at the market day of a planned move that is not made in time.

    ``later`` is that of a move one day later, None where the market day has begun by then;
    ``never`` that of fruit which stays where it is.
    """

    later: float | None
    never: float


def if_left(
    state: SeasonState, planned: Sequence[PlannedItinerary]
) -> dict[PlannedItinerary, Delay]:
    """Of each planned line with a move and a market day, as on ``now``.

    Lines of picks that are only expected, and of batches that are to be moved anyway as written
    down, are left out.
    """
    ahead = {move.batch_id for move in state.book.moves.values() if move.at > state.now}
    projector = Projector.of(state)
    lines = projector.outlook(state.book, state.now).lines
    number = {batch_id: n for n, batch_id in enumerate(lines.ids)}
    asked = [
        line
        for line in planned
        if line.steps
        and line.market_day_id in state.book.market_days
        and line.batch_id in number
        and line.batch_id not in ahead
        and all(step.place_id in lines.place_ids for step in line.steps)
    ]
    if not asked:
        return {}
    days = sorted(
        (state.book.market_days[key] for key in {line.market_day_id for line in asked} if key),
        key=lambda day: (day.starts_at, day.id),
    )
    day_of = {day.id: n for n, day in enumerate(days)}
    starts_h = column(day.starts_at for day in days)
    batch = np.array([number[line.batch_id] for line in asked], dtype=np.intp)
    later = [_a_day_later(line.steps) for line in asked]

    def number_of(moves: Sequence[PlannedMove | None]) -> Indices:
        return np.array(
            [-1 if move is None else lines.place_ids.index(move.place_id) for move in moves]
        )

    firsts, lasts = [first for first, _ in later], [last for _, last in later]
    none_h, none = np.full(batch.size, np.nan), np.full(batch.size, -1)
    journeys = Journeys(
        batch=np.concatenate([batch, batch]),
        first_h=np.concatenate([_hours(firsts), none_h]),
        first_place=np.concatenate([number_of(firsts), none]),
        move_h=np.concatenate([_hours(lasts), none_h]),
        place=np.concatenate([number_of(lasts), lines.stays.place[batch, -1]]),
    )
    look = JourneyOutlook(projector, state.book, state.now, lines).looking_at(
        SaleTimes.at_markets(days)
    )
    shares = look(journeys).expected()
    last_h = _hours(lasts)
    found = {}
    for n, line in enumerate(asked):
        day = day_of[line.market_day_id or ""]
        in_time = last_h[n] < starts_h[day]
        found[line] = Delay(
            float(shares[n, day]) if in_time else None, float(shares[len(asked) + n, day])
        )
    return found


def _a_day_later(steps: Sequence[PlannedMove]) -> tuple[PlannedMove | None, PlannedMove]:
    """The moves if the first is made a day later; it is left out where the next is due by then."""
    first = steps[0]._replace(at=steps[0].at + _DAY)
    if len(steps) == 1:
        return None, first
    return (first if first.at < steps[1].at else None), steps[1]


def _hours(moves: Sequence[PlannedMove | None]) -> Floats:
    return np.array([np.nan if move is None else to_hours(move.at) for move in moves])
