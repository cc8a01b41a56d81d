"""Statements read from CSV files, one line each; every mistake is named by file, line and reason.

``asks,start,stays,ethylene_h,low,high,unit,kind,source,group,note``: see DEVELOPERS.md.
"""

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

from ripenroom.bounded_file import read_file
from ripenroom.paths import resource
from ripenroom.records.batch import FEELS
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.statement import KINDS, Asks, Kind, Start, Statement, Waits
from ripenroom.units import NEWTONS_PER

COLUMNS: Final = (
    "asks",
    "start",
    "stays",
    "ethylene_h",
    "low",
    "high",
    "unit",
    "kind",
    "source",
    "group",
    "note",
)

LARGEST_FILE_BYTES: Final = 500_000

_ROOM = (21.0, 3.0)
"""Room temperature where none is given: 18 to 24 C (the range that extension leaflets print)."""

_FRIDGE = (4.0, 2.0)
"""A refrigerator: 2 to 6 C (common practice, no source)."""

_DAYS: Final = {"days": 1.0, "weeks": 7.0, "months": 30.4, "h": 1.0 / 24.0}
_NEWTONS: Final = {str(unit): newton for unit, newton in NEWTONS_PER.items()}
BASE_OF: Final = _DAYS | _NEWTONS
"""Days, or newtons, in a unit in which durations or firmness are printed."""

_GREEN = "% green"

_WAITS = re.compile(r"(?P<at>room|fridge|[-\d.]+(?: to [-\d.]+)?)(?: for (?P<days>[\d.]+))?")
_MARKED = re.compile(r"(?P<value>[\d.]+) ?(?P<unit>N|lbf|kgf|% green)")
_TIMES = re.compile(r"(?P<asks>days to ready|days kept), times that at (?P<at>-?[\d.]+)")
_PART = re.compile(r"([a-z_0-9]+)(?:\[(\d+)\])?")


class StatementError(ValueError):
    """A line of a statement file that cannot be taken: which file, which line, and why."""


def shipped_statements(crop: str) -> tuple[Statement, ...]:
    """What is published of a shipped crop, by its key; empty where nothing is."""
    return _shipped(crop) if crop in shipped_profiles() else ()


@cache
def _shipped(crop: str) -> tuple[Statement, ...]:
    path = resource("crops", "statements") / f"{crop}.csv"
    return read_statements(path, shipped_profiles()[crop]) if path.exists() else ()


def read_statements(path: Path, profile: CropProfile) -> tuple[Statement, ...]:
    """Every statement in the file at ``path`` about the crop of ``profile``, in its order.

    Raises :class:`StatementError`, or ``OSError`` for a file that cannot be read.
    """
    text = read_file(path, LARGEST_FILE_BYTES).decode("utf-8-sig")
    rows = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    if tuple(rows.fieldnames or ()) != COLUMNS:
        raise StatementError(f"{path.name}: the first line needs to be {','.join(COLUMNS)}")
    found = []
    for row in rows:
        where = f"{path.name}, line {rows.line_num}"
        if None in row or None in row.values():
            raise StatementError(f"{where}: needs {len(COLUMNS)} cells")
        try:
            found.append(_Line(row, profile).statement())
        except ValueError as error:
            raise StatementError(f"{where}: {error}") from error
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Said:
    """What a cell ``asks`` for."""

    asks: Asks
    units: Mapping[str, float]
    mark_n: float | None = None
    times_at_c: float | None = None
    figure: tuple[str | int, ...] = ()


class _Line:
    """One line of a file."""

    def __init__(self, row: Mapping[str, str], profile: CropProfile) -> None:
        self._row = {key: value.strip() for key, value in row.items()}
        self._profile = profile

    def statement(self) -> Statement:
        row = self._row
        said = self._asked(row["asks"])
        if row["unit"] not in said.units:
            raise ValueError(f"{row['asks']!r} is told in {_listed(said.units)}, not {row['unit']!r}")
        factor = said.units[row["unit"]]
        low, high = (self._number(end) for end in ("low", "high"))
        if low is None and high is None:
            raise ValueError("needs a low or a high end")
        if low is not None and high is not None and low > high:
            raise ValueError("low is above high")
        stays = self._stays(row["stays"]) if said.asks is not Asks.FIGURE else ()
        at_end = (Asks.FIRMNESS, Asks.FIRMNESS_LEFT, Asks.READY_PCT)
        if said.asks in at_end and stays[-1].days is None:
            raise ValueError("the last stay needs its days: what is said is of its end")
        return Statement(
            asks=said.asks,
            low=None if low is None else low * factor,
            high=None if high is None else high * factor,
            rounding=0.5 * _step(row["low"], row["high"]) * factor,
            kind=self._kind(),
            source=self._source(),
            start=self._start(row["start"]),
            stays=stays,
            ethylene_h=self._number("ethylene_h") or 0.0,
            times_at_c=said.times_at_c,
            mark_n=said.mark_n,
            figure=said.figure,
            group=row["group"],
            note=row["note"],
            words=_in_words(row),
        )

    def _asked(self, asks: str) -> _Said:
        if times := _TIMES.fullmatch(asks):
            return _Said(Asks(times["asks"]), {"times": 1.0}, times_at_c=float(times["at"]))
        if asks.startswith("figure "):
            path = _path(asks.removeprefix("figure "))
            unit = self._row["unit"]
            return _Said(Asks.FIGURE, {unit: BASE_OF.get(unit, 1.0)}, figure=path)
        if asks.startswith("days to ") and (mark := _MARKED.fullmatch(asks[len("days to ") :])):
            return _Said(Asks.MARK, _DAYS, mark_n=self._mark(mark))
        if asks == "firmness":
            if self._row["unit"] == "% of start":
                return _Said(Asks.FIRMNESS_LEFT, {"% of start": 1.0})
            scale = {_GREEN: 1.0} if self._profile.judged_by == "colour" else _NEWTONS
            return _Said(Asks.FIRMNESS, scale)
        if asks in (Asks.READY_PCT, Asks.WONT_RIPEN):
            return _Said(Asks(asks), {"%": 1.0})
        if asks in (Asks.READY, Asks.KEPT, Asks.ABLE, Asks.INJURY):
            return _Said(Asks(asks), _DAYS)
        raise ValueError(f"nothing is known that asks for {asks!r}")

    def _start(self, start: str) -> Start:
        names = self._profile.feel.names or FEELS
        if start in names:
            return Start(feel=names.index(start))
        if start == "ready":
            return Start(ready=True)
        if start in ("picked", ""):
            return Start()
        mark = _MARKED.fullmatch(start)
        if mark is None:
            raise ValueError(f"no fruit starts {start!r}: {_listed(names)}, picked, ready, 12 lbf")
        return Start(at_n=self._mark(mark))

    def _mark(self, mark: re.Match[str]) -> float:
        by_colour = self._profile.judged_by == "colour"
        if (mark["unit"] == _GREEN) is not by_colour or self._profile.judged_by == "nothing":
            raise ValueError(f"{self._profile.key} is not judged by {mark['unit']}")
        return float(mark["value"]) * (1.0 if by_colour else _NEWTONS[mark["unit"]])

    def _stays(self, text: str) -> tuple[Waits, ...]:
        stays = tuple(_waits(part.strip()) for part in text.split(";"))
        if any(stay.days is None for stay in stays[:-1]):
            raise ValueError(f"{text!r}: every stay but the last needs its days")
        return stays

    def _number(self, key: str) -> float | None:
        text = self._row[key]
        if not text:
            return None
        number = float(text)
        if not 0.0 <= number <= 1e4 and not (self._row["unit"] == "C" and abs(number) < 100.0):
            raise ValueError(f"{key}: {text} cannot be")
        return number

    def _kind(self) -> Kind:
        for kind in KINDS:
            if self._row["kind"] == kind:
                return kind
        raise ValueError(f"kind needs to be {_listed(KINDS)}, not {self._row['kind']!r}")

    def _source(self) -> str:
        source = self._row["source"]
        if source not in self._profile.sources:
            raise ValueError(f"{source!r} is not among the sources of {self._profile.key}")
        return source


def _waits(text: str) -> Waits:
    found = _WAITS.fullmatch(text)
    if found is None:
        raise ValueError(f"{text!r} is no stay, such as '-1 for 28', '18 to 24', 'room' or 'fridge'")
    days = float(found["days"]) if found["days"] else None
    if found["at"] in ("room", "fridge"):
        return Waits(*(_ROOM if found["at"] == "room" else _FRIDGE), days)
    ends = [float(end) for end in found["at"].split(" to ")]
    if not all(-10.0 <= end <= 60.0 for end in ends):
        raise ValueError(f"{text!r}: no such temperature")
    return Waits((ends[0] + ends[-1]) / 2.0, abs(ends[-1] - ends[0]) / 2.0, days)


def _path(dotted: str) -> tuple[str | int, ...]:
    path: list[str | int] = []
    for part in dotted.split("."):
        found = _PART.fullmatch(part)
        if found is None:
            raise ValueError(f"{dotted!r} is no path to a figure, such as ripe_life.q10")
        path.append(found[1])
        if found[2] is not None:
            path.append(int(found[2]))
    return tuple(path)


def _step(*printed: str) -> float:
    """The step in which numbers were printed: 1, or 0.1 for 2.5, and so on."""
    decimals = max((len(text.partition(".")[2]) for text in printed if text), default=0)
    return float(10.0**-decimals)


def _in_words(row: Mapping[str, str]) -> str:
    parts = [row["asks"]]
    if row["start"] and not row["asks"].startswith("figure"):
        parts.append(f"from {row['start']}")
    if row["stays"]:
        parts.append(f"at {row['stays']} °C")
    if row["ethylene_h"]:
        parts.append(f"after {row['ethylene_h']} h of ethylene")
    return ", ".join(parts)


def _listed(names: Sequence[str] | Mapping[str, float]) -> str:
    return ", ".join(names)
