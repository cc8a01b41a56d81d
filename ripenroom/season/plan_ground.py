"""From a season's records to the problem that the planner solves."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.planning.itineraries import Choices, find
from ripenroom.planning.problem import NO_WANT, Problem, Wants
from ripenroom.planning.prospects import Prospects
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.market import MarketDay, Want
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.foresight import looking
from ripenroom.season.lines import Lines
from ripenroom.season.moments import CLOCK_SLACK, column, to_hours
from ripenroom.season.projector import Projector

if TYPE_CHECKING:
    from ripenroom.season.learning.learned import Learned

PLAN_AHEAD = timedelta(days=45)
"""Market days further ahead are not planned for: by then other fruit is at hand."""

MOVING_TIME = time(18)
"""Local time at which the plan moves crates: when the day's picking and selling is done."""

UNPRICED_MINOR = 100.0
"""Price (minor units) of a fruit where no want of the season names one: any will do, as then all
fruit is worth the same."""

_LEAST_FRUIT = 0.5
"""A batch with less left than this has none; what was weighed need not come out at whole fruit."""

_NO_DESTINATION = "field bin"
"""The kind of place that fruit is not moved to."""


@dataclass(frozen=True, slots=True)
class Ground:
    """A problem, and what its numbers point to.

    ``lines`` are the batches, in the order of their ids; ``closes_h`` when each is past (inf:
    never). ``days`` are the market days ahead; ``day_of_want`` numbers that of each want, and
    ``crop_of_want`` is the key of its crop.
    ``evening_h`` are the evenings on which moves can be made.
    """

    problem: Problem
    prospects: Prospects | None
    lines: Lines
    closes_h: Floats
    days: tuple[MarketDay, ...]
    day_of_want: Indices
    crop_of_want: tuple[str, ...]
    evening_h: Floats


def ground(
    book: Book,
    crops: Mapping[str, CropProfile],
    now: datetime,
    zone: ZoneInfo,
    learned: "Learned | None" = None,
) -> Ground:
    """What can be decided as on ``now``: of fruit that is picked, for market days ahead."""
    projector = Projector(crops, zone, learned)
    outlook = projector.outlook(book, now)
    soon_h = to_hours(now + CLOCK_SLACK)
    left = outlook.lines.left_at(np.array([soon_h]))[:, 0]
    here = np.flatnonzero((left >= _LEAST_FRUIT) & (outlook.lines.batches.picked_h <= soon_h))
    # By id, so that the order in which a file gives its records makes no other plan.
    here = np.array(sorted(here.tolist(), key=lambda n: outlook.lines.ids[n]), dtype=np.intp)
    lines, left = outlook.lines.of(here), left[here]
    closes_h = outlook.eat_by.closes.mid[here]
    closes_h = np.where(np.isnan(closes_h), np.inf, closes_h)

    days = _days_ahead(book, now)
    wanted = _wanted(book, days)
    day_of_want = np.array([days.index(day) for day, _ in wanted], dtype=np.intp)
    start_h = column(day.starts_at for day in days)
    evening_h = _evenings(now, days, zone)
    choices = Choices(
        stays=lines.stays,
        pinned=lines.stays.start_h[:, -1] > soon_h,
        gone_h=closes_h,
        want_of=_want_of(lines, len(days), wanted, day_of_want),
        start_h=start_h,
        evening_h=evening_h,
        destinations=np.array(
            [
                n
                for n, key in enumerate(lines.place_ids)
                if book.places[key].kind != _NO_DESTINATION
            ],
            dtype=np.intp,
        ),
    )
    until_h = start_h + np.array([24.0 * day.eat_within_days for day in days])
    ways, prospects = find(choices, looking(projector, book, now, lines, start_h, until_h))

    usual = np.array([crops[key].fruit_per_crate.value for key in lines.crop_keys])
    crates = np.ceil(left / usual[lines.crop] - 1e-9).astype(np.intp)
    wants = Wants(
        np.array([want.count for _, want in wanted], dtype=float),
        _prices([want for _, want in wanted], list(book.wants.values())),
        start_h[day_of_want],
    )
    room = np.repeat(_capacity(book, lines.place_ids)[:, None], evening_h.size, axis=1)
    problem = Problem(crates, left / crates, wants, ways, room)
    return Ground(
        _with_what_stands_there(problem),
        prospects,
        lines,
        closes_h,
        days,
        day_of_want,
        tuple(want.crop for _, want in wanted),
        evening_h,
    )


def _days_ahead(book: Book, now: datetime) -> tuple[MarketDay, ...]:
    """Market days that can still be planned for, earliest first."""
    ahead = (day for day in book.market_days.values() if now < day.starts_at <= now + PLAN_AHEAD)
    return tuple(sorted(ahead, key=lambda day: (day.starts_at, day.id)))


def _wanted(book: Book, days: Sequence[MarketDay]) -> list[tuple[MarketDay, Want]]:
    """Wants of market days, in their order and that of the crops."""
    day_of = {day.id: day for day in days}
    wants = (want for want in book.wants.values() if want.market_day_id in day_of and want.count)
    found = [(day_of[want.market_day_id], want) for want in wants]
    return sorted(found, key=lambda pair: (pair[0].starts_at, pair[0].id, pair[1].crop))


def _want_of(
    lines: Lines, days: int, wanted: Sequence[tuple[MarketDay, Want]], day_of_want: Indices
) -> Indices:
    """Which want each batch can serve on each market day, (batches, days)."""
    of_crop = np.full((len(lines.crop_keys), days), NO_WANT)
    for number, (_, want) in enumerate(wanted):
        if want.crop in lines.crop_keys:
            of_crop[lines.crop_keys.index(want.crop), day_of_want[number]] = number
    return of_crop[lines.crop]


def _evenings(now: datetime, days: Sequence[MarketDay], zone: ZoneInfo) -> Floats:
    """When moves can be made (h): every evening from now to the last market day."""
    if not days:
        return np.empty(0)
    first = now.astimezone(zone).date()
    number = (days[-1].starts_at.astimezone(zone).date() - first).days + 1
    evenings = (
        datetime.combine(first + timedelta(days=n), MOVING_TIME, tzinfo=zone) for n in range(number)
    )
    return column(evening for evening in evenings if now < evening < days[-1].starts_at)


def _capacity(book: Book, place_ids: Sequence[str]) -> Floats:
    """Crates that each place holds; inf where space is no limit."""
    capacities = (book.places[key].capacity_crates for key in place_ids)
    return np.array([np.inf if holds is None else holds for holds in capacities], dtype=float)


def _prices(wants: Sequence[Want], known: Sequence[Want]) -> Floats:
    """Price (minor units) of each want; where none is named, the crop's usual, or any."""

    def usual(crop: str | None) -> float | None:
        named = [w.price_minor for w in known if crop in (None, w.crop)]
        prices = [price for price in named if price is not None]
        return sum(prices) / len(prices) if prices else None

    found = []
    for want in wants:
        price: float | None = want.price_minor
        for other in (want.crop, None):
            price = usual(other) if price is None else price
        found.append(UNPRICED_MINOR if price is None else price)
    return np.array(found, dtype=float)


def _with_what_stands_there(problem: Problem) -> Problem:
    """The problem with room at least for what stands in each place already, or will as written
    down: a place that is over its capacity can be eased, and no plan may be ruled out by it."""
    left = np.where(problem.ways.want == NO_WANT, problem.crates[problem.ways.batch], 0)
    return replace(problem, room=np.maximum(problem.room, problem.load(left)))
