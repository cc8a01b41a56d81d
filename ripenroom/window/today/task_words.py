"""The lines of the day sheet in words: what to do, and why with the numbers of the plan."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication

from ripenroom.season.day_sheet import DayTask, DayTaskKind, is_over
from ripenroom.window.names import begun, crop_name
from ripenroom.window.planning.plan_words import (
    by_words,
    crates_of,
    day_words,
    if_left_words,
    later_words,
    market_words,
    move_words,
    place_words,
    share_words,
)
from ripenroom.window.session import Session
from ripenroom.window.today.item import Item
from ripenroom.window.today.stay_words import clear_item, no_room_words, swap_item

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedItinerary


def kind_title(kind: DayTaskKind) -> str:
    """The heading over the deeds of a kind."""
    return {
        DayTaskKind.SETTLE: QCoreApplication.translate("Today", "Write down"),
        DayTaskKind.CLEAR: QCoreApplication.translate("Today", "Clear these first"),
        DayTaskKind.MOVE: QCoreApplication.translate("Today", "Move, in this order"),
        DayTaskKind.CHECK: QCoreApplication.translate("Today", "Check"),
        DayTaskKind.PACK: QCoreApplication.translate("Today", "Pack"),
        DayTaskKind.EXPECT: QCoreApplication.translate("Today", "Expect"),
    }[kind]


def deed_item(deed: DayTask, session: Session) -> Item:
    """What a deed's line says and where it leads."""
    if deed.done:
        return _done(deed, session)
    return {
        DayTaskKind.SETTLE: _settle,
        DayTaskKind.CLEAR: clear_item,
        DayTaskKind.MOVE: _move,
        DayTaskKind.CHECK: _check,
        DayTaskKind.PACK: _pack,
        DayTaskKind.EXPECT: _expect,
    }[deed.kind](deed, session)


def _line_of(deed: DayTask) -> "PlannedItinerary":
    assert deed.line is not None
    return deed.line


def _settle(deed: DayTask, session: Session) -> Item:
    day = session.season.book.market_days[deed.record_id]
    said = QCoreApplication.translate(
        "Today", "{market} has begun: when it is over, write down what was sold"
    )
    if is_over(day, session.season):
        said = QCoreApplication.translate("Today", "{market} is over: write down what was sold")
    return Item(
        said.format(market=market_words(day.id, session)),
        QCoreApplication.translate(
            "Today",
            "Until then fruit that you packed for it counts as away, and all other fruit as "
            "still here",
        ),
        f"settle:{day.id}",
    )


def _move(deed: DayTask, session: Session) -> Item:
    line, carrying = _line_of(deed), deed.carrying
    if carrying is not None and len(carrying.lines) > 1:
        return swap_item(carrying.lines, session)
    step = line.next_step()
    assert step.pull_at is not None
    by = by_words(step.pull_at, session)
    link = f"batch:{line.batch_id}"
    if step.second_grade:
        return Item(
            QCoreApplication.translate("Today", "Take {crates} for second grade").format(
                crates=crates_of(line, session)
            ),
            QCoreApplication.translate(
                "Today", "From {place}, {by}; planned for no market day"
            ).format(place=place_words(line.from_place_id, session), by=by),
            link,
        )
    goes_on = ""
    if len(line.steps) > 1:
        last = line.steps[-1]
        goes_on = QCoreApplication.translate("Today", "goes on to {place} {day}").format(
            place=place_words(last.place_id, session), day=day_words(last.at, session)
        )
    why = [
        by,
        no_room_words(carrying, session),
        share_words(line, session) or later_words(line),
        if_left_words(line, session.plans.if_left.get(line), session),
        goes_on,
    ]
    return Item(move_words(line, session), begun("; ".join(part for part in why if part)), link)


def _pack(deed: DayTask, session: Session) -> Item:
    line = _line_of(deed)
    day = session.season.book.market_days[line.market_day_id or ""]
    ahead = [step for step in line.steps if step.at < day.starts_at]
    where = place_words(line.from_place_id, session)
    if ahead:
        where = QCoreApplication.translate("Today", "after it is moved to {place}").format(
            place=place_words(ahead[-1].place_id, session)
        )
    share = session.words.share(line.expected_ready_share)
    return Item(
        QCoreApplication.translate("Today", "Pack {crates} for {market}").format(
            crates=crates_of(line, session), market=day.name
        ),
        begun(
            QCoreApplication.translate(
                "Today",
                "{where}; {market} begins {day} at {time}; {share} ready then; choose this line to "
                "squeeze and count",
            ).format(
                where=where,
                market=day.name,
                day=day_words(day.starts_at, session),
                time=session.words.time(day.starts_at),
                share=share,
            )
        ),
        f"pack:{day.id}",
    )


def _check(deed: DayTask, session: Session) -> Item:
    from ripenroom.season.advice.advice import CheckReason

    check = deed.check
    assert check is not None
    batch, words = session.season.book.batches[deed.record_id], session.words
    place = session.season.place_of(batch.id)
    decides = {
        CheckReason.WHEN: QCoreApplication.translate("Today", "it decides when to move it"),
        CheckReason.WHERE: QCoreApplication.translate(
            "Today", "it decides on which market day to sell it"
        ),
        CheckReason.WHETHER: QCoreApplication.translate(
            "Today", "it decides whether it is worth bringing"
        ),
        CheckReason.GRADE: QCoreApplication.translate(
            "Today", "it decides whether and when it goes for second grade"
        ),
        CheckReason.PACE: QCoreApplication.translate(
            "Today", "it tells how fast this cultivar softens"
        ),
    }[check.reason]
    parts = [place.name if place else "", decides]
    if check.decides_at is not None and check.reason is not CheckReason.PACE:
        parts.append(
            QCoreApplication.translate("Today", "that is due {day}").format(
                day=day_words(check.decides_at, session)
            )
        )
    gain = round(check.gain_minor)
    if gain > 0:
        parts.append(
            QCoreApplication.translate("Today", "worth about {money} to the plan").format(
                money=words.money(gain)
            )
        )
    return Item(
        QCoreApplication.translate("Today", "Squeeze {fruit} of {code}").format(
            fruit=words.number(check.fruit), code=batch.code
        ),
        begun("; ".join(part for part in parts if part)),
        f"check:{batch.id}",
    )


def _expect(deed: DayTask, session: Session) -> Item:
    pick = session.season.book.expected_picks[deed.record_id]
    words, today = session.words, session.season.now().date()
    late = pick.on < today
    parts = [
        QCoreApplication.translate("Today", "expected {day} and not written down yet").format(
            day=words.day(pick.on)
        )
        if late
        else "",
        QCoreApplication.translate("Today", "room is kept in {place}").format(
            place=place_words(pick.place_id, session)
        ),
        pick.note,
        QCoreApplication.translate("Today", "tick it when it is written down, or will not come"),
    ]
    return Item(
        QCoreApplication.translate("Today", "A pick of about {count} {crop}").format(
            count=words.number(pick.count),
            crop=crop_name(session.season.crops, pick.crop).lower(),
        ),
        begun("; ".join(part for part in parts if part)),
        "picks:",
    )


def _done(deed: DayTask, session: Session) -> Item:
    book = session.season.book
    batch = book.batches.get(deed.record_id)
    code = batch.code if batch else ""
    day = book.market_days.get(deed.record_id)
    said, link = code, f"batch:{deed.record_id}"
    if deed.kind is DayTaskKind.MOVE and deed.done_record_id in book.moves:
        said = QCoreApplication.translate("Today", "Moved {code} to {place}").format(
            code=code, place=place_words(book.moves[deed.done_record_id].place_id, session)
        )
    elif deed.kind is DayTaskKind.CLEAR:
        said = QCoreApplication.translate("Today", "Cleared {count} of {code}").format(
            count=session.words.number(book.removals[deed.done_record_id].count), code=code
        )
    elif deed.kind is DayTaskKind.MOVE:
        said = QCoreApplication.translate(
            "Today", "Took {count} of {code} for second grade"
        ).format(count=session.words.number(book.removals[deed.done_record_id].count), code=code)
    elif deed.kind is DayTaskKind.PACK:
        pin = book.pins[deed.done_record_id]
        said = QCoreApplication.translate("Today", "Packed {code} for {market}").format(
            code=code, market=market_words(pin.market_day_id, session)
        )
    elif deed.kind is DayTaskKind.CHECK:
        said = QCoreApplication.translate("Today", "Checked {code}").format(code=code)
    elif deed.kind is DayTaskKind.SETTLE and day is not None:
        said = QCoreApplication.translate("Today", "Wrote down what was sold: {market}").format(
            market=market_words(day.id, session)
        )
        link = f"settle:{day.id}"
    elif deed.kind is DayTaskKind.EXPECT:
        said, link = QCoreApplication.translate("Today", "The expected pick is seen to"), "picks:"
    why = ""
    if deed.done_at is not None:
        why = QCoreApplication.translate("Today", "Done at {time}").format(
            time=session.words.time(deed.done_at)
        )
    return Item(said, why, link)
