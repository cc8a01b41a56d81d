"""The day sheet: what the plan asks of today, and what of it is done."""

from collections.abc import Iterator, Mapping, Set
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING

from ripenroom.records.batch import Batch, Move
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.window.session import Session

if TYPE_CHECKING:
    from ripenroom.season.advice.check_next import CheckNext
    from ripenroom.season.plans.planned import PlannedLine

_EVENING = 18
"""From this hour on the moves of tomorrow are listed too: today's are planned no more."""

_SETTLED_LATE = timedelta(days=10)
"""A market day that is over for longer is not asked about every morning."""


class DeedKind(StrEnum):
    """What is to be done, in the order of the sheet."""

    SETTLE = "settle"
    MOVE = "move"
    CHECK = "check"
    PACK = "pack"
    EXPECT = "expect"


@dataclass(frozen=True, slots=True)
class Deed:
    """One line of the day sheet.

    ``record_id`` is the batch, the market day or the expected pick that it is about. A deed of the
    plan has its ``line``; one that is ``done`` has when, and the id of the record that says so.
    """

    kind: DeedKind
    record_id: str
    line: "PlannedLine | None" = None
    check: "CheckNext | None" = None
    done_at: datetime | None = None
    done_record_id: str = ""

    @property
    def done(self) -> bool:
        """Whether it was done today."""
        return bool(self.done_record_id)


def deeds_of(
    session: Session,
    ticked: Set["PlannedLine"] = frozenset(),
    came: Mapping[str, datetime] = MappingProxyType({}),
) -> tuple[Deed, ...]:
    """Today's deeds: open ones first, in each kind, then what was done of it.

    ``ticked`` are lines of the present plan that were done since it was made, ``came`` the ids of
    expected picks that were ticked off since the window was opened, and when.
    """
    book, today = session.season.book, session.season.now().date()
    gone = [
        key
        for key, at in came.items()
        if key not in book.expected_picks and _day(at, session) == today
    ]
    found = [
        *_to_settle(session),
        *_planned(session, ticked),
        *_checks(session),
        *_expected(session),
        *_done(session),
        *(Deed(DeedKind.EXPECT, key, done_at=came[key], done_record_id=key) for key in gone),
    ]
    kinds = list(DeedKind)
    return tuple(sorted(found, key=lambda deed: (kinds.index(deed.kind), deed.done)))


def _to_settle(session: Session) -> Iterator[Deed]:
    """Market days that are over, as far as anyone can tell: those of earlier days."""
    book, now = session.season.book, session.season.now()
    crops_wanted = {want.market_day_id for want in book.wants.values()}
    for day in sorted(book.market_days.values(), key=lambda day: day.starts_at):
        over = session.words.local(day.starts_at).date() < now.date() or (
            day.starts_at < now and now.hour >= _EVENING
        )
        lately = now - day.starts_at < _SETTLED_LATE
        if over and lately and day.settled_at is None and day.id in crops_wanted:
            yield Deed(DeedKind.SETTLE, day.id)


def _planned(session: Session, ticked: Set["PlannedLine"]) -> Iterator[Deed]:
    plan, season = session.plans.plan, session.season
    if plan is None:
        return
    book, now = season.book, season.now()
    today = now.date()
    last_move = today + timedelta(days=1 if now.hour >= _EVENING else 0)
    for line in plan.lines:
        if line in ticked or line.batch_id not in book.batches:
            continue
        place = season.place_of(line.batch_id)
        step = line.next_step()
        moves = step.pull_at is not None and _day(step.pull_at, session) <= last_move
        if moves and not line.packed and place is not None and place.id == line.from_place_id:
            yield Deed(DeedKind.MOVE, line.batch_id, line)
        market = book.market_days.get(line.market_day_id or "")
        if market is None or market.starts_at <= now or line.packed:
            continue
        if today <= _day(market.starts_at, session) <= today + timedelta(days=1):
            yield Deed(DeedKind.PACK, line.batch_id, line)


def _checks(session: Session) -> Iterator[Deed]:
    book = session.season.book
    checked = {check.batch_id for check in _checked_today(session)}
    for check in session.plans.check_next:
        if check.batch_id in book.batches and check.batch_id not in checked:
            yield Deed(DeedKind.CHECK, check.batch_id, check=check)


def _expected(session: Session) -> Iterator[Deed]:
    today = session.season.now().date()
    picks = session.season.book.expected_picks.values()
    for pick in sorted(picks, key=lambda pick: (pick.on, pick.id)):
        if pick.on <= today and not pick.nothing_more:
            yield Deed(DeedKind.EXPECT, pick.id)


def _done(session: Session) -> Iterator[Deed]:
    """What the records say of today; so it is still there after the window was closed."""
    book, now = session.season.book, session.season.now()
    for move in _moved_today(session):
        yield Deed(DeedKind.MOVE, move.batch_id, done_at=move.at, done_record_id=move.id)
    for gone in book.removals.values():
        today = _day(gone.at, session) == now.date() and gone.at <= now
        if today and gone.grade == "second" and gone.batch_id in book.batches:
            yield Deed(DeedKind.MOVE, gone.batch_id, done_at=gone.at, done_record_id=gone.id)
    for pin in book.pins.values():
        packed = pin.packed_at
        if packed is not None and _day(packed, session) == now.date():
            yield Deed(DeedKind.PACK, pin.batch_id, done_at=packed, done_record_id=pin.id)
    for check in _checked_today(session):
        yield Deed(DeedKind.CHECK, check.batch_id, done_at=check.at, done_record_id=check.id)
    for day in book.market_days.values():
        settled = day.settled_at
        if settled is not None and _day(settled, session) == now.date():
            yield Deed(DeedKind.SETTLE, day.id, done_at=settled, done_record_id=day.id)


def _moved_today(session: Session) -> Iterator[Move]:
    """Moves made today; not the one that brought a batch to its first place."""
    season = session.season
    book, now = season.book, season.now()
    today = [
        move
        for move in book.moves.values()
        if move.at <= now and _day(move.at, session) == now.date() and move.batch_id in book.batches
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


def _checked_today(session: Session) -> list[Check]:
    now = session.season.now()
    checks = session.season.book.checks.values()
    return [c for c in checks if _day(c.at, session) == now.date() and c.at <= now]


def _day(moment: datetime, session: Session) -> date:
    return session.words.local(moment).date()
