"""The day sheet as a table, and as lines to print: what to do today, and why the rest stays."""

from collections.abc import Iterator
from dataclasses import astuple, dataclass, fields
from itertools import groupby
from typing import TYPE_CHECKING

from ripenroom.records.batch import Batch
from ripenroom.season.day_sheet import DaySheet, DayTask, DayTaskKind
from ripenroom.season.plans.plan import PlannedItinerary
from ripenroom.season.season import Season
from ripenroom.texts import tr
from ripenroom.wording.plan.itineraries import fruit_of, place_words
from ripenroom.wording.reader import Reader
from ripenroom.wording.today.in_the_rows import rows_groups
from ripenroom.wording.today.items import Item, with_headings
from ripenroom.wording.today.stays import stays_by_place, why_stays
from ripenroom.wording.today.tasks import kind_title, task_item

if TYPE_CHECKING:
    import pandas as pd

STAYS = "stays"
"""The task of a row that says why crates stay."""


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row: crates of one batch, as far as it is about any. ``step`` numbers moves in their
    order; rows of one swap share it. ``feel`` is how most of the batch felt when it was last
    squeezed, ``fruit`` how many are in the crates. ``by`` and ``done`` are times, empty without
    one."""

    task: str
    step: int | str = ""
    crop: str = ""
    feel: str = ""
    fruit: int | str = ""
    crates: int | str = ""
    batch: str = ""
    from_place: str = ""
    to_place: str = ""
    by: str = ""
    market_day: str = ""
    expected_ready_share: str = ""
    why: str = ""
    done: str = ""


COLUMNS = tuple(field.name for field in fields(SheetRow))


def day_sheet_table(reader: Reader, sheet: DaySheet) -> "pd.DataFrame":
    """One row for each task, of a swap for each of its moves; then one for all that stays alike.

    ``why`` is what the page Today says, in the reader's language; all else is for computers.
    """
    import pandas as pd

    return pd.DataFrame([astuple(row) for row in _rows(reader, sheet)], columns=list(COLUMNS))


def printed(reader: Reader, sheet: DaySheet) -> Iterator[str]:
    """The sheet's lines as the page Today says them, and what it says of the rows of trees, with a
    box before what is to be done."""
    lines = [(task, task_item(task, reader)) for task in sheet.tasks]
    for kind, of_kind in groupby(with_headings(lines, reader), lambda line: line[0].kind):
        yield f"{kind_title(kind)}:"
        for heading, run in groupby(of_kind, lambda line: line[1].under):
            if heading:
                yield f"  {heading}"
            for task, item in run:
                yield f"  [{'x' if task.done else ' '}] {_sentence(item)}"
    orchard = rows_groups(reader)
    if not sheet.tasks and not orchard:
        yield tr("Nothing to do today.")
    for group in orchard:
        yield f"{group.title}:"
        yield from (f"  [ ] {_sentence(item)}" for item in group.items)
    if sheet.stays:
        yield tr("What stays, and why:")
    for group in stays_by_place(sheet.stays, reader):
        yield f"  {group.title}:"
        yield from (f"    {_sentence(item)}" for item in group.items)


def _sentence(item: Item) -> str:
    return f"{item.headline}. {item.reason}." if item.reason else f"{item.headline}."


def _rows(reader: Reader, sheet: DaySheet) -> Iterator[SheetRow]:
    step = 0
    for task in sheet.tasks:
        item = task_item(task, reader)
        if task.done:
            yield _done_row(task, item.headline, reader.season)
        elif task.carrying is not None:
            step += 1
            for line in task.carrying.lines:
                yield _line_row(reader, task.kind.value, line, item.reason, step)
        elif task.clearing is not None:
            crates, line = task.clearing.crates, task.clearing.line
            yield _line_row(reader, task.kind.value, line, item.reason, crates=crates)
        elif task.line is not None:
            yield _line_row(reader, task.kind.value, task.line, item.reason)
        else:
            batch = reader.season.book.batches.get(task.record_id)
            asks = task.kind is DayTaskKind.SETTLE  # what it asks is its reason
            why = item.headline if asks else item.reason
            yield SheetRow(task.kind.value, **_of_batch(reader.season, batch), why=why)
    for staying in sheet.stays:
        why = why_stays(staying, reader)
        yield _line_row(reader, STAYS, staying.line, why, crates=staying.crates)


def _done_row(task: DayTask, said: str, season: Season) -> SheetRow:
    batch, at = season.book.batches.get(task.record_id), task.done_at
    return SheetRow(
        task.kind.value,
        **_of_batch(season, batch),
        why=said,
        done=at.astimezone(season.zone).isoformat(timespec="minutes") if at is not None else "",
    )


def _of_batch(season: Season, batch: Batch | None) -> dict[str, str]:
    if batch is None:
        return {}
    felt = season.ask.last_felt(batch.id) or ""
    return {"crop": batch.crop, "feel": felt, "batch": batch.code}


def _line_row(
    reader: Reader,
    task: str,
    line: PlannedItinerary,
    why: str,
    step: int | str = "",
    crates: int | None = None,
) -> SheetRow:
    season, next_step = reader.season, line.next_step()
    book, count = season.book, line.crates if crates is None else crates
    of = book.batches.get(line.batch_id) or book.expected_picks.get(line.expected_pick_id or "")
    moves = next_step.pull_at is not None and task in (DayTaskKind.MOVE.value, STAYS)
    at = next_step.pull_at if moves else None
    day = book.market_days.get(line.market_day_id or "")
    return SheetRow(
        task,
        step,
        of.crop if of is not None else "",
        season.ask.last_felt(line.batch_id) or "",
        round(line.fruit * count / max(line.crates, 1)),
        count,
        fruit_of(line, reader),
        place_words(line.from_place_id, reader),
        place_words(next_step.to_place_id, reader) if moves else "",
        at.astimezone(season.zone).isoformat(timespec="minutes") if at is not None else "",
        f"{day.starts_at.astimezone(season.zone):%Y-%m-%d} {day.name}" if day is not None else "",
        f"{line.expected_ready_share:.3f}" if day is not None or line.second_grade else "",
        why,
    )
