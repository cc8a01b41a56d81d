"""A table as people read it: in their language, with their days, degrees and money, and no wider
than it must be.

What is written to a file keeps English names and words, ISO moments, C and shares, by which
computers read it.
"""

import re
from datetime import date, datetime
from typing import TYPE_CHECKING

from ripenroom.records.batch import FEELS
from ripenroom.records.crop.crop_names import within
from ripenroom.season.moments import to_hours
from ripenroom.texts import noted, tr
from ripenroom.wording.names import crop_name, feel_names

if TYPE_CHECKING:
    import pandas as pd

    from ripenroom.wording.reader import Reader

_ISO = re.compile(r"\b\d{4}-\d\d-\d\d(T\d\d:\d\d(?::\d\d)?(?:Z|[+-]\d\d:\d\d))?")
_SHARES = ("expected_ready_share", "sold_share", "chilling_used")
_MONEY = ("value", "expected_value")
_MOMENTS = (
    *("pull_time", "market_day", "later_market_day", "note"),
    *("from", "to", "bloomed_on", "by"),
)
_SET_POINTS = ("set_point_c", "other_set_point_c")
_END_OF_NAME = "_c"
"""What the name of a column of temperatures in C ends with."""
_NUMBERS = {
    "hours_read": 1,
    "hours_too_warm": 1,
    "hours_too_cold": 1,
    "ageing_factor": 2,
    "walk_every_days": 1,
}
"""Decimals of numbers that are no whole ones."""
_WORDS = ("clock", "do", "end_cause", "why_never_open")
"""What stands there are words of ours."""

HEADINGS = {
    "crop": noted("crop"),
    "feel": noted("feel"),
    "fruit": noted("fruit"),
    "count": noted("count"),
    "crates": noted("crates"),
    "batch": noted("batch"),
    "place": noted("place"),
    "opens": noted("opens"),
    "best_day": noted("best"),
    "closes": noted("closes"),
    "why": noted("why"),
    "from_place": noted("from place"),
    "pull_time": noted("move"),
    "to_place": noted("to place"),
    "market_day": noted("market day"),
    "expected_ready_share": noted("ready"),
    "expected_value": noted("value"),
    "note": noted("note"),
    "order": noted("order"),
    "do": noted("do"),
    "ready": noted("ready"),
    "later_market_day": noted("later market day"),
    "set_point_c": noted("set point"),
    "other_place": noted("other place"),
    "other_set_point_c": noted("other set point"),
    "value": noted("value"),
    "sold_share": noted("sold share"),
    "chilling_used": noted("chilling used"),
    "from": noted("from"),
    "to": noted("to"),
    "hours_read": noted("hours read"),
    "gaps": noted("gaps"),
    "mean_c": noted("mean"),
    "low_c": noted("low"),
    "high_c": noted("high"),
    "hours_too_warm": noted("hours too warm"),
    "hours_too_cold": noted("hours too cold"),
    "ageing_factor": noted("ageing factor"),
    "row": noted("row"),
    "cultivar": noted("cultivar"),
    "trees": noted("trees"),
    "bloomed_on": noted("bloomed on"),
    "walks": noted("walks"),
    "picked": noted("picked"),
    "fallen": noted("fallen"),
    "sold": noted("sold"),
    "counted": noted("counted"),
    "hanging": noted("hanging"),
    "to_pick": noted("to pick"),
    "frost_reaches": noted("frost reaches"),
    "by": noted("by"),
    "walk_every_days": noted("walk every days"),
    "clock": noted("clock"),
}
"""What stands above each column of the tables that are printed."""


def printed_table(table: "pd.DataFrame", reader: "Reader") -> str:
    """The rows of a table, aligned; a number and the ends of its range in one column."""
    names = list(table.columns)
    ranged = {name for name in names if {f"{name}_low", f"{name}_high"} <= set(names)}
    ends = {f"{name}{end}" for name in ranged for end in ("_low", "_high")}
    shown = {}
    for name in names:
        if name in ends:
            continue
        cells = _cells(table, name, reader)
        if name in ranged:
            lows, highs = table[f"{name}_low"], table[f"{name}_high"]
            cells = [
                f"{cell} ({low}–{high})" if cell else ""
                for cell, low, high in zip(cells, lows, highs, strict=True)
            ]
        shown[name] = cells
    return _aligned(shown)


def printed_windows(table: "pd.DataFrame", reader: "Reader") -> str:
    """The table of eat-by windows: each date with its range, and why one never comes."""
    words = reader.words

    def dates(name: str) -> list[str]:
        found = []
        for cells in zip(table[name], table[f"{name}_low"], table[f"{name}_high"], strict=True):
            mid, low, high = (datetime.fromisoformat(cell) if cell else None for cell in cells)
            said = words.day(mid) if mid else ""
            if mid and low and high:
                said = tr("{day} ({range})").format(
                    day=said, range=words.day_range(to_hours(low), to_hours(high))
                )
            found.append(said)
        return found

    whys = (_cells(table, name, reader) for name in ("why_never_open", "end_cause"))
    why = [never or cause for never, cause in zip(*whys, strict=True)]
    plain = ("crop", "feel", "count", "batch", "place")
    shown = {name: _cells(table, name, reader) for name in plain}
    best = [words.day(datetime.fromisoformat(cell)) if cell else "" for cell in table["best_day"]]
    shown |= {"opens": dates("opens"), "best_day": best, "closes": dates("closes"), "why": why}
    return _aligned(shown)


def _aligned(columns: dict[str, list[str]]) -> str:
    """Columns by their names, below the headings of these; two may have one heading."""
    import pandas as pd

    rows = pd.DataFrame(columns)
    rows.columns = pd.Index([tr(HEADINGS[name]) for name in columns])
    return rows.to_string(index=False)


def _cells(table: "pd.DataFrame", name: str, reader: "Reader") -> list[str]:
    """What stands in a column, as the reader writes it."""
    if name == "feel":
        crops, rows = reader.season.crops, zip(table["crop"], table["feel"], strict=True)
        return [
            feel_names(crops.get(crop))[FEELS.index(feel)] if feel else "" for crop, feel in rows
        ]
    return [_cell(name, cell, reader) for cell in table[name]]


def _cell(column: str, cell: object, reader: "Reader") -> str:
    """One cell as the reader writes it."""
    words, text = reader.words, "" if cell is None else str(cell)
    if not text:
        return ""
    if column == "crop":
        return within(crop_name(reader.season.crops, text))
    if column == "batch":
        return _batch(text, reader)
    if column in _WORDS:
        return tr(text)
    if column in _NUMBERS:
        return words.number(float(text), _NUMBERS[column])
    if column in _SET_POINTS:
        return words.set_point(float(text))
    if column.endswith(_END_OF_NAME):
        return words.temperature(float(text))
    if column in _SHARES:
        return words.share(float(text))
    if column in _MONEY:
        return words.in_currency(words.number(float(text), words.season.currency_decimals))
    if column in _MOMENTS:
        return _ISO.sub(lambda found: _moment(found, reader), text)
    return text


def _batch(code: str, reader: "Reader") -> str:
    """A batch's code; of a pick still to come, which a plan calls by its crop and its day, both."""
    key, _, day = code.rpartition(" ")
    crops, batches = reader.season.crops, reader.season.book.batches.values()
    if key not in crops or any(batch.code == code for batch in batches):
        return code
    return f"{within(crop_name(crops, key))} {day}"


def _moment(found: re.Match[str], reader: "Reader") -> str:
    if found[1] is None:
        return reader.words.day(date.fromisoformat(found[0]))
    return reader.words.moment(datetime.fromisoformat(found[0]))
