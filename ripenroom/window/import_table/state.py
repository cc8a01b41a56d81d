"""A table on its way in: its cells, what they mean, and what became of each row."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from ripenroom.exchange.record_table.columns import ColumnMapping, Kind
from ripenroom.exchange.record_table.grid import Grid
from ripenroom.exchange.record_table.reading import read
from ripenroom.records.refusal import Question
from ripenroom.season import actions
from ripenroom.season.state import SeasonState


@dataclass(frozen=True, slots=True)
class RowTrouble:
    """Why a row cannot be taken: the key of the column at fault (or ""), and why.

    A row in question (``asks``) can be taken if the user says that it is right.
    """

    key: str
    why: str
    asks: bool = False
    also: tuple[tuple[str, str], ...] = ()
    """What else is wrong with the row, as pairs of a column's key and why."""

    def why_of(self, key: str) -> str | None:
        """What is wrong in the column of a key; None where nothing is."""
        return dict(((self.key, self.why), *self.also)).get(key)


@dataclass(frozen=True, slots=True)
class TableState:
    """What is known of a table now; a new one is made of every correction."""

    name: str
    grid: Grid
    mapping: ColumnMapping
    usual: actions.table_rows.ImportDefaults
    answered: Mapping[int, frozenset[str]] = field(default_factory=dict)
    rows: tuple[actions.table_rows.TableRow, ...] = ()
    troubles: Mapping[int, RowTrouble] = field(default_factory=dict)
    """By line number in the table."""

    @property
    def kind(self) -> Kind:
        """What the table holds."""
        return self.mapping.kind

    @property
    def good(self) -> tuple[actions.table_rows.TableRow, ...]:
        """Rows that can be taken."""
        return tuple(row for row in self.rows if row.number not in self.troubles)

    def without_taken(self, taken: frozenset[int]) -> "TableState":
        """What is left of the table when some rows, by line number, are in the season."""
        kept = [n for n, number in enumerate(self.grid.numbers) if number not in taken]
        grid = Grid(
            self.grid.heads,
            tuple(self.grid.rows[n] for n in kept),
            tuple(self.grid.numbers[n] for n in kept),
        )
        rows = tuple(row for row in self.rows if row.number not in taken)
        return replace(self, grid=grid, rows=rows)


def looked_over(state: TableState, season: SeasonState) -> TableState:
    """The state with its rows read and tried against the season; nothing is written."""
    if state.mapping.missing():
        return replace(state, rows=(), troubles={})
    troubles: dict[int, RowTrouble] = {}
    rows: list[actions.table_rows.TableRow] = []
    problems: dict[int, list[tuple[str, str]]] = {}
    for found in read(state.grid, state.mapping, season.now.astimezone(season.zone)):
        number = found.row.number
        rows.append(replace(found.row, answered=state.answered.get(number, frozenset())))
        problems[number] = list(found.problems.items())
    tried = actions.table_import.look_over(season, state.kind, rows, state.usual, state.name)
    for number, wrong in problems.items():
        refusal = tried.refused.get(number)
        refusals = () if refusal is None else (refusal, *tried.also.get(number, ()))
        wrong += [(_column(one.field, state.mapping), one.message) for one in refusals]
        if wrong:
            (key, why), *also = wrong
            asks = isinstance(refusal, Question) and refusal.possible and not also
            troubles[number] = RowTrouble(key, why, asks, tuple(also))
    return replace(state, rows=tuple(rows), troubles=troubles)


def _column(field_name: str, mapping: ColumnMapping) -> str:
    """The key of the column that a command's field comes from."""
    if field_name == "feel_counts" and mapping.column_of("feel") is not None:
        return "feel"
    return {
        "place_id": "place",
        "cultivar_id": "cultivar",
        "row_id": "row",
        "feel_counts": "gives",
        "name": "market_day",
        "batch_id": "batch",
        "price_minor": "price",
    }.get(field_name, field_name)
