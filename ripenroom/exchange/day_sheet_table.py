"""The day sheet as a table, and as lines to print: what to do today, and why the rest stays."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import astuple, dataclass, fields
from datetime import datetime
from itertools import groupby
from typing import TYPE_CHECKING

from ripenroom.exchange.day_sheet_words import (
    check_words,
    clear_words,
    crates_words,
    day_words,
    fruit_words,
    goal_words,
    if_left_words,
    market_words,
    move_words,
    no_room_words,
    place_words,
    ready_words,
    squeeze_words,
    stay_words,
    what_words,
)
from ripenroom.records.wording import fruit_noun
from ripenroom.season.day_sheet import DaySheet, DayTask, DayTaskKind
from ripenroom.season.plans.delays import Delay
from ripenroom.season.plans.plan import PlannedItinerary
from ripenroom.season.season import Season

if TYPE_CHECKING:
    import pandas as pd

_Left = Mapping[PlannedItinerary, Delay]

STAYS = "stays"
"""The task of a row that says why crates stay."""

_TITLES = {
    DayTaskKind.SETTLE: "Enter sales",
    DayTaskKind.CLEAR: "Clear these first",
    DayTaskKind.MOVE: "Move, in this order",
    DayTaskKind.CHECK: "Squeeze",
    DayTaskKind.PACK: "Pack",
    DayTaskKind.EXPECT: "Picks due today",
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
    before: DayTaskKind | None = None
    for (kind, goal), run in groupby(sheet.deeds, lambda deed: _heading(deed, season)):
        found = list(run)
        if found[0].kind is not before:
            before = kind
            yield f"{_TITLES[kind]}:"
        if goal and goal != "Swap":
            yield f"  {goal}: {_in_all(found, season)}"
        yield from (_printed_deed(deed, season, left) for deed in found)
    if not sheet.deeds:
        yield "Nothing to do today."
    place = None
    for staying in sheet.stays:
        if place is None:
            yield "What stays, and why:"
        if staying.line.from_place_id != place:
            place = staying.line.from_place_id
            yield f"  {place_words(place, season)}:"
        said = what_words(staying.line, season, staying.crates)
        yield f"    {_sentence(said, stay_words(staying, season))}"


def _heading(deed: DayTask, season: Season) -> tuple[DayTaskKind, str]:
    """The kind of a deed, and where it goes or what it is packed for."""
    if deed.kind is DayTaskKind.MOVE:
        return deed.kind, goal_words(deed, season)
    if deed.kind is DayTaskKind.PACK and deed.line is not None:
        return deed.kind, f"For {market_words(deed.line.market_day_id, season)}"
    return deed.kind, ""


def _in_all(deeds: Sequence[DayTask], season: Season) -> str:
    """How many crates are still to be carried, and by when: ``"3 crates, by 18:00"``."""
    lines = [deed.line for deed in deeds if deed.line is not None and not deed.done]
    if not lines:
        return "done"
    times = [at for line in lines if (at := line.next_step().pull_at) is not None]
    moves = deeds[0].kind is DayTaskKind.MOVE and times
    by = f", by {_time(min(times), season)}" if moves else ""
    return f"{crates_words(sum(line.crates for line in lines))}{by}"


def _printed_deed(deed: DayTask, season: Season, left: _Left) -> str:
    said, why = _done_words(deed, season) if deed.done else _words(deed, season, left)
    return f"  [{'x' if deed.done else ' '}] {_sentence(said, why)}"


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
        what, place = what_words(line, season), place_words(line.from_place_id, season)
        return f"{what} from {place}", f"{100.0 * line.expected_ready_share:.0f} % ready then"
    if deed.check is not None:
        return squeeze_words(deed.check, season), check_words(deed.check)
    pick = season.book.expected_picks.get(deed.record_id)
    if pick is not None:
        room = f"room is kept in {place_words(pick.place_id, season)}"
        profile = season.crops.get(pick.crop)
        fruit = fruit_noun(profile.name if profile is not None else pick.crop, pick.count)
        return f"About {pick.count} {fruit} to pick", room
    market = market_words(deed.record_id, season)
    if season.ask.is_over(season.book.market_days[deed.record_id]):
        return f"{market} is over: enter what was sold", ""
    return f"{market} has begun: when it is over, enter what was sold", ""


def _move_why(deed: DayTask, season: Season, left: _Left) -> str:
    assert deed.carrying is not None
    lines = deed.carrying.lines
    at = lines[0].next_step().pull_at
    parts = [no_room_words(deed, season)]
    if len(lines) > 1:
        parts.append(f"by {_time(at, season)}" if at is not None else "")
        parts.append("both rooms are full: carry all of it out before any goes in")
        parts += [
            f"{fruit_words(line, season)} {why}"
            for line in lines
            if (why := ready_words(line, season))
        ]
    else:
        shares = [ready_words(lines[0], season), if_left_words(lines[0], left.get(lines[0]))]
        parts.append(", ".join(part for part in shares if part))
        if lines[0].next_step().second_grade:
            parts.append("for no market day")
        for step in lines[0].steps[1:]:
            place = place_words(step.place_id, season)
            parts.append(f"then to {place} {day_words(step.at, season)}")
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
        DayTaskKind.SETTLE: f"Entered what was sold: {market_words(deed.record_id, season)}",
        DayTaskKind.CLEAR: f"Cleared {gone.count if gone else ''} of {code}",
        DayTaskKind.MOVE: f"Moved {code} to {place_words(move.place_id if move else None, season)}",
        DayTaskKind.CHECK: f"Checked {code}",
        DayTaskKind.PACK: f"Packed {code}",
        DayTaskKind.EXPECT: "The pick that was due is done",
    }[deed.kind]
    if deed.kind is DayTaskKind.MOVE and gone is not None:
        said = f"{gone.count} of {code} to second grade"
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
