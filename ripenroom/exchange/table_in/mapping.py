"""Which column of a table means what: guessed from its heads, and open to correction."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ripenroom.exchange.table_in.columns import MEANING_OF, MEANINGS, Kind, plain, words_for
from ripenroom.exchange.table_in.grid import Grid
from ripenroom.exchange.table_in.values import (
    DateOrder,
    DecimalMark,
    date_order_of,
    decimal_mark_of,
)
from ripenroom.units import MassUnit, TemperatureUnit

_MOMENTS = ("moment", "day")
_NUMBERS = ("number", "numbers", "count")


@dataclass(frozen=True, slots=True)
class ColumnMapping:
    """How a table is read.

    ``meaning_of`` has the key of each column's meaning, or None where a column is left out.
    ``dates_doubtful`` where day and month could be meant either way.
    """

    kind: Kind
    meaning_of: tuple[str | None, ...]
    date_order: DateOrder
    decimal_mark: DecimalMark
    mass_unit: MassUnit
    temperature_unit: TemperatureUnit
    dates_doubtful: bool = False

    def missing(self) -> tuple[str, ...]:
        """Keys of meanings that such a table needs and no column has."""
        return tuple(
            m.key for m in MEANINGS[self.kind] if m.needed and m.key not in self.meaning_of
        )

    def column_of(self, key: str) -> int | None:
        """The column of a meaning, if there is one."""
        return self.meaning_of.index(key) if key in self.meaning_of else None


def guess_kind(grid: Grid) -> Kind:
    """What the table holds most likely: the kind that has a meaning for most of its columns."""

    heads = _heads(grid)

    def known(kind: Kind) -> tuple[bool, int]:
        mapping = _by_heads(kind, heads)
        needs = all(m.key in mapping for m in MEANINGS[kind] if m.needed)
        return needs, sum(1 for key in mapping if key)

    return max(MEANINGS, key=known)


def guess(grid: Grid, kind: Kind, usual_order: Literal["dmy", "mdy"] = "dmy") -> ColumnMapping:
    """The mapping that the heads and the cells of a table suggest.

    ``usual_order`` decides about dates that could be meant either way.
    """
    meaning_of = _by_heads(kind, _heads(grid))

    def cells(holding: Sequence[str]) -> list[str]:
        columns = [
            number
            for number, key in enumerate(meaning_of)
            if key and MEANING_OF[kind][key].holds in holding
        ]
        return [row[number] for row in grid.rows for number in columns if row[number]]

    order, doubtful = date_order_of(cells(_MOMENTS), usual_order)
    heads = dict(zip(meaning_of, map(plain, grid.heads), strict=True))
    pounds = any(word in heads.get("weight_kg", "").split() for word in ("lb", "lbs", "pounds"))
    warm = [heads.get(key, "").split() for key in ("pulp_c", "set_point_c")]
    return ColumnMapping(
        kind=kind,
        meaning_of=meaning_of,
        date_order=order,
        decimal_mark=decimal_mark_of(cells(_NUMBERS)),
        mass_unit="lb" if pounds else "kg",
        temperature_unit="F"
        if any("f" in words or "fahrenheit" in words for words in warm)
        else "C",
        dates_doubtful=doubtful,
    )


def _heads(grid: Grid) -> list[str]:
    """Heads in plain words; "Fruit" is how many where most of its cells are whole numbers."""
    heads = [plain(head) for head in grid.heads]
    for column, head in enumerate(heads):
        if head in ("fruit", "fruits"):
            cells = [row[column].strip() for row in grid.rows if row[column].strip()]
            if 2 * sum(cell.isdecimal() for cell in cells) >= max(len(cells), 1):
                heads[column] = "how many"
    return heads


def _by_heads(kind: Kind, plain_heads: Sequence[str]) -> tuple[str | None, ...]:
    """The meaning of each head in plain words; each is given once, to the head that fits best."""
    found: list[str | None] = [None] * len(plain_heads)
    for exactly in (True, False):
        for meaning in MEANINGS[kind]:
            if meaning.key in found:
                continue
            words = words_for(meaning)
            for number, head in enumerate(plain_heads):
                if found[number] is not None or not head:
                    continue
                begins = any(head.startswith(f"{word} ") for word in words)
                if head in words if exactly else begins:
                    found[number] = meaning.key
                    break
    return tuple(found)
