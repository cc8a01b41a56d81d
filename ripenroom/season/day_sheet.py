"""The day sheet: what the plan asks of today, and what of it is done."""

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING

from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.season.moments import evening_of, local_day
from ripenroom.season.plans.plan import Carrying, Clearing, Staying, StayReason, Tonight, as_one
from ripenroom.season.plans.tonight import tonight
from ripenroom.season.season import Season
from ripenroom.season.whereabouts import is_away

if TYPE_CHECKING:
    from ripenroom.season.advice.advice import CheckNext
    from ripenroom.season.plans.plan import Plan, PlannedItinerary

__all__ = [
    "Carrying",
    "DaySheet",
    "DayTask",
    "DayTaskKind",
    "StayReason",
    "Staying",
    "day_sheet",
    "fruit_in_hand",
]

_SETTLED_LATE = timedelta(days=10)
"""A market day that began longer ago is not asked about every morning."""

_MOST_PAST = 40
"""Past batches with a line of their own; of what is more it is said where it stays."""


class DayTaskKind(StrEnum):
    """What is to be done, in the order of the sheet.

    Checked first is what decides about the rest of the sheet, and what is about to be cleared; any
    other check only teaches. Past is what may be cleared, but need not be to make room.
    """

    SETTLE = "settle"
    CHECK_FIRST = "check first"
    CLEAR = "clear"
    MOVE = "move"
    CHECK = "check"
    PACK = "pack"
    EXPECT = "expect"
    PAST = "past"


@dataclass(frozen=True, slots=True)
class DayTask:
    """One line of the day sheet.

    ``record_id`` is the batch, the market day or the expected pick that it is about. A task of the
    plan has its ``lines``, several where crates are swapped, or where those of one batch go the
    same way for different reasons. What is carried or cleared has its ``carrying`` or ``clearing``.
    A task that is ``done`` has when, and the id of the record that says so.
    """

    kind: DayTaskKind
    record_id: str
    lines: "tuple[PlannedItinerary, ...]" = ()
    carrying: Carrying | None = None
    clearing: Clearing | None = None
    check: "CheckNext | None" = None
    done_at: datetime | None = None
    done_record_id: str = ""

    @property
    def line(self) -> "PlannedItinerary | None":
        """The lines as one, of a swap the first; None of what is no task of the plan."""
        if not self.lines:
            return None
        swap = self.carrying is not None and self.carrying.is_swap
        return self.lines[0] if swap else as_one(self.lines)

    @property
    def done(self) -> bool:
        """Whether it was done today."""
        return bool(self.done_record_id)


@dataclass(frozen=True, slots=True)
class DaySheet:
    """Today's ``tasks``, and why the rest of the fruit stays where it is; what is to be packed is
    not told again there."""

    tasks: tuple[DayTask, ...] = ()
    stays: tuple[Staying, ...] = ()


def day_sheet(
    season: Season,
    plan: "Plan | None",
    check_next: "Sequence[CheckNext]" = (),
    ticked: Set["PlannedItinerary"] = frozenset(),
    came: Mapping[str, datetime] = MappingProxyType({}),
    cleared: "Mapping[str, DayTaskKind]" = MappingProxyType({}),
) -> DaySheet:
    """The sheet of today: open tasks first, in each kind, then what was done of it.

    Moves come in an order in which all of them fit. From the evening on those of tomorrow are
    listed too, since today's are planned no more. ``ticked`` are lines of the plan that were done
    since it was made, ``came`` the ids of expected picks that were ticked off since the season was
    opened, and when, ``cleared`` those of the records of what was cleared since then, with the kind
    of task that asked for it: other fruit that was thrown away is no task of the sheet.
    """
    book, today = season.book, season.now().date()
    gone = [
        key
        for key, at in came.items()
        if key not in book.expected_picks and _day(at, season) == today
    ]
    last = _last_evening(season)
    evenings = _evenings(season, plan, ticked, last)
    carried = [*_moved(evenings), *_packed(season, plan, ticked)]
    # Crates that are to be packed wait for that: they stand once.
    to_pack = {line for task in carried if task.kind is DayTaskKind.PACK for line in task.lines}
    past, stays = _past([stay for stay in evenings.stays if stay.line not in to_pack])
    found = [
        *_to_settle(season),
        *carried,
        *_checks(season, check_next, carried, last),
        *_expected(season),
        *past,
        *_done(season, cleared),
        *(DayTask(DayTaskKind.EXPECT, key, done_at=came[key], done_record_id=key) for key in gone),
    ]
    kinds = list(DayTaskKind)
    tasks = tuple(sorted(found, key=lambda task: (kinds.index(task.kind), task.done)))
    return DaySheet(tasks, tuple(stays))


def fruit_in_hand(tasks: Sequence[DayTask]) -> dict[str, float]:
    """How many fruit of each batch the open tasks move, pack or clear: of these the sheet says what
    becomes of them today, and nothing else may say it otherwise."""
    fruit: dict[PlannedItinerary, float] = {}
    for task in tasks:
        if task.done:
            continue
        crates = task.clearing.crates if task.clearing is not None else None
        for line in task.lines:
            some = line.crates if crates is None else min(line.crates, crates)
            if crates is not None:
                crates -= some
            # Crates that are moved this evening and packed tomorrow are the same ones.
            fruit[line] = max(fruit.get(line, 0.0), line.fruit * some / max(line.crates, 1))
    found: dict[str, float] = {}
    for line, count in fruit.items():
        found[line.batch_id] = found.get(line.batch_id, 0.0) + count
    return found


def _to_settle(season: Season) -> Iterator[DayTask]:
    """Market days that have begun: when one is over, nobody has said. Where fruit is away at one,
    it is asked about until it is settled."""
    book, now = season.book, season.now()
    away = {pin.market_day_id for pin in book.pins.values() if is_away(pin, book, now)}
    crops_wanted = {want.market_day_id for want in book.wants.values()}
    for day in sorted(book.market_days.values(), key=lambda day: day.starts_at):
        if day.starts_at > now or day.settled_at is not None:
            continue
        lately = now - day.starts_at < _SETTLED_LATE
        if day.id in away or (lately and day.id in crops_wanted):
            yield DayTask(DayTaskKind.SETTLE, day.id)


def _last_evening(season: Season) -> date:
    """The day up to whose evening the sheet tells: today, or from its evening on tomorrow."""
    now = season.now()
    return now.date() + timedelta(days=1 if now >= evening_of(now.date(), season.zone) else 0)


def _evenings(
    season: Season, plan: "Plan | None", ticked: Set["PlannedItinerary"], last: date
) -> Tonight:
    """What the plan asks for by the evening of the ``last`` day."""
    if plan is None:
        return Tonight((), ())

    def place_of(batch_id: str) -> str | None:
        place = season.place_of(batch_id)
        return None if place is None else place.id

    return tonight(
        season.book,
        season.crops,
        plan,
        season.projection(),
        place_of,
        last,
        season.zone,
        ticked,
    )


def _moved(evenings: Tonight) -> Iterator[DayTask]:
    """What is to be cleared and moved, evening after evening."""
    for evening in evenings.evenings:
        for clearing in evening.clear:
            lines = clearing.lines
            yield DayTask(DayTaskKind.CLEAR, lines[0].batch_id, lines, clearing=clearing)
        for carrying in evening.carry:
            line = carrying.lines[0]
            # A pick that is still to come alone is put where it goes: it is moved by nobody.
            if any(line.batch_id for line in carrying.lines):
                yield DayTask(DayTaskKind.MOVE, line.batch_id, carrying.lines, carrying=carrying)


def _packed(
    season: Season, plan: "Plan | None", ticked: Set["PlannedItinerary"]
) -> Iterator[DayTask]:
    book, now = season.book, season.now()
    tomorrow = now.date() + timedelta(days=1)
    alike: dict[tuple[object, ...], list[PlannedItinerary]] = {}
    for line in plan.lines if plan is not None else ():
        market = book.market_days.get(line.market_day_id or "")
        if line in ticked or line.batch_id not in book.batches or line.packed:
            continue
        if (
            market is not None
            and now < market.starts_at
            and _day(market.starts_at, season) <= tomorrow
        ):
            way = line.batch_id, market.id, line.from_place_id, line.steps
            alike.setdefault(way, []).append(line)
    for lines in alike.values():
        yield DayTask(DayTaskKind.PACK, lines[0].batch_id, tuple(lines))


def _past(stays: Sequence[Staying]) -> tuple[list[DayTask], list[Staying]]:
    """What is past and need not be cleared to make room, by batch and place; and the other stays.

    Of very many batches the last ones are left among these.
    """
    alike: dict[tuple[str, str], list[Staying]] = {}
    others: list[Staying] = []
    for staying in stays:
        key = staying.line.batch_id, staying.line.from_place_id
        if staying.reason is StayReason.PAST and (key in alike or len(alike) < _MOST_PAST):
            alike.setdefault(key, []).append(staying)
        else:
            others.append(staying)
    tasks = []
    for (batch_id, _), own in alike.items():
        lines = tuple(staying.line for staying in own)
        clearing = Clearing(lines, sum(staying.crates for staying in own), own[0].until)
        tasks.append(DayTask(DayTaskKind.PAST, batch_id, lines, clearing=clearing))
    return tasks, others


def _checks(
    season: Season, check_next: "Sequence[CheckNext]", carried: Sequence[DayTask], last: date
) -> Iterator[DayTask]:
    """What is to be squeezed: first where it decides about what is carried or packed by the
    evening of the ``last`` day, or where nothing is left to squeeze once that is done."""
    from ripenroom.season.advice.advice import CheckReason

    book = season.book
    checked = {check.batch_id for check in _checked_today(season)}
    cleared = {task.record_id for task in carried if task.kind is DayTaskKind.CLEAR}
    packed = {task.record_id for task in carried if task.kind is DayTaskKind.PACK}
    tomorrow = season.now().date() + timedelta(days=1)
    for check in check_next:
        if check.batch_id not in book.batches or check.batch_id in checked:
            continue
        by = tomorrow if check.batch_id in packed else last
        decides = (
            check.reason is not CheckReason.PACE
            and check.decides_at is not None
            and _day(check.decides_at, season) <= by
        )
        first = decides or check.batch_id in cleared
        kind = DayTaskKind.CHECK_FIRST if first else DayTaskKind.CHECK
        yield DayTask(kind, check.batch_id, check=check)


def _expected(season: Season) -> Iterator[DayTask]:
    today = season.now().date()
    picks = season.book.expected_picks.values()
    for pick in sorted(picks, key=lambda pick: (pick.on, pick.id)):
        if pick.on <= today and not pick.nothing_more:
            yield DayTask(DayTaskKind.EXPECT, pick.id)


def _done(season: Season, cleared: Mapping[str, DayTaskKind]) -> Iterator[DayTask]:
    """What the records say of today; so it is still there after the window was closed."""
    book, now = season.book, season.now()
    for move in _moved_today(season):
        yield DayTask(DayTaskKind.MOVE, move.batch_id, done_at=move.at, done_record_id=move.id)
    for gone in book.removals.values():
        today = _day(gone.at, season) == now.date() and gone.at <= now
        if not today or gone.batch_id not in book.batches:
            continue
        if gone.grade == "second":
            yield DayTask(DayTaskKind.MOVE, gone.batch_id, done_at=gone.at, done_record_id=gone.id)
        elif gone.id in cleared:
            kind = cleared[gone.id]
            yield DayTask(kind, gone.batch_id, done_at=gone.at, done_record_id=gone.id)
    for pin in book.pins.values():
        packed = pin.packed_at
        if packed is not None and _day(packed, season) == now.date():
            yield DayTask(DayTaskKind.PACK, pin.batch_id, done_at=packed, done_record_id=pin.id)
    for check in _checked_today(season):
        yield DayTask(DayTaskKind.CHECK, check.batch_id, done_at=check.at, done_record_id=check.id)
    for day in book.market_days.values():
        settled = day.settled_at
        if settled is not None and _day(settled, season) == now.date():
            yield DayTask(DayTaskKind.SETTLE, day.id, done_at=settled, done_record_id=day.id)


def _moved_today(season: Season) -> Iterator[Move]:
    """Moves made today; not the one that brought a batch to its first place."""
    book, now = season.book, season.now()
    today = [
        move
        for move in book.moves.values()
        if move.at <= now and _day(move.at, season) == now.date() and move.batch_id in book.batches
    ]
    for move in sorted(today, key=lambda move: (move.at, move.batch_id)):
        moves = season.moves_of(move.batch_id)
        if moves[0].id != move.id and not _is_its_parents(move, book.batches[move.batch_id], book):
            yield move


def _is_its_parents(move: Move, batch: Batch, book: Book) -> bool:
    """Whether a part of a batch only keeps a move that the batch made before it was parted."""
    return batch.split_from is not None and any(
        other.batch_id == batch.split_from
        and (other.at, other.place_id) == (move.at, move.place_id)
        for other in book.moves.values()
    )


def _checked_today(season: Season) -> list[Check]:
    now = season.now()
    checks = season.book.checks.values()
    return [c for c in checks if _day(c.at, season) == now.date() and c.at <= now]


def _day(moment: datetime, season: Season) -> date:
    return local_day(moment, season.zone)
