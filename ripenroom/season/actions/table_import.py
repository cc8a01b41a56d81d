"""Rows of a table become records, each checked as if it had been typed.

Rows are taken one after the other, so that a row may name what one before it has made. A row that
is refused keeps none of the others from being written.
"""

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, replace
from datetime import datetime

from ripenroom.records.book import Record, new_id
from ripenroom.records.refusal import Question, Refusal
from ripenroom.records.validation import checked, require_within_reach
from ripenroom.season.actions.action import Action, require_not_ahead
from ripenroom.season.actions.row_records import MADE_OF, feel_of
from ripenroom.season.actions.table_rows import FEEL_KEYS, Ground, ImportDefaults, RowKind, TableRow
from ripenroom.season.state import SeasonState
from ripenroom.texts import noted, noted_n, tr, tr_n

_COLUMN_OF = {"code": "batch", "price_minor": "price", "row_id": "row", "cultivar_id": "cultivar"}
_COLUMN_IN: Mapping[RowKind, Mapping[str, str]] = {
    "market days": {"name": "market_day", "count": "wanted"},
    "places": {"name": "place"},
    "rows": {"name": "row"},
}
"""Fields of records that have another name in tables, in all of them or in those of a kind."""


@dataclass(frozen=True, slots=True)
class ImportResult:
    """What becomes of rows: one change of all that are right, and why the others are not.

    ``also`` is what else is wrong with a row that is refused.
    """

    change: Action
    taken: tuple[int, ...]
    refused: Mapping[int, Refusal]
    also: Mapping[int, tuple[Refusal, ...]]


def take_in(
    state: SeasonState, kind: RowKind, rows: Sequence[TableRow], usual: ImportDefaults, name: str
) -> tuple[ImportResult, Action]:
    """Write down every row that is right; what became of them, and the action."""
    found = look_over(state, kind, rows, usual, name)
    return found, found.change


def look_over(
    state: SeasonState, kind: RowKind, rows: Sequence[TableRow], usual: ImportDefaults, name: str
) -> ImportResult:
    """The action that ``rows`` of a table called ``name`` make, and the refusals by row number."""
    ground = Ground(state, usual)
    put: dict[str, Record] = {}
    taken: list[int] = []
    refused: dict[int, Refusal] = {}
    also: dict[int, tuple[Refusal, ...]] = {}

    def refuse(row: TableRow, why: Sequence[Refusal]) -> None:
        for refusal in why:
            refusal.field = _column(kind, refusal, row)
        refused[row.number], also[row.number] = why[0], tuple(why[1:])

    for row in rows:
        wrong = _wrong_by_itself(ground, kind, row)
        if wrong or row.unread:
            if wrong := _all_wrong(ground, kind, row, wrong):
                refuse(row, wrong)
            continue
        try:
            change = _made_of(ground, kind, row)
            ground.require_room(change.put)
        except Refusal as refusal:
            refuse(row, _all_wrong(ground, kind, row, [refusal]))
            continue
        taken.append(row.number)
        # Rows only add, so there is nothing to take away.
        ground.add(change.put)
        put.update((record.id, record) for record in change.put)
    label = tr("{rows} from {name}").format(rows=rows_of(kind, len(taken)), name=name)
    return ImportResult(Action(label, tuple(put.values())), tuple(taken), refused, also)


def _made_of(ground: Ground, kind: RowKind, row: TableRow) -> Action:
    """What a row makes, with every record as it has to be."""
    change = MADE_OF[kind](ground, row)
    for record in change.put:
        checked(record)
    require_within_reach(ground.state.book.season, change.put)
    return change


def _column(kind: RowKind, refusal: Refusal, row: TableRow) -> str:
    """The column that a refused field of a record comes from."""
    field = refusal.field
    if field in ("amount", "unit_price_minor"):  # of wants that may be in columns of their own
        own, usual = ("amount", "wanted") if field == "amount" else ("unit_price", "price")
        return own if own in row.values else usual
    return _COLUMN_IN.get(kind, {}).get(field, _COLUMN_OF.get(field, field))


def _all_wrong(
    ground: Ground, kind: RowKind, row: TableRow, wrong: Sequence[Refusal]
) -> list[Refusal]:
    """All that is wrong with a row, beginning with what is known: cells that are refused, or that
    cannot be read, are set aside, and the rest is tried again.

    What has to be there gets a value that could stand there. Where a cell is left out nothing is
    said of one that is missing: that may follow from it. A question is asked only by itself.
    """
    found = list(wrong)
    aside = {*row.unread, *(_column(kind, refusal, row) for refusal in wrong)}
    if any(isinstance(refusal, Question) for refusal in wrong):
        return found
    while True:
        stand_ins = _stand_ins(ground, kind, row, aside)
        left_out = aside - stand_ins.keys()
        if "sold_by" in left_out:
            left_out |= _BY_UNIT
        values = {key: value for key, value in row.values.items() if key not in left_out}
        tried = replace(row, values={**values, **stand_ins}, unread=frozenset())
        try:
            _made_of(ground, kind, tried)
        except Question:
            return found
        except Refusal as refusal:
            column = _column(kind, refusal, row)
            follows = column not in row.values and left_out
            if not column or column in aside or follows:
                return found
            found.append(refusal)
            aside.add(column)
        else:
            return found


_BY_UNIT = frozenset({"wanted", "amount", "price", "unit_price", "fruit_per_box"})
"""Columns that nobody can judge without the unit that they are in."""


_HOW_MANY = frozenset({"feel", "weight_kg", *FEEL_KEYS})
"""Columns that say how many fruit there are beside the one that does so itself."""


def _stand_ins(ground: Ground, kind: RowKind, row: TableRow, aside: Set[str]) -> dict[str, object]:
    """Something that could stand in columns without which a row says nothing."""
    book, now = ground.book, ground.state.now
    name = new_id()
    possible: dict[str, object] = {
        "picked_at": now,
        "at": now,
        "starts_at": now,
        "on": now,
        "market_day": name,
        "crop": next(iter(ground.crops), None),
        "kind": "cold room" if kind == "places" else "market",
        "fruit_per_box": 12,
        "trees": 1,
        "branches_per_tree": 10,
        "on_ground": 0,
    }
    for key, shelf, makes in (("place", book.places, "places"), ("row", book.rows, "rows")):
        there = next((record.name for record in shelf.values()), None)
        possible[key] = name if kind == makes else there
    if "sold_by" not in aside:
        possible |= {"wanted": 1, "amount": 1.0}
    if not row.values.keys() & _HOW_MANY:
        possible["count"] = 1
    if kind == "checks":
        possible["batch"] = next((batch.code for batch in book.batches.values()), None)
    return {key: possible[key] for key in aside if possible.get(key) is not None}


def _wrong_by_itself(ground: Ground, kind: RowKind, row: TableRow) -> list[Refusal]:
    """What is wrong in columns of a row whatever stands in the others, so that all of it is said at
    once: names of nothing, feels that cannot be read, times that have not come."""
    wrong: list[Refusal] = []
    for key in _BY_THEMSELVES[kind]:
        try:
            _look_at(ground, row, key)
        except Refusal as refusal:
            wrong.append(refusal)
    return wrong


def _look_at(ground: Ground, row: TableRow, key: str) -> None:
    value = row.values.get(key)
    match key:
        case "crop":
            ground.crop(row)
        case "place":
            ground.place(row)
        case "batch":
            ground.batch(row)
        case "cultivar":
            ground.named(row, key, "cultivars", noted("cultivar"))
        case "row":
            ground.named(row, key, "rows", noted("row"))
        case "feel":
            feel_of(row)
        case _ if isinstance(value, datetime):
            require_not_ahead(key, value, ground.state.now)


_BY_THEMSELVES: Mapping[RowKind, tuple[str, ...]] = {
    "picks": ("picked_at", "crop", "cultivar", "row", "place", "feel"),
    "checks": ("batch", "at", "feel"),
    "market days": (),
    "places": (),
    "rows": (),
    "walks": ("row", "at", "feel"),
    "weather": (),
}
"""Columns that are looked at one by one; other kinds of rows name little."""


def rows_of(kind: RowKind, count: int) -> str:
    """So many rows of a kind, in words: ``"1 pick"``, ``"3 days of weather"``."""
    return tr_n(*_ROWS[kind], count)


_ROWS: Mapping[RowKind, tuple[str, str]] = {
    "picks": noted_n("{n} pick", "{n} picks"),
    "checks": noted_n("{n} check", "{n} checks"),
    "market days": noted_n("{n} market day", "{n} market days"),
    "places": noted_n("{n} place", "{n} places"),
    "rows": noted_n("{n} row", "{n} rows"),
    "walks": noted_n("{n} walk", "{n} walks"),
    "weather": noted_n("{n} day of weather", "{n} days of weather"),
}
