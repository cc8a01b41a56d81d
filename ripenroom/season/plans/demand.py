"""What a plan can sell fruit for: at market days ahead, and for second grade."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from ripenroom.planning.problem import NO_WANT, Wants
from ripenroom.records.book import Book
from ripenroom.records.market import MarketDay, SecondGrade, SoldBy, Want
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats
from ripenroom.season.batch_columns import BatchColumns
from ripenroom.season.moments import column, from_hours, local_day
from ripenroom.units import KILOGRAMS_PER

PLAN_AHEAD = timedelta(days=45)
"""Market days further ahead are not planned for: by then other fruit is at hand."""

UNPRICED_MINOR = 100.0
"""Price (minor units) of a fruit where no want of the season names one: any will do, as then all
fruit is worth the same."""


_NEXT_TO_NOTHING_MINOR = 0.01


@dataclass(frozen=True, slots=True)
class Demand:
    """``wants`` as the planner takes them, and what they are: of market days first.

    ``day`` numbers the day in ``days`` of each want of a market day; ``crop`` is the key of each
    want's crop.
    """

    wants: Wants
    days: tuple[MarketDay, ...]
    day: Indices
    crop: tuple[str, ...]


def days_ahead(book: Book, now: datetime) -> tuple[MarketDay, ...]:
    """Market days that can still be planned for, earliest first."""
    ahead = (day for day in book.market_days.values() if now < day.starts_at <= now + PLAN_AHEAD)
    return tuple(sorted(ahead, key=lambda day: (day.starts_at, day.name, day.id)))


def days_in_sight(book: Book, now: datetime) -> tuple[MarketDay, ...]:
    """Market days ahead that want anything, earliest first."""
    wanted = {want.market_day_id for want in book.wants.values() if want.count}
    return tuple(day for day in days_ahead(book, now) if day.id in wanted)


@dataclass(frozen=True, slots=True)
class Sight:
    """Crops at hand that are wanted on one date ahead at most, and that market day (None: none)."""

    crops: tuple[str, ...]
    last: MarketDay | None


def short_sights(book: Book, now: datetime, crops: Iterable[str]) -> tuple[Sight, ...]:
    """For which crops market days are missing: those that end on one day together."""
    days = days_in_sight(book, now)
    wanted = {(want.market_day_id, want.crop) for want in book.wants.values() if want.count}
    found: dict[str | None, tuple[list[str], MarketDay | None]] = {}
    for crop in sorted(set(crops)):
        own = [day for day in days if (day.id, crop) in wanted]
        if len({day.starts_at.date() for day in own}) > 1:
            continue
        last = own[-1] if own else None
        found.setdefault(last.id if last else None, ([], last))[0].append(crop)
    return tuple(Sight(tuple(crops), last) for crops, last in found.values())


def demand_at_markets(book: Book, days: tuple[MarketDay, ...]) -> Demand:
    """What market days want, in their order and that of the crops."""
    number = {day.id: n for n, day in enumerate(days)}
    wants = [want for want in book.wants.values() if want.market_day_id in number and want.count]
    wants.sort(key=lambda want: (number[want.market_day_id], want.crop))
    day = np.array([number[want.market_day_id] for want in wants], dtype=np.intp)
    start_h = column(one.starts_at for one in days)
    return Demand(
        Wants(
            np.array([want.count for want in wants], dtype=float),
            _prices(wants, list(book.wants.values())),
            start_h[day],
            np.zeros(len(wants), bool),
            np.array([is_weight(want.sold_by) for want in wants], dtype=bool),
        ),
        days,
        day,
        tuple(want.crop for want in wants),
    )


def is_weight(sold_by: SoldBy) -> bool:
    """Whether fruit is sold by its weight, so that heavy ones are fewer."""
    return sold_by in KILOGRAMS_PER


def want_of(asked: Demand, lines: BatchColumns) -> Indices:
    """Which want each batch can serve on each market day, (batches, days)."""
    of_crop = np.full((len(lines.crop_keys), len(asked.days)), NO_WANT)
    for number, (crop, day) in enumerate(zip(asked.crop, asked.day.tolist(), strict=False)):
        if crop in lines.crop_keys:
            of_crop[lines.crop_keys.index(crop), day] = number
    return of_crop[lines.crop]


def second_grades(book: Book, crop_keys: Sequence[str]) -> tuple[SecondGrade, ...]:
    """Who takes second grade of the crops at hand: of each crop the best price."""
    best: dict[str, SecondGrade] = {}
    for grade in sorted(book.second_grades.values(), key=lambda g: (g.price_minor, g.id)):
        if grade.crop in crop_keys and grade.fruit_per_day != 0:
            best[grade.crop] = grade
    return tuple(best[crop] for crop in sorted(best))


def with_second_grades(
    asked: Demand,
    book: Book,
    grades: Sequence[SecondGrade],
    lines: BatchColumns,
    fruit: Floats,
    evening_h: Floats,
    zone: ZoneInfo,
) -> tuple[Demand, Indices]:
    """What is asked, second grade too; and which want it is on each evening, (batches, evenings).

    ``fruit`` is what each batch has.
    """
    of_crop = np.full((len(lines.crop_keys), evening_h.size), NO_WANT)
    begin = len(asked.crop)
    takes: list[Floats] = []
    for number, grade in enumerate(grades):
        crop = lines.crop_keys.index(grade.crop)
        of_crop[crop] = begin + number * evening_h.size + np.arange(evening_h.size)
        takes.append(_takes(book, grade, float(fruit[lines.crop == crop].sum()), evening_h, zone))
    price = [np.full(evening_h.size, float(grade.price_minor)) for grade in grades]
    weighed = np.array([is_weight(grade.sold_by) for grade in grades], dtype=bool)
    wants = asked.wants
    more = len(grades) * evening_h.size
    return (
        Demand(
            Wants(
                np.concatenate([wants.fruit, *takes]),
                np.concatenate([wants.price, *price]),
                np.concatenate([wants.start_h, np.tile(evening_h, len(grades))]),
                np.concatenate([wants.second, np.ones(more, bool)]),
                np.concatenate([wants.by_weight, np.repeat(weighed, evening_h.size)]),
            ),
            asked.days,
            asked.day,
            asked.crop + tuple(grade.crop for grade in grades for _ in range(evening_h.size)),
        ),
        of_crop[lines.crop],
    )


def _takes(
    book: Book, grade: SecondGrade, all_fruit: float, evening_h: Floats, zone: ZoneInfo
) -> Floats:
    """Fruit of a crop that second grade takes on each evening, less what it has had that day."""
    if grade.fruit_per_day is None:
        return np.full(evening_h.size, all_fruit)
    takes = np.full(evening_h.size, float(grade.fruit_per_day))
    dates = [from_hours(hour, zone).date() for hour in evening_h.tolist()]
    for removal in book.removals.values():
        batch = book.batches.get(removal.batch_id)
        if removal.grade == "second" and batch is not None and batch.crop == grade.crop:
            day = local_day(removal.at, zone)
            if day in dates:
                takes[dates.index(day)] -= removal.count
    return np.asarray(np.maximum(takes, 0.0))


def usual_prices(book: Book, crops: Sequence[str]) -> Floats:
    """What a fruit of each crop fetches (minor units).

    Of one that was never wanted it is next to nothing: it is known to keep, and yet not preferred
    to anything that is paid for.
    """
    known = list(book.wants.values())
    wanted = {want.crop for want in known}
    return np.array(
        [_usual(known, crop) if crop in wanted else _NEXT_TO_NOTHING_MINOR for crop in crops],
        dtype=float,
    )


def later_prices(book: Book, asked: Demand, crops: Sequence[str]) -> Floats:
    """What a fruit of each crop is likely to fetch on a day that is not entered yet: its usual
    price, but no more than the best that is offered for it in sight."""
    prices = usual_prices(book, crops)
    for number, crop in enumerate(crops):
        own = np.array([key == crop for key in asked.crop], dtype=bool)
        own &= ~asked.wants.second
        if own.any():
            prices[number] = min(prices[number], float(asked.wants.price[own].max()))
    return prices


def _usual(known: Sequence[Want], crop: str) -> float:
    """The mean of named prices (minor units) of a crop, or of all, or any."""
    for own in (crop, None):
        named = [w.price_minor for w in known if own in (None, w.crop)]
        prices = [price for price in named if price is not None]
        if prices:
            return sum(prices) / len(prices)
    return UNPRICED_MINOR


def _prices(wants: Sequence[Want], known: Sequence[Want]) -> Floats:
    """Price (minor units) of each want; where none is named, the crop's usual, or any."""
    found = [
        _usual(known, want.crop) if want.price_minor is None else float(want.price_minor)
        for want in wants
    ]
    return np.array(found, dtype=float)
