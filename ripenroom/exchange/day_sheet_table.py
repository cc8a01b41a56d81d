"""The day sheet as a table, and as lines to print: what to do today, and why the rest stays."""

from collections.abc import Iterator, Mapping
from dataclasses import astuple, dataclass, fields
from datetime import datetime
from typing import TYPE_CHECKING

from ripenroom.exchange.day_sheet_words import (
    check_words,
    clear_words,
    crates_words,
    day_words,
    fruit_words,
    if_left_words,
    market_words,
    move_words,
    no_room_words,
    place_words,
    ready_words,
    stay_words,
)
from ripenroom.season.day_sheet import DaySheet, DayTask, DayTaskKind, is_over
from ripenroom.season.plans.delays import Delay
from ripenroom.season.plans.plan import PlannedItinerary
from ripenroom.season.season import Season

if TYPE_CHECKING:
    import pandas as pd

_Left = Mapping[PlannedItinerary, Delay]

STAYS = "stays"
"""The task of a row that says why crates stay."""

_TITLES = {
    DayTaskKind.SETTLE: "Write down",
    DayTaskKind.CLEAR: "Clear these first",
    DayTaskKind.MOVE: "Move, in this order",
    DayTaskKind.CHECK: "Check",
    DayTaskKind.PACK: "Pack",
    DayTaskKind.EXPECT: "Expect",
}


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row: crates of one batch, as far as it is about any. ``step`` numbers moves in their
    order; rows of one swap share it. ``by`` and ``done`` are times, empty without one."""

    task: str
    step: int | str = ""
    batch: str = ""
    crates: int | str = ""
    from_place: str = ""
    to_place: str = ""
    by: str = ""
    market_day: str = ""
    expected_ready_share: str = ""
    why: str = ""
    done: str = ""


COLUMNS = tuple(field.name for field in fields(SheetRow))


def day_sheet_table(season: Season, sheet: DaySheet, left: _Left) -> "pd.DataFrame":
    """One row for each deed, of a swap for each of its moves; then one for all that stays alike."""
    import pandas as pd

    return pd.DataFrame([astuple(row) for row in _rows(season, sheet, left)], columns=list(COLUMNS))


def printed(season: Season, sheet: DaySheet, left: _Left) -> Iterator[str]:
    """The sheet's lines, under the headings of its kinds, with a box before what is to be done."""
    kind = None
    for deed in sheet.deeds:
        if deed.kind is not kind:
            kind = deed.kind
            yield f"{_TITLES[kind]}:"
        said, why = _done_words(deed, season) if deed.done else _words(deed, season, left)
        yield f"  [{'x' if deed.done else ' '}] {_sentence(said, why)}"
    if not sheet.deeds:
        yield "Nothing is to be done today."
    place = None
    for staying in sheet.stays:
        if place is None:
            yield "What stays, and why:"
        if staying.line.from_place_id != place:
            place = staying.line.from_place_id
            yield f"  {place_words(place, season)}:"
        said = f"{crates_words(staying.crates)} of {fruit_words(staying.line, season)}"
        yield f"    {_sentence(said, stay_words(staying, season))}"


def _sentence(said: str, why: str) -> str:
    return f"{said}. {why[:1].upper()}{why[1:]}." if why else f"{said}."


def _words(deed: DayTask, season: Season, left: _Left) -> tuple[str, str]:
    """What an open deed says, and why."""
    if deed.clearing is not None:
        return clear_words(deed.clearing, season)
    if deed.carrying is not None:
        return move_words(deed.carrying.lines, season), _move_why(deed, season, left)
    if deed.line is not None:
        line = deed.line
        what = f"{crates_words(line.crates)} of {fruit_words(line, season)}"
        market = market_words(line.market_day_id, season)
        share = f"{100.0 * line.expected_ready_share:.0f} % ready then"
        return f"Pack {what} for {market}", f"{place_words(line.from_place_id, season)}; {share}"
    if deed.check is not None:
        code = season.book.batches[deed.record_id].code
        return f"Squeeze {deed.check.fruit} of {code}", check_words(deed.check)
    pick = season.book.expected_picks.get(deed.record_id)
    if pick is not None:
        room = f"room is kept in {place_words(pick.place_id, season)}"
        return f"A pick of about {pick.count} {pick.crop}", room
    market = market_words(deed.record_id, season)
    if is_over(season.book.market_days[deed.record_id], season):
        return f"{market} is over: write down what was sold", ""
    return f"{market} has begun: when it is over, write down what was sold", ""


def _move_why(deed: DayTask, season: Season, left: _Left) -> str:
    assert deed.carrying is not None
    lines = deed.carrying.lines
    at = lines[0].next_step().pull_at
    parts = [f"by {_time(at, season)}" if at is not None else "", no_room_words(deed, season)]
    if len(lines) > 1:
        parts.append("these rooms are full: carry all of it out before any of it goes in")
        parts += [
            f"{fruit_words(line, season)} {why}"
            for line in lines
            if (why := ready_words(line, season))
        ]
    else:
        parts += [ready_words(lines[0], season), if_left_words(lines[0], left.get(lines[0]))]
        if lines[0].next_step().second_grade:
            parts.append("planned for no market day")
        for step in lines[0].steps[1:]:
            place = place_words(step.place_id, season)
            parts.append(f"goes on to {place} {day_words(step.at, season)}")
    return "; ".join(part for part in parts if part)


def _time(at: datetime, season: Season) -> str:
    day = day_words(at, season)
    return f"{at.astimezone(season.zone):%H:%M}" + ("" if day == "today" else f" {day}")


def _done_words(deed: DayTask, season: Season) -> tuple[str, str]:
    book = season.book
    batch = book.batches.get(deed.record_id)
    code = batch.code if batch is not None else ""
    move, gone = book.moves.get(deed.done_record_id), book.removals.get(deed.done_record_id)
    said = {
        DayTaskKind.SETTLE: f"Wrote down what was sold: {market_words(deed.record_id, season)}",
        DayTaskKind.CLEAR: f"Cleared {gone.count if gone else ''} of {code}",
        DayTaskKind.MOVE: f"Moved {code} to {place_words(move.place_id if move else None, season)}",
        DayTaskKind.CHECK: f"Checked {code}",
        DayTaskKind.PACK: f"Packed {code}",
        DayTaskKind.EXPECT: "The expected pick is seen to",
    }[deed.kind]
    if deed.kind is DayTaskKind.MOVE and gone is not None:
        said = f"Took {gone.count} of {code} for second grade"
    at = deed.done_at
    return said, f"done at {at.astimezone(season.zone):%H:%M}" if at is not None else ""


def _rows(season: Season, sheet: DaySheet, left: _Left) -> Iterator[SheetRow]:
    step = 0
    for deed in sheet.deeds:
        if deed.done:
            yield _done_row(deed, season)
            continue
        why = _words(deed, season, left)[1]
        if deed.carrying is not None:
            step += 1
            for line in deed.carrying.lines:
                yield _line_row(season, deed.kind.value, line, why, step)
        elif deed.line is not None:
            crates = deed.clearing.crates if deed.clearing is not None else None
            yield _line_row(season, deed.kind.value, deed.line, why, crates=crates)
        else:
            batch = season.book.batches.get(deed.record_id)
            code = batch.code if batch is not None else ""
            yield SheetRow(deed.kind.value, batch=code, why=why or _words(deed, season, left)[0])
    for staying in sheet.stays:
        why = stay_words(staying, season)
        yield _line_row(season, STAYS, staying.line, why, crates=staying.crates)


def _done_row(deed: DayTask, season: Season) -> SheetRow:
    batch, at = season.book.batches.get(deed.record_id), deed.done_at
    return SheetRow(
        deed.kind.value,
        batch=batch.code if batch is not None else "",
        why=_done_words(deed, season)[0],
        done=at.astimezone(season.zone).isoformat(timespec="minutes") if at is not None else "",
    )


def _line_row(
    season: Season,
    task: str,
    line: PlannedItinerary,
    why: str,
    step: int | str = "",
    crates: int | None = None,
) -> SheetRow:
    next_step = line.next_step()
    moves = next_step.pull_at is not None and task in (DayTaskKind.MOVE.value, STAYS)
    at = next_step.pull_at if moves else None
    day = season.book.market_days.get(line.market_day_id or "")
    return SheetRow(
        task,
        step,
        fruit_words(line, season),
        line.crates if crates is None else crates,
        place_words(line.from_place_id, season),
        place_words(next_step.to_place_id, season) if moves else "",
        at.astimezone(season.zone).isoformat(timespec="minutes") if at is not None else "",
        f"{day.starts_at.astimezone(season.zone):%Y-%m-%d} {day.name}" if day is not None else "",
        f"{line.expected_ready_share:.3f}" if day is not None or line.second_grade else "",
        why,
    )
