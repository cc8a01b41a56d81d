"""Lines of the day sheet and of the page Today, and the headings that several stand under."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby

from ripenroom.season.day_sheet import DayTask, DayTaskKind
from ripenroom.texts import tr
from ripenroom.wording.plan.itineraries import (
    by_words,
    crates_words,
    day_words,
    place_words,
)
from ripenroom.wording.reader import Reader


@dataclass(frozen=True, slots=True)
class Item:
    """One sentence: what to follow, why, and where it leads.

    ``under`` is the heading that it stands under within its kind, if any; ``spoken`` says it to
    those who do not see that.
    """

    headline: str
    reason: str
    link: str
    under: str = ""
    spoken: str = ""


@dataclass(frozen=True, slots=True)
class ItemGroup:
    """Sentences of one urgency; those to be done have a box to tick on paper."""

    title: str
    items: tuple[Item, ...]
    to_do: bool


SheetLine = tuple[DayTask, Item]


def with_headings(lines: Sequence[SheetLine], reader: Reader) -> Iterator[SheetLine]:
    """The lines, each with the heading of the run it stands in: ``"To Cold room: 3 crates, by
    6:00 PM"``. Runs follow the order of the sheet, which says what fits when."""
    runs = [
        (kind, key, list(run))
        for (kind, key), run in groupby(lines, lambda line: (line[0].kind, _key(line[0], reader)))
    ]
    by = _by_when(runs)
    for number, (kind, key, run) in enumerate(runs):
        heading = ""
        if kind is DayTaskKind.MOVE:
            heading = _move_heading([task for task, _ in run], by[number], reader)
        elif kind is DayTaskKind.PACK and key:
            heading = _pack_heading([task for task, _ in run], key, reader)
        for task, item in run:
            yield task, replace(item, under=heading)


def _by_when(
    runs: Sequence[tuple[DayTaskKind, str, Sequence[SheetLine]]],
) -> list[datetime | None]:
    """When all of each run has to be moved: before what comes after it on the sheet, for which it
    may make room."""
    found: list[datetime | None] = []
    earliest: datetime | None = None
    for kind, _, run in reversed(runs):
        lines = [task.line for task, _ in run if task.line is not None and not task.done]
        if kind is DayTaskKind.MOVE:
            times = [at for line in lines if (at := line.next_step().pull_at) is not None]
            earliest = min([*times, *([] if earliest is None else [earliest])], default=None)
        found.append(earliest)
    return found[::-1]


def _key(task: DayTask, reader: Reader) -> str:
    """What lines under one heading have in common."""
    book = reader.season.book
    if task.kind is DayTaskKind.PACK:
        pin = book.pins.get(task.done_record_id)
        day = pin.market_day_id if pin is not None else None
        return (task.line.market_day_id if task.line is not None else day) or ""
    if task.kind is not DayTaskKind.MOVE:
        return ""
    if task.done:
        move = book.moves.get(task.done_record_id)
        return "second" if move is None else move.place_id
    if task.carrying is not None and task.carrying.is_swap:
        return "swap"
    step = task.line.next_step() if task.line is not None else None
    return "second" if step is None or step.second_grade else step.to_place_id or ""


def _move_heading(tasks: Sequence[DayTask], by: datetime | None, reader: Reader) -> str:
    key = _key(tasks[0], reader)
    if key == "swap":
        return tr("Swap")
    goal = tr("To second grade")
    if key != "second":
        goal = tr("To {place}").format(place=place_words(key, reader))
    lines = [task.line for task in tasks if task.line is not None and not task.done]
    if not lines:
        return tr("{goal}: done").format(goal=goal)
    said = tr("{goal}: {crates}").format(
        goal=goal, crates=crates_words(sum(line.crates for line in lines))
    )
    if by is None:
        return said
    return tr("{goal}, {by}").format(goal=said, by=by_words(by, reader))


def _pack_heading(tasks: Sequence[DayTask], market_day_id: str, reader: Reader) -> str:
    day = reader.season.book.market_days.get(market_day_id)
    if day is None:
        return ""
    lines = [task.line for task in tasks if task.line is not None and not task.done]
    crates = crates_words(sum(line.crates for line in lines))
    done = tr("done")
    return tr("For {market}, {day} at {time}: {crates}").format(
        market=day.name,
        day=day_words(day.starts_at, reader),
        time=reader.words.time(day.starts_at),
        crates=crates if lines else done,
    )
