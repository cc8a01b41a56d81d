"""Statements read from CSV files, one line each; every mistake is named by file, line and reason.

``asks,start,stays,ethylene_h,low,high,unit,kind,source,group,note``: see DEVELOPERS.md.
"""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

from ripenroom.paths import resource
from ripenroom.records.batch import FEELS
from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_profiles, shipped_text
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.statement import (
    DAYS,
    GREEN,
    KINDS,
    NEWTONS,
    STRONGEST_N,
    WEAKEST_N,
    Asks,
    Kind,
    Start,
    Statement,
    Waits,
    limits_of,
    units_of_figure,
)
from ripenroom.records.crop.statement_rows import (
    UNSIGNED,
    StatementError,
    celsius_of,
    number_within,
    path_of,
    printed_step,
    rows_of,
    stay_of,
)

LONGEST_ETHYLENE_H: Final = 240.0

_MOST_ROUNDED: Final = {"weeks": 1.0, "months": 4.0}
"""Days: who looks after weeks or months does so on the day, so half a step would allow too much."""

_MARKED = re.compile(rf"(?P<value>{UNSIGNED}) ?(?P<unit>N|lbf|kgf|% green)")
_TIMES = re.compile(
    rf"(?P<asks>days to ready|days to injury|days kept), times that at (?P<at>-?{UNSIGNED})"
)


def shipped_statements(crop: str) -> tuple[Statement, ...]:
    """What is published of a shipped crop, by its key; empty where nothing is."""
    return _shipped(crop) if crop in shipped_profiles() else ()


@cache
def _shipped(crop: str) -> tuple[Statement, ...]:
    path = resource("crops", "statements") / f"{crop}.csv"
    if not path.exists():
        return ()
    return read_statements(path, shipped_profiles()[crop], CropDocument(shipped_text(crop)))


def read_statements(
    path: Path, profile: CropProfile, document: CropDocument
) -> tuple[Statement, ...]:
    """Every statement in the file at ``path`` about the crop of ``profile``, in its order.

    ``document`` is the profile as it is written: it says which figures there are, in which units.
    Raises :class:`StatementError`, or ``OSError`` for a file that cannot be read.
    """
    found = []
    for where, row in rows_of(path):
        try:
            found.append(_Line(row, profile, document).statement())
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

    def __init__(
        self, row: Mapping[str, str], profile: CropProfile, document: CropDocument
    ) -> None:
        self._row = {key: value.strip() for key, value in row.items()}
        self._profile = profile
        self._document = document

    def statement(self) -> Statement:
        row = self._row
        said = self._asked(row["asks"])
        if row["unit"] not in said.units:
            raise ValueError(
                f"{row['asks']!r} is told in {_listed(said.units)}, not {row['unit']!r}"
            )
        factor = said.units[row["unit"]]
        low, high = (self._end(end) for end in ("low", "high"))
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
            rounding=min(
                0.5 * printed_step(row["low"], row["high"]) * factor,
                _MOST_ROUNDED.get(row["unit"], math.inf),
            ),
            kind=self._kind(),
            source=self._source(),
            start=self._start(row["start"]),
            stays=stays,
            ethylene_h=self._ethylene_h(),
            times_at_c=said.times_at_c,
            mark_n=said.mark_n,
            figure=said.figure,
            group=row["group"],
            note=row["note"],
            words=_in_words(row),
        )

    def _asked(self, asks: str) -> _Said:
        if times := _TIMES.fullmatch(asks):
            at_c = celsius_of(times["at"])
            return _Said(Asks(times["asks"]), {"times": 1.0}, times_at_c=at_c)
        if asks.startswith("figure "):
            return self._figure(asks.removeprefix("figure "))
        if asks.startswith("days to ") and (mark := _MARKED.fullmatch(asks[len("days to ") :])):
            return _Said(Asks.MARK, DAYS, mark_n=self._mark(mark))
        if asks == "firmness":
            if self._profile.judged_by == "nothing":
                raise ValueError(f"no firmness is known of {self._profile.key}")
            if self._row["unit"] == "% of start":
                return _Said(Asks.FIRMNESS_LEFT, {"% of start": 1.0})
            scale = {GREEN: 1.0} if self._profile.judged_by == "colour" else NEWTONS
            return _Said(Asks.FIRMNESS, scale)
        if asks in (Asks.READY_PCT, Asks.WONT_RIPEN):
            return _Said(Asks(asks), {"%": 1.0})
        if asks == Asks.ABLE:
            self._require_wait()
        if asks in (Asks.READY, Asks.KEPT, Asks.ABLE, Asks.INJURY):
            return _Said(Asks(asks), DAYS)
        raise ValueError(f"nothing is known that asks for {asks!r}")

    def _figure(self, dotted: str) -> _Said:
        path = path_of(dotted)
        units = units_of_figure(self._document, path)
        if not units:
            raise ValueError(
                f"{self._profile.key} has no figure {dotted}: name one by its keys in the profile"
            )
        return _Said(Asks.FIGURE, units, figure=path)

    def _require_wait(self) -> None:
        group = self._row["group"].partition(":")[0]
        if self._profile.of_group(group).gate is None:
            raise ValueError(
                f"{self._profile.key} waits for nothing before it ripens: say {str(Asks.READY)!r}"
            )

    def _start(self, start: str) -> Start:
        names = self._profile.feel.names or FEELS
        if start in names:
            if self._profile.judged_by == "nothing":
                raise ValueError(f"{self._profile.key} is not judged by feel")
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
        if (mark["unit"] == GREEN) is not by_colour or self._profile.judged_by == "nothing":
            raise ValueError(f"{self._profile.key} is not judged by {mark['unit']}")
        if by_colour:
            return number_within("mark", mark["value"], *limits_of(GREEN))
        newtons = float(mark["value"]) * NEWTONS[mark["unit"]]
        if not WEAKEST_N <= newtons <= STRONGEST_N:
            raise ValueError(f"{mark[0]}: firmness is from {WEAKEST_N:g} to {STRONGEST_N:g} N")
        return newtons

    def _stays(self, text: str) -> tuple[Waits, ...]:
        stays = tuple(stay_of(part.strip()) for part in text.split(";"))
        if any(stay.days is None for stay in stays[:-1]):
            raise ValueError(f"{text!r}: every stay but the last needs its days")
        return stays

    def _end(self, key: str) -> float | None:
        """The low or the high end, in the unit in which it is printed."""
        text, unit = self._row[key], self._row["unit"]
        if not text:
            return None
        return number_within(key, text, *limits_of(unit), unit)

    def _ethylene_h(self) -> float:
        text = self._row["ethylene_h"]
        return number_within("ethylene_h", text, 0.0, LONGEST_ETHYLENE_H) if text else 0.0

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
