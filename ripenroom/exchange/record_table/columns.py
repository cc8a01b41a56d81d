"""What a table may hold, and which column means what: guessed from heads, open to correction."""

import re
import unicodedata
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal

from ripenroom.exchange.record_table.grid import Grid
from ripenroom.exchange.record_table.values import (
    DateOrder,
    DecimalMark,
    Unreadable,
    date_order_of,
    decimal_mark_of,
    moment_in,
)
from ripenroom.exchange.text_table.stamps import date_before
from ripenroom.units import MassUnit, TemperatureUnit

Kind = Literal["picks", "checks", "market days", "places", "rows", "walks", "weather"]
Holds = Literal["text", "count", "number", "moment", "day", "time", "choice", "numbers"]


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a column can mean: its key, what its cells hold, and words that name it elsewhere.

    ``choices`` are the texts that a cell may hold, if they are few.
    """

    key: str
    holds: Holds
    known_as: tuple[str, ...] = ()
    needed: bool = False
    choices: tuple[str, ...] = ()


_FEELS: Final = (
    Meaning("hard", "count", ("rock hard", "green", "unripe")),
    Meaning("slight_give", "count", ("slight give", "slight", "breaking", "breaker")),
    Meaning("gives", "count", ("give", "soft give", "giving", "firm ripe")),
    Meaning("soft", "count", ("ripe", "eating ripe")),
    Meaning("too_soft", "count", ("too soft", "overripe", "over ripe", "mushy")),
)
_FEEL: Final = Meaning("feel", "text", ("hand feel", "touch", "squeeze", "feels", "ripeness"))
"""One column for all feels: ``3 9 6 2``, or what all of the fruit felt."""

_GAUGE: Final = (
    Meaning("readings", "numbers", ("firmness", "pressure", "penetrometer", "reading")),
    Meaning("reading_unit", "choice", ("unit",), choices=("N", "kgf", "lbf")),
    Meaning("probe_mm", "number", ("probe", "tip", "tip mm", "plunger")),
)
_NOTE: Final = Meaning("note", "text", ("notes", "remark", "remarks", "comment", "comments"))

MEANINGS: Final[dict[Kind, tuple[Meaning, ...]]] = {
    "picks": (
        Meaning("batch", "text", ("code", "batch code", "lot", "lot number", "batch number")),
        Meaning("crop", "text", ("fruit", "species", "kind", "product")),
        Meaning("cultivar", "text", ("variety", "cv")),
        Meaning("row", "text", ("tree row", "block", "trees")),
        Meaning(
            "picked_at",
            "moment",
            ("picked", "pick date", "date", "day", "harvested", "harvest date", "date picked"),
            needed=True,
        ),
        Meaning("picked_time", "time", ("time", "pick time", "hour")),
        Meaning(
            "count", "count", ("fruit count", "number", "pieces", "qty", "quantity", "how many")
        ),
        Meaning(
            "weight_kg", "number", ("weight", "kg", "lb", "lbs", "weight lb", "mass", "pounds")
        ),
        *_FEELS,
        _FEEL,
        *_GAUGE,
        Meaning("pulp_c", "number", ("pulp", "pulp temperature", "temperature", "temp", "pulp f")),
        Meaning("place", "text", ("where", "location", "store", "storage", "room", "waits in")),
        _NOTE,
    ),
    "checks": (
        Meaning("batch", "text", ("code", "batch code", "lot", "lot number"), needed=True),
        Meaning("at", "moment", ("date", "checked", "day", "when", "date checked"), needed=True),
        Meaning("at_time", "time", ("time", "hour")),
        *_FEELS,
        _FEEL,
        *_GAUGE,
        _NOTE,
    ),
    "market days": (
        Meaning(
            "market_day", "text", ("market", "name", "event", "outlet", "customer"), needed=True
        ),
        Meaning(
            "kind",
            "choice",
            ("type",),
            choices=("market", "festival", "farm stand", "shop order"),
        ),
        Meaning("starts_at", "moment", ("date", "day", "starts", "start", "begins"), needed=True),
        Meaning("starts_time", "time", ("time", "hour", "from", "opens")),
        Meaning("eat_within_days", "count", ("eat within", "buyers eat within", "days")),
        Meaning("crop", "text", ("fruit", "species", "product")),
        Meaning("wanted", "number", ("wants", "quantity", "qty", "count", "order", "how many")),
        Meaning("price", "number", ("price each", "each")),
        Meaning("sold_by", "choice", ("unit", "per", "by"), choices=("fruit", "kg", "lb", "box")),
        Meaning("amount", "number", ("amount wanted",)),
        Meaning("unit_price", "number", ("price per unit",)),
        Meaning("fruit_per_box", "count", ("per box", "box of")),
        _NOTE,
    ),
    "places": (
        Meaning("place", "text", ("name", "room", "location", "where"), needed=True),
        Meaning(
            "kind",
            "choice",
            ("type",),
            needed=True,
            choices=("cold room", "cool shelf", "ripening room", "counter", "field bin"),
        ),
        Meaning("set_point_c", "number", ("set point", "temperature", "temp", "set point f")),
        Meaning(
            "half_cooling_h", "number", ("half cooling time", "half cooling", "half cooling h")
        ),
        Meaning("daily_swing_k", "number", ("swing", "daily swing")),
        Meaning("capacity_crates", "count", ("capacity", "crates", "holds")),
        Meaning("weather_lag_h", "number", ("weather lag", "lag", "behind the weather")),
    ),
    "rows": (
        Meaning("row", "text", ("tree row", "block", "name", "row of trees"), needed=True),
        Meaning("crop", "text", ("species", "kind", "product")),
        Meaning("cultivar", "text", ("variety", "cv")),
        Meaning("trees", "count", ("number of trees", "tree count"), needed=True),
        Meaning("planted_year", "count", ("planted", "planting year", "year planted", "year")),
        Meaning("bloomed_on", "day", ("bloom", "full bloom", "bloom date", "bloomed")),
        Meaning("fruit_on_trees", "count", ("fruit", "fruit on trees", "fruit count", "crop load")),
        Meaning("branch_counts", "numbers", ("fruit on branches", "branches counted")),
        Meaning("branches_per_tree", "count", ("branches", "branches on a tree")),
        Meaning("counted_on", "day", ("counted", "date counted", "count date")),
        Meaning("fruit_doubt", "number", ("doubt",)),
        Meaning("fruit_mass_g", "number", ("fruit weight", "fruit mass", "mean fruit weight")),
    ),
    "walks": (
        Meaning("row", "text", ("tree row", "block", "row of trees"), needed=True),
        Meaning("at", "moment", ("date", "walked", "day", "when", "walk date"), needed=True),
        Meaning("at_time", "time", ("time", "hour")),
        *_FEELS,
        Meaning("on_ground", "count", ("ground", "fallen", "drops", "dropped"), needed=True),
        _NOTE,
    ),
    "weather": (
        Meaning("on", "day", ("date", "day"), needed=True),
        Meaning(
            "min_c", "number", ("min", "minimum", "coldest", "low", "tmin", "min f"), needed=True
        ),
        Meaning("max_c", "number", ("max", "maximum", "warmest", "high", "tmax", "max f")),
        Meaning("source", "choice", ("from",), choices=("read", "typed", "filled", "forecast")),
    ),
}
"""By kind of table: every meaning that a column can have, the most telling first."""

MEANING_OF: Final[dict[Kind, dict[str, Meaning]]] = {
    kind: {meaning.key: meaning for meaning in meanings} for kind, meanings in MEANINGS.items()
}


def plain(head: str) -> str:
    """A head without accents, marks and case, so that "Pick-Date:" is "pick date"."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", head) if not unicodedata.combining(c))
    return " ".join(re.sub(r"[^0-9a-z]+", " ", bare.casefold()).split())


def words_for(meaning: Meaning) -> frozenset[str]:
    """All heads by which a meaning is known."""
    return frozenset((plain(meaning.key), *meaning.known_as))


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


def guess(
    grid: Grid, kind: Kind, usual_order: Literal["dmy", "mdy"] = "dmy", *, us: bool = False
) -> ColumnMapping:
    """The mapping that the heads and the cells of a table suggest.

    ``usual_order`` decides about dates that could be meant either way. Where no head says in which
    unit its weights or temperatures are, they are in those of the season, ``us`` or metric.
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
    weighed = set(heads.get("weight_kg", "").split())
    warm = {
        word
        for key in ("pulp_c", "set_point_c", "min_c", "max_c")
        for word in heads.get(key, "").split()
    }
    pounds = bool(weighed & {"lb", "lbs", "pounds"}) or (us and "kg" not in weighed)
    fahrenheit = bool(warm & {"f", "fahrenheit"}) or (us and not warm & {"c", "celsius"})
    return ColumnMapping(
        kind=kind,
        meaning_of=meaning_of,
        date_order=order,
        decimal_mark=decimal_mark_of(cells(_NUMBERS)),
        mass_unit="lb" if pounds else "kg",
        temperature_unit="F" if fahrenheit else "C",
        dates_doubtful=doubtful,
    )


def unclear_date(grid: Grid, mapping: ColumnMapping) -> tuple[str, date] | None:
    """The first date whose day and month could be meant either way, as it is written and as it is
    read; None without any."""
    if not mapping.dates_doubtful:
        return None
    holding = [
        number
        for number, key in enumerate(mapping.meaning_of)
        if key and MEANING_OF[mapping.kind][key].holds in _MOMENTS
    ]
    for row in grid.rows:
        for written in (row[number] for number in holding):
            before = date_before(written)
            if before is None or before[0].settled or before[0].first == before[0].second:
                continue
            with suppress(Unreadable):
                return written, moment_in(written, mapping.date_order)[0]
    return None


def _heads(grid: Grid) -> list[str]:
    """Heads in plain words; those that mean one thing or another, by what is in their cells.

    "Fruit" is how many where its cells are whole numbers. "Firm" is a feel beside other feels that
    are counted, else what a gauge read. "Bin" and "To" are places where their cells are words, and
    "Sold" is by what where they say so; else they are nothing that comes in.
    """
    heads = [plain(head) for head in grid.heads]
    felt = not _FELT.isdisjoint(heads)
    for column, head in enumerate(heads):
        if head not in _EITHER:
            continue
        cells = [plain(row[column]) for row in grid.rows if row[column].strip()]
        whole, words = (
            2 * sum(map(which, cells)) >= max(len(cells), 1) for which in (str.isdecimal, _is_word)
        )
        if head in ("fruit", "fruits"):
            heads[column] = "how many" if whole else head
        elif head == "firm":
            heads[column] = "hard" if felt and whole else head if words else "firmness"
        elif head == "sold":
            heads[column] = "sold by" if cells and set(cells) <= _SOLD_BY else head
        elif words and cells:
            heads[column] = "where"
    return heads


_EITHER: Final = ("fruit", "fruits", "firm", "bin", "bins", "to", "sold")
"""Heads that mean one thing or another."""
_FELT: Final = frozenset(word for feel in _FEELS for word in words_for(feel)) - {"green", "ripe"}
_SOLD_BY: Final = frozenset(("fruit", "kg", "lb", "box"))


def _is_word(cell: str) -> bool:
    return not any(letter.isdigit() for letter in cell) and len(cell) > 1


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
