"""What the day page says, before it is drawn: the day sheet, groups of sentences and the week."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from ripenroom.season.day_sheet import DaySheet, DayTask, Staying
from ripenroom.season.notices import SOON_H, Notice, NoticeKind, of_markets
from ripenroom.season.whereabouts import held_at
from ripenroom.texts import tr, tr_n
from ripenroom.wording.market_days import MarketDayOutlook, market_lines, want_words
from ripenroom.wording.names import begun
from ripenroom.wording.plan.expected_picks import (
    how_to_change_likely,
    in_sight_words,
    kept_words,
    likely_words,
)
from ripenroom.wording.reader import Reader
from ripenroom.wording.today.in_the_rows import rows_groups
from ripenroom.wording.today.items import Item, ItemGroup, with_headings
from ripenroom.wording.today.notices import (
    SPOILING,
    chilling_out_range_h,
    headline,
    link,
    more,
    reason,
)
from ripenroom.wording.today.one_story import (
    Story,
    is_near,
    one_story,
    planned_item,
)
from ripenroom.wording.today.stays import stays_by_place
from ripenroom.wording.today.tasks import task_item
from ripenroom.wording.today.week import DayRow, week_ahead

_URGENT = (
    NoticeKind.FREEZING,
    NoticeKind.PAST,
    NoticeKind.CLOSES,
    NoticeKind.CHILLING,
    NoticeKind.HEAT,
    NoticeKind.PULL,
    NoticeKind.GATE,
)
_MARKETS = (NoticeKind.SHORTAGE, NoticeKind.GLUT)
_MOST_OF_A_KIND = 8
"""Sentences of one kind in a group; of what is more only the number is told."""


_NO_SHEET = DaySheet()


@dataclass(frozen=True, slots=True)
class NextMarket:
    """The next market day and a sentence for each crop that it wants."""

    title: str
    when: str
    link: str
    wants: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlaceSummary:
    """What a place holds now."""

    name: str
    link: str
    set_point: str
    holds: str
    capacity: str


@dataclass(frozen=True, slots=True)
class DayPage:
    """All of it; ``batches`` is how many the season has, to tell an empty one.

    ``sheet`` are the tasks of the day and their words; without any, ``no_tasks`` says why.
    ``stays`` are the ``crates_staying`` that nobody moves, by place.
    """

    today: date
    season_name: str
    batches: int
    sheet: tuple[tuple[DayTask, Item], ...]
    no_tasks: str
    stays: tuple[ItemGroup, ...]
    crates_staying: int
    groups: tuple[ItemGroup, ...]
    week: tuple[DayRow, ...]
    market: NextMarket | None
    places: tuple[PlaceSummary, ...]


def day_page(reader: Reader, sheet: DaySheet = _NO_SHEET) -> DayPage:
    """The day page of the season as it is now, with what its plan asks of today."""
    season = reader.season
    today = season.now().date()
    ahead = [line for line in market_lines(reader) if not line.over]
    tasks = sheet.tasks
    return DayPage(
        today=today,
        season_name=season.book.season.name,
        batches=len(season.book.batches),
        sheet=tuple(with_headings([(task, task_item(task, reader)) for task in tasks], reader)),
        no_tasks="" if tasks else _no_tasks(reader),
        stays=stays_by_place(sheet.stays, reader),
        crates_staying=sum(staying.crates for staying in sheet.stays),
        groups=_groups(reader, one_story(_notices(reader, ahead), sheet, reader)),
        week=week_ahead(reader, today),
        market=_next_market(reader, ahead),
        places=_places(reader),
    )


def _notices(reader: Reader, ahead: Sequence[MarketDayOutlook]) -> list[Notice]:
    """The season's notices; those of market days tell of what the plan brings, if there is one.

    Else this page would count for a market day what the plan keeps for another one.
    """
    season = reader.season
    if reader.plans.plan is None:
        return list(season.notices())
    supplies = [want.supply for line in ahead for want in line.wants if want.supply is not None]
    others = [notice for notice in season.notices() if notice.kind not in _MARKETS]
    likely = {
        (want.planned.market_day_id, want.planned.crop): want.planned.likely
        for line in ahead
        for want in line.wants
        if want.planned is not None
    }
    markets = (
        replace(
            n, values={**n.values, "likely": likely.get((n.market_day_id or "", n.crop or ""), 0.0)}
        )
        for n in of_markets(season.book, reader.projection(), supplies)
    )
    return [*others, *markets]


def _no_tasks(reader: Reader) -> str:
    """Why the day sheet is empty."""
    season, plans = reader.season, reader.plans
    if plans.plan is None:
        return tr("What to do is shown here once there is a plan.")
    ahead = any(day.starts_at > season.now() for day in season.book.market_days.values())
    if not ahead:
        if any(notice.kind in SPOILING for notice in season.notices()):
            return tr(
                "No market day lies ahead to plan for. What would spoil where it is stands below, "
                "with what to do."
            )
        return tr("No market day lies ahead, so there is nothing to move or pack for.")
    if not plans.plan.lines:
        return tr("No fruit is left to plan for.")
    return tr("The plan has nothing for you to do today.")


def _groups(reader: Reader, story: Story) -> tuple[ItemGroup, ...]:
    now: list[Notice] = []
    market: list[Notice] = []
    later: list[Notice] = []
    know: list[Notice] = []
    for notice in story.notices:
        if notice.kind in _MARKETS:
            market.append(notice)
        elif notice.kind in _URGENT:
            (now if _is_soon(notice, reader) else later).append(notice)
        else:
            know.append(notice)
    near = [one for one in story.planned if is_near(one, reader)]
    far = [one for one in story.planned if one not in near]
    titles: tuple[tuple[str, list[Notice], list[Staying], bool], ...] = (
        (tr("Today and the next two days"), now, near, True),
        (tr("For the next market days"), market, [], True),
        (tr("After that"), later, far, True),
        (tr("Good to know"), know, [], False),
    )
    groups = [
        ItemGroup(title, (*_items(reader, of_group), *_planned_items(planned, reader)), to_do)
        for title, of_group, planned, to_do in titles
        if of_group or planned
    ]
    missing = in_sight_words(reader)
    if missing:
        title = tr("Market days to enter")
        groups.append(ItemGroup(title, (Item(missing, kept_words(reader), "market:"),), False))
    groups[1:1] = rows_groups(reader)
    why = how_to_change_likely()
    # Rows tell what is likely, and are learned beside the window: with the first plan.
    said = likely_words(reader) if reader.plans.plan is not None else []
    likely = tuple(Item(begun(text), why, "expected:") for text in said)
    if likely:
        groups.append(ItemGroup(tr("Likely to come"), likely, False))
    return tuple(groups)


def _is_soon(notice: Notice, reader: Reader) -> bool:
    """Whether it must be seen to in two days; what the cold may do, as soon as it may do it."""
    projection = reader.projection()
    soonest_h = notice.when_h
    line = projection.line_of.get(notice.batch_id or "")
    if notice.kind is NoticeKind.CHILLING and line is not None:
        soonest_h = float(chilling_out_range_h(projection, line)[0])
    return soonest_h is None or soonest_h - projection.at_h <= SOON_H


def _items(reader: Reader, notices: Sequence[Notice]) -> tuple[Item, ...]:
    items: list[Item] = []
    for kind in dict.fromkeys(notice.kind for notice in notices):
        alike = [notice for notice in notices if notice.kind is kind]
        told = alike[: _told(len(alike))]
        items += [Item(headline(n, reader), reason(n, reader), link(n)) for n in told]
        if len(told) < len(alike):
            items.append(Item(more(kind, len(alike) - len(told)), "", "queue:"))
    return tuple(items)


def _told(number: int) -> int:
    """How many of so many alike have a line of their own: one line more takes no more room than the
    line that would stand for it."""
    return number if number <= _MOST_OF_A_KIND + 1 else _MOST_OF_A_KIND


def _planned_items(planned: Sequence[Staying], reader: Reader) -> Iterator[Item]:
    in_time = sorted(planned, key=lambda one: one.until or reader.season.now())
    told = in_time[: _told(len(in_time))]
    yield from (planned_item(one, reader) for one in told)
    if more := len(in_time) - len(told):
        yield Item(tr_n("{n} more planned", "{n} more planned", more), "", "queue:")


def _next_market(reader: Reader, ahead: Sequence[MarketDayOutlook]) -> NextMarket | None:
    if not ahead:
        return None
    words, line = reader.words, ahead[0]
    return NextMarket(
        line.day.name,
        words.moment(line.day.starts_at),
        f"market:{line.day.id}",
        tuple(want_words(want, words) for want in line.wants),
    )


def _places(reader: Reader) -> tuple[PlaceSummary, ...]:
    season, words, projection = reader.season, reader.words, reader.projection()
    held = held_at(season.book, projection, season.now())
    lines = []
    for place in sorted(season.book.places.values(), key=lambda place: place.name.casefold()):
        holds = tr("empty")
        here = held.get(place.id)
        if here is not None:
            holds = tr_n("{count} in {n} batch", "{count} in {n} batches", here.batches)
            holds = holds.format(count=words.number(here.fruit))
        capacity = ""
        if place.capacity_crates is not None:
            capacity = tr_n("room for {n} crate", "room for {n} crates", place.capacity_crates)
        set_point = words.set_point(season.set_point_c(place.id))
        if place.weather_lag_h is not None:
            set_point = tr("as outdoors")
        lines.append(PlaceSummary(place.name, f"place:{place.id}", set_point, holds, capacity))
    return tuple(lines)
