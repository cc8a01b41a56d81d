"""A table as people read it: their days, degrees and money, and no wider than it must be.

What is written to a file keeps ISO moments, C and shares, which computers read.
"""

import re
from datetime import date, datetime
from typing import TYPE_CHECKING

from ripenroom.season.moments import to_hours
from ripenroom.texts import tr

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
_SHORT = {"expected_ready_share": "ready", "expected_value": "value", "pull_time": "move"}
"""Names that are wider than what stands below them."""


def printed_table(table: "pd.DataFrame", reader: "Reader") -> str:
    """The rows of a table, aligned; a number and the ends of its range in one column."""
    names = list(table.columns)
    ranged = {name for name in names if {f"{name}_low", f"{name}_high"} <= set(names)}
    ends = {f"{name}{end}" for name in ranged for end in ("_low", "_high")}
    shown = {}
    for name in names:
        if name in ends:
            continue
        heading = _SHORT.get(name, name.removesuffix(_END_OF_NAME).replace("_", " "))
        cells = [_cell(name, cell, reader) for cell in table[name]]
        if name in ranged:
            lows, highs = table[f"{name}_low"], table[f"{name}_high"]
            cells = [
                f"{cell} ({low}–{high})" if cell else ""
                for cell, low, high in zip(cells, lows, highs, strict=True)
            ]
        shown[heading] = cells
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

    why = [
        never or cause
        for never, cause in zip(table["why_never_open"], table["end_cause"], strict=True)
    ]
    plain = ("crop", "feel", "count", "batch", "place")
    shown = {name: [str(cell) for cell in table[name]] for name in plain}
    best = [words.day(datetime.fromisoformat(cell)) if cell else "" for cell in table["best_day"]]
    shown |= {"opens": dates("opens"), "best": best, "closes": dates("closes"), "why": why}
    return _aligned(shown)


def _aligned(columns: dict[str, list[str]]) -> str:
    import pandas as pd

    return pd.DataFrame(columns).to_string(index=False)


def _cell(column: str, cell: object, reader: "Reader") -> str:
    """One cell as the reader writes it."""
    words, text = reader.words, "" if cell is None else str(cell)
    if not text:
        return ""
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


def _moment(found: re.Match[str], reader: "Reader") -> str:
    if found[1] is None:
        return reader.words.day(date.fromisoformat(found[0]))
    return reader.words.moment(datetime.fromisoformat(found[0]))
