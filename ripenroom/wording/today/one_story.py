"""Of each batch one story: where a plan decides what becomes of fruit, and by when, its dates alone
say nothing else on the same page."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from ripenroom.season.amounts import LEAST_FRUIT
from ripenroom.season.day_sheet import (
    DaySheet,
    DayTaskKind,
    Staying,
    StayReason,
    fruit_in_hand,
)
from ripenroom.season.moments import local_day, to_hours
from ripenroom.season.notices import Notice, NoticeKind
from ripenroom.texts import tr
from ripenroom.wording.names import begun
from ripenroom.wording.plan.itineraries import (
    day_words,
    decided_words,
    felt_words,
    market_words,
    place_words,
)
from ripenroom.wording.reader import Reader
from ripenroom.wording.today.items import Item

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedItinerary

_ORDERS = (NoticeKind.PAST, NoticeKind.CLOSES, NoticeKind.CHILLING, NoticeKind.PULL)
"""Notices that say what to do with a batch, as the plan does."""
_DECIDED = (
    StayReason.MARKET,
    StayReason.MOVES_LATER,
    StayReason.SECOND_GRADE,
    StayReason.KEPT,
)
"""Reasons to stay for which the plan has something in mind; of the others the dates tell more."""
_GOES = (StayReason.MARKET, StayReason.MOVES_LATER, StayReason.SECOND_GRADE)


@dataclass(frozen=True, slots=True)
class Story:
    """The ``notices`` of what no plan decides, and what is ``planned`` for crates that stay for now
    in the place of a notice that would have told otherwise."""

    notices: tuple[Notice, ...]
    planned: tuple[Staying, ...]


def one_story(notices: Iterable[Notice], sheet: DaySheet, reader: Reader) -> Story:
    """What stands beside the day sheet, so that nothing there says otherwise than the sheet does.

    What the plan leaves of a batch is told as what is left.
    """
    projection, today = reader.projection(), fruit_in_hand(sheet.tasks)
    stays: dict[str, list[Staying]] = {}
    for staying in sheet.stays:
        stays.setdefault(staying.line.batch_id, []).append(staying)
    found: list[Notice] = []
    planned: dict[str, list[Staying]] = {}
    for notice in notices:
        batch_id = notice.batch_id or ""
        own, line = stays.get(batch_id, ()), projection.line_of.get(batch_id)
        decided = [one for one in own if _says_otherwise(notice, one)]
        fruit = sum(map(_fruit, decided)) + today.get(batch_id, 0.0) * _is_order(notice, sheet)
        if not fruit or line is None:
            found.append(notice)
            continue
        goes = [one for one in decided if one.reason in _GOES]
        if notice.kind in _ORDERS and goes:
            planned.setdefault(batch_id, goes)
        rest = float(projection.left[line]) - fruit
        if rest >= LEAST_FRUIT:
            found.append(replace(notice, values={**notice.values, "left": rest}))
    return Story(tuple(found), tuple(one for own in planned.values() for one in own))


def _is_order(notice: Notice, sheet: DaySheet) -> bool:
    """Whether a notice says otherwise of fruit that the sheet has in hand: an order, or dates of a
    place that the fruit leaves today."""
    if notice.kind in (*_ORDERS, NoticeKind.MAY_NOT_RIPEN):
        return True
    return notice.kind is NoticeKind.OPENS and any(
        task.kind in (DayTaskKind.MOVE, DayTaskKind.CLEAR)
        for task in sheet.tasks
        if task.record_id == notice.batch_id and not task.done
    )


def _says_otherwise(notice: Notice, staying: Staying) -> bool:
    """Whether a notice and what the plan has in mind for crates that stay are two stories."""
    if notice.kind in (*_ORDERS, NoticeKind.MAY_NOT_RIPEN):
        return staying.reason in _DECIDED
    if notice.kind is not NoticeKind.OPENS or notice.when_h is None:
        return False
    if staying.reason is StayReason.MOVES_LATER and staying.until is not None:
        return to_hours(staying.until) <= notice.when_h
    return staying.reason is StayReason.SECOND_GRADE


def _fruit(staying: Staying) -> float:
    return staying.line.fruit * staying.crates / max(staying.line.crates, 1)


def is_near(staying: Staying, reader: Reader) -> bool:
    """Whether what is planned comes today or in the next two days."""
    last = reader.season.now().date() + timedelta(days=2)
    return staying.until is None or local_day(staying.until, reader.season.zone) <= last


def planned_item(staying: Staying, reader: Reader) -> Item:
    """``"To second grade tomorrow: 14 pawpaws, gives, P-0928-2"``, ``"Move tomorrow: …"`` or
    ``"Sell Sun 4 Oct: …"``, and where."""
    season, line = reader.season, staying.line
    assert staying.until is not None, "what goes has a time"
    batch = season.book.batches[line.batch_id]
    fruit = felt_words(batch.crop, _fruit(staying), season.ask.last_felt(batch.id), reader)
    text = {
        StayReason.SECOND_GRADE: tr("To second grade {when}: {fruit}, {code}"),
        StayReason.MOVES_LATER: tr("Move {when}: {fruit}, {code}"),
        StayReason.MARKET: tr("Sell {when}: {fruit}, {code}"),
    }[staying.reason]
    headline = text.format(when=day_words(staying.until, reader), fruit=fruit, code=batch.code)
    parts = [place_words(line.from_place_id, reader)]
    if staying.reason is StayReason.MOVES_LATER:
        to = place_words(line.next_step().to_place_id, reader)
        moment = reader.words.moment(staying.until)
        parts.append(tr("to {place}, {moment}").format(place=to, moment=moment))
    if line.market_day_id is not None:
        share = reader.words.share(line.expected_ready_share)
        said = tr("for {market}: {share} good to sell")
        parts.append(said.format(market=market_words(line.market_day_id, reader), share=share))
    parts.append(decided_words(line, reader))
    return Item(headline, begun("; ".join(part for part in parts if part)), f"batch:{batch.id}")


def leaves_h(reader: Reader, ends: bool = False) -> dict[str, list[tuple[float, float]]]:
    """Of each batch how many fruit leave their place, or are sold, from when on (h): from then on
    the dates of where it stands say nothing of them. What goes today, or for second grade, has
    none at all; when it ``ends`` is no matter of what is for a market day, be that a little later.
    """
    plan, zone, now = reader.plans.plan, reader.season.zone, reader.season.now()
    found: dict[str, list[tuple[float, float]]] = {}
    for line in plan.lines if plan is not None else ():
        at = _leaves_at(line, reader)
        if at is not None:
            never = line.second_grade or local_day(at, zone) <= now.date()
            never = never or (ends and line.market_day_id is not None)
            hour = float("-inf") if never else to_hours(at)
            found.setdefault(line.batch_id, []).append((hour, line.fruit))
    return found


def _leaves_at(line: "PlannedItinerary", reader: Reader) -> datetime | None:
    if line.steps or line.second_grade:
        return line.next_step().pull_at
    day = reader.season.book.market_days.get(line.market_day_id or "")
    return None if day is None else day.starts_at


def still_there(
    batch_id: str, left: float, hour: float, leaves: Mapping[str, Sequence[tuple[float, float]]]
) -> float:
    """How many of the ``left`` fruit of a batch are where they stand now at an hour."""
    return left - sum(fruit for at_h, fruit in leaves.get(batch_id, ()) if at_h <= hour)
