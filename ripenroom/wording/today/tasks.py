"""The lines of the day sheet in words: what to do, and why in one short sentence."""

from typing import TYPE_CHECKING

from ripenroom.season.day_sheet import DayTask, DayTaskKind
from ripenroom.texts import tr
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import begun, fruit_name, sentences
from ripenroom.wording.plan.itineraries import (
    day_words,
    decided_words,
    felt_words,
    if_left_words,
    market_words,
    place_words,
    what_words,
)
from ripenroom.wording.plan.worth import money_about, under_one
from ripenroom.wording.reader import Reader
from ripenroom.wording.today.items import Item
from ripenroom.wording.today.stays import clear_item, goes_for, no_room_words, swap_item, together

if TYPE_CHECKING:
    from ripenroom.season.advice.advice import CheckNext
    from ripenroom.season.plans.plan import PlannedItinerary


def kind_title(kind: DayTaskKind) -> str:
    """The heading over the tasks of a kind."""
    return {
        DayTaskKind.SETTLE: tr("Enter sales"),
        DayTaskKind.CHECK_FIRST: tr("Squeeze before you move or pack"),
        DayTaskKind.CLEAR: tr("Clear these first"),
        DayTaskKind.MOVE: tr("Move, in this order"),
        DayTaskKind.CHECK: tr("Squeeze"),
        DayTaskKind.PACK: tr("Pack"),
        DayTaskKind.EXPECT: tr("Picks due today"),
        DayTaskKind.PAST: tr("Past, to clear when you like"),
    }[kind]


def task_item(task: DayTask, reader: Reader) -> Item:
    """What a task's line says and where it leads."""
    if task.done:
        return _done(task, reader)
    return {
        DayTaskKind.SETTLE: _settle,
        DayTaskKind.CHECK_FIRST: _check,
        DayTaskKind.CLEAR: clear_item,
        DayTaskKind.MOVE: _move,
        DayTaskKind.CHECK: _check,
        DayTaskKind.PACK: _pack,
        DayTaskKind.EXPECT: _expect,
        DayTaskKind.PAST: clear_item,
    }[task.kind](task, reader)


def _line_of(task: DayTask) -> "PlannedItinerary":
    assert task.line is not None
    return task.line


def _settle(task: DayTask, reader: Reader) -> Item:
    day = reader.season.book.market_days[task.record_id]
    said = tr("{market} has begun: when it is over, enter what was sold")
    if reader.season.ask.is_over(day):
        said = tr("{market} is over: enter what was sold")
    return Item(
        said.format(market=market_words(day.id, reader)),
        tr("Until then what you packed for it counts as away"),
        f"settle:{day.id}",
    )


def _move(task: DayTask, reader: Reader) -> Item:
    line, carrying = _line_of(task), task.carrying
    if carrying is not None and carrying.is_swap:
        return swap_item(carrying.lines, reader)
    step, link = line.next_step(), f"batch:{line.batch_id}"
    here, there = (place_words(key, reader) for key in (step.from_place_id, step.to_place_id))
    headline = tr("{what} from {place}").format(what=what_words(line, reader), place=here)
    if step.second_grade:
        why = tr("For no market day")
        spoken = tr("To second grade: {headline}")
        return Item(headline, why, link, spoken=spoken.format(headline=headline))
    why = together([(one.crates, _why_moved(one, reader)) for one in task.lines])
    parts = [no_room_words(carrying, reader), why]
    spoken = tr("To {place}: {headline}").format(place=there, headline=headline)
    return Item(headline, sentences(parts), link, spoken=spoken)


def _why_moved(line: "PlannedItinerary", reader: Reader) -> str:
    """``"for Quayside market, Sat 3 Oct: 88 % good to sell, if left here 67 %; then to …"``."""
    shares = [goes_for(line, reader)]
    shares.append(if_left_words(line, reader.plans.if_left.get(line), reader))
    goes_on = ""
    if len(line.steps) > 1:
        last = line.steps[-1]
        goes_on = tr("then to {place} {day}").format(
            place=place_words(last.place_id, reader), day=day_words(last.at, reader)
        )
    parts = [", ".join(part for part in shares if part), goes_on, decided_words(line, reader)]
    return "; ".join(part for part in parts if part)


def _pack(task: DayTask, reader: Reader) -> Item:
    line = _line_of(task)
    day = reader.season.book.market_days[line.market_day_id or ""]
    ahead = [step for step in line.steps if step.at < day.starts_at]
    what, share = what_words(line, reader), reader.words.share(line.expected_ready_share)
    if ahead:
        headline = tr("{what}, once moved to {place}")
        where = ahead[-1].place_id
    else:
        headline, where = (
            tr("{what} from {place}"),
            line.from_place_id,
        )
    headline = headline.format(what=what, place=place_words(where, reader))
    return Item(
        headline,
        tr("{share} good to sell").format(share=share),
        f"pack:{day.id}",
        spoken=tr("Pack for {market}: {headline}").format(market=day.name, headline=headline),
    )


def _check(task: DayTask, reader: Reader) -> Item:
    assert task.check is not None
    return check_item(task.check, reader)


def check_item(check: "CheckNext", reader: Reader) -> Item:
    """``"8 pawpaws, hard: P-0914-2, Cold room"``, and what that squeeze shows."""
    season, words = reader.season, reader.words
    batch, place = season.book.batches[check.batch_id], season.place_of(check.batch_id)
    fruit = felt_words(batch.crop, check.fruit, season.ask.last_felt(batch.id), reader)
    parts = [_decides(check, reader)]
    if round(check.gain_minor) > 0:
        parts.append(_worth(check.gain_minor, words))
    headline = tr("{fruit}: {code}, {place}") if place else tr("{fruit}: {code}")
    where = place.name if place else ""
    headline = headline.format(fruit=fruit, code=batch.code, place=where)
    spoken = tr("Squeeze {headline}").format(headline=headline)
    return Item(headline, begun("; ".join(parts)), f"check:{batch.id}", spoken=spoken)


def _worth(minor: float, words: Formats) -> str:
    """What a squeeze may bring, in whole units of the currency: no forecast is good to the cent."""
    if one := under_one(minor, words):
        return tr("worth under {money}").format(money=one)
    return tr("worth about {money}").format(money=money_about(minor, words))


def _decides(check: "CheckNext", reader: Reader) -> str:
    """What hangs on a squeeze, and when that is due."""
    from ripenroom.season.advice.advice import CheckReason

    decides = {
        CheckReason.WHEN: tr("shows when to move them"),
        CheckReason.WHERE: tr("shows which market day to take them to"),
        CheckReason.WHETHER: tr("shows whether they are worth bringing"),
        CheckReason.GRADE: tr("shows whether they should go to second grade"),
        CheckReason.PACE: tr("shows how fast this cultivar softens"),
        CheckReason.RIPENS: tr("shows whether they ripen at all"),
    }[check.reason]
    if check.decides_at is None or check.reason is CheckReason.PACE:
        return decides
    today = reader.words.local(check.decides_at).date() <= reader.season.now().date()
    said = tr("{decides}; do it today") if today else tr("{decides}; do it by {day}")
    return said.format(decides=decides, day=day_words(check.decides_at, reader))


def _expect(task: DayTask, reader: Reader) -> Item:
    pick = reader.season.book.expected_picks[task.record_id]
    words, today = reader.words, reader.season.now().date()
    late = tr("due {day} and not entered yet").format(day=words.day(pick.on))
    parts = [
        late if pick.on < today else "",
        tr("room is kept: {place}").format(place=place_words(pick.place_id, reader)),
        pick.note,
        tr("tick it once you entered the pick, or it won’t come"),
    ]
    return Item(
        tr("About {count} {crop} to pick").format(
            count=words.number(pick.count),
            crop=fruit_name(reader.season.crops, pick.crop, pick.count),
        ),
        begun("; ".join(part for part in parts if part)),
        "picks:",
    )


def _done(task: DayTask, reader: Reader) -> Item:
    """``"34 pawpaws, slight give: P-0926-1 moved to Cold room"``, as the line began while it was
    still to be done, and when that was."""
    book = reader.season.book
    day = book.market_days.get(task.record_id)
    said, link = "", f"batch:{task.record_id}"
    if task.kind is DayTaskKind.SETTLE and day is not None:
        said = tr("Entered what was sold: {market}").format(market=market_words(day.id, reader))
        link = f"settle:{day.id}"
    elif task.kind is DayTaskKind.EXPECT:
        said, link = tr("The pick that was due is done"), "picks:"
    elif task.record_id in book.batches:
        said, count = _what_was_done(task, reader), _fruit_done(task, reader)
        if count:
            batch = book.batches[task.record_id]
            felt = reader.season.ask.last_felt(batch.id)
            fruit = felt_words(batch.crop, count, felt, reader)
            said = tr("{fruit}: {what}").format(fruit=fruit, what=said)
    why = ""
    if task.done_at is not None:
        why = tr("Done at {time}").format(time=reader.words.time(task.done_at))
    return Item(said, why, link)


def _fruit_done(task: DayTask, reader: Reader) -> int:
    """How many fruit were moved, packed, squeezed or cleared."""
    book, record_id = reader.season.book, task.done_record_id
    if record_id in book.removals:
        return book.removals[record_id].count
    if record_id in book.checks:
        check = book.checks[record_id]
        return sum(check.feel_counts) if check.feel_counts else len(check.readings)
    crates = book.pins[record_id].crates if record_id in book.pins else None
    return reader.season.ask.fruit_left(task.record_id, task.done_at, crates)


def _what_was_done(task: DayTask, reader: Reader) -> str:
    book, record_id = reader.season.book, task.done_record_id
    code = book.batches[task.record_id].code
    if task.kind is DayTaskKind.MOVE and record_id in book.moves:
        place = place_words(book.moves[record_id].place_id, reader)
        return tr("{code} moved to {place}").format(code=code, place=place)
    if task.kind in (DayTaskKind.CLEAR, DayTaskKind.PAST):
        return tr("{code} cleared").format(code=code)
    if task.kind is DayTaskKind.MOVE:
        return tr("{code} to second grade").format(code=code)
    if task.kind is DayTaskKind.PACK and record_id in book.pins:
        market = market_words(book.pins[record_id].market_day_id, reader)
        return tr("{code} packed for {market}").format(code=code, market=market)
    return tr("{code} checked").format(code=code)
