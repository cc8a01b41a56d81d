"""Typed rows of a table, each with what is wrong in it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, time

from ripenroom.exchange.record_table.columns import MEANING_OF, ColumnMapping, Meaning, plain
from ripenroom.exchange.record_table.grid import Grid
from ripenroom.exchange.record_table.values import (
    Unreadable,
    count_in,
    moment_in,
    number_in,
    numbers_in,
    time_in,
    with_mass_unit,
    with_offset,
)
from ripenroom.exchange.text_table.source import LONGEST_LINE, TOO_LONG
from ripenroom.season.actions.table_rows import TableRow
from ripenroom.texts import tr
from ripenroom.units import celsius, kilograms

NOON = time(12)
"""When something was done on a day of which no time is told, unless it is still to come."""

_DONE = ("picked_at", "at")
"""What has happened already."""

_MASSES = ("weight_kg",)
_TEMPERATURES = ("pulp_c", "set_point_c", "min_c", "max_c")


@dataclass(frozen=True, slots=True)
class ReadRow:
    """A row as it was understood: typed ``row``, and for columns that were not, why.

    What is wrong with the row as a whole stands under an empty name.
    """

    row: TableRow
    problems: Mapping[str, str] = field(default_factory=dict)


def read(grid: Grid, mapping: ColumnMapping, now: datetime) -> list[ReadRow]:
    """Every row of a table; times without an offset are read in the zone of ``now``."""
    columns = [
        (column, MEANING_OF[mapping.kind][key])
        for column, key in enumerate(mapping.meaning_of)
        if key is not None
    ]
    return [
        _row(cells, number, columns, mapping, now)
        for cells, number in zip(grid.rows, grid.numbers, strict=True)
    ]


def _row(
    cells: tuple[str, ...],
    number: int,
    columns: list[tuple[int, Meaning]],
    mapping: ColumnMapping,
    now: datetime,
) -> ReadRow:
    values: dict[str, object] = {}
    problems: dict[str, str] = {}
    clocks: dict[str, time] = {}
    if any(TOO_LONG in cell for cell in cells):  # nothing of it is known, whatever is needed
        return ReadRow(
            TableRow(number, values, unread=frozenset({""})),
            {
                "": tr("This line is too long: it has more than {most} characters.").format(
                    most=LONGEST_LINE
                )
            },
        )
    for column, meaning in columns:
        text = cells[column].strip().removeprefix("'").strip()
        if not text:
            if meaning.needed:
                problems[meaning.key] = tr("is needed")
            continue
        try:
            if meaning.holds == "time":
                clocks[meaning.key] = time_in(text)
            else:
                values[meaning.key] = _value(text, meaning, mapping, now)
        except Unreadable as unreadable:
            problems[meaning.key] = str(unreadable)
    for key, value in list(values.items()):
        if isinstance(value, _When):
            clock = clocks.get(f"{key.removesuffix('_at')}_time") or clocks.get(f"{key}_time")
            try:
                values[key] = value.moment(clock, now, done=key in _DONE)
            except (ValueError, OverflowError):
                problems[key] = tr("is out of reach")
                del values[key]
    return ReadRow(TableRow(number, values, unread=frozenset(problems)), problems)


@dataclass(frozen=True, slots=True)
class _When:
    """A day, perhaps with its time, before another column's time is known."""

    text: str
    mapping: ColumnMapping

    def moment(self, clock: time | None, now: datetime, *, done: bool) -> datetime:
        day, own, offset = moment_in(self.text, self.mapping.date_order, now.date())
        told = with_offset(day, own, offset) if own is not None else None
        if told is not None:
            return told
        said = own or clock
        at = datetime.combine(day, said or NOON, now.tzinfo)
        return min(at, now) if done and said is None and day == now.date() else at


def _value(text: str, meaning: Meaning, mapping: ColumnMapping, now: datetime) -> object:
    mark = mapping.decimal_mark
    match meaning.holds:
        case "count":
            return count_in(text, mark)
        case "numbers":
            return numbers_in(text, mark)
        case "number":
            if meaning.key in _MASSES:
                bare, unit = with_mass_unit(text, mapping.mass_unit)
                return kilograms(number_in(bare, mark), unit)
            value = number_in(text, mark)
            if meaning.key in _TEMPERATURES:
                return celsius(value, mapping.temperature_unit)
            return value
        case "moment" | "day":
            moment_in(text, mapping.date_order, now.date())
            return _When(text, mapping)
        case "choice":
            known = {plain(choice): choice for choice in meaning.choices}
            if plain(text) not in known:
                raise Unreadable(
                    tr("must be one of {choices}").format(choices=", ".join(meaning.choices))
                )
            return known[plain(text)]
        case _:
            return text
