"""Rows and cells of a statement file; what is no statement is named by file, line, reason."""

import csv
import io
import re
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

from ripenroom.bounded_file import NotRead, in_words, open_file
from ripenroom.records.crop.statement import LONGEST_DAYS, Waits

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
LONGEST_CELL: Final = 400

_LINE_END = re.compile(r"\r\n|\r|\n")

_UNSEEN = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]")
"""Control characters, separators of lines and paragraphs, and what turns text around."""


class StatementError(ValueError):
    """A line of a statement file that cannot be taken: which file, which line, and why."""


def rows_of(path: Path) -> Iterator[tuple[str, Mapping[str, str]]]:
    """Every row of the file at ``path``, by column, with the name of the file and the line in which
    it begins.

    Cells are as they stand: of visible letters, and no longer than :data:`LONGEST_CELL`. Raises
    :class:`StatementError`, or ``OSError`` for a file that cannot be read.
    """
    text = _text(path)
    lines = _LINE_END.split(text)
    rows = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    begin = 1
    try:
        if tuple(rows.fieldnames or ()) != COLUMNS:
            raise StatementError(f"{path.name}: the first line needs to be {','.join(COLUMNS)}")
        while True:
            begin = _next_filled(lines, rows.line_num + 1)
            row = next(rows, None)
            if row is None:
                return
            where = f"{path.name}, line {begin}"
            _require_cells(row, where)
            yield where, row
    except csv.Error as error:
        raise StatementError(f"{path.name}, line {begin}: {_in_words(error)}") from error


def _text(path: Path) -> str:
    try:
        # The most is counted here and not there, to say in which line it is reached.
        with open_file(path, sys.maxsize) as file:
            content = file.read(LARGEST_FILE_BYTES + 1)
    except NotRead as error:
        raise StatementError(f"{path.name}: {error.strerror}") from error
    if len(content) > LARGEST_FILE_BYTES:
        line = content.count(b"\n", 0, LARGEST_FILE_BYTES) + 1
        raise StatementError(
            f"{path.name}, line {line}: the file is larger than {in_words(LARGEST_FILE_BYTES)} "
            "here; keep the statements of one crop in it, without the rest"
        )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise StatementError(f"{path.name}: is not UTF-8: byte {error.start + 1}") from error


def _next_filled(lines: list[str], line: int) -> int:
    """The number of the first line from ``line`` on that is not empty; rows begin in such."""
    while line < len(lines) and not lines[line - 1]:
        line += 1
    return line


def _in_words(error: csv.Error) -> str:
    """What is wrong with a row that the reader of tables cannot take apart, and what to do."""
    told = str(error)
    if "unexpected end" in told:
        return (
            "a quotation mark opens here and is not closed; close it, or double it where one is "
            "meant in the text"
        )
    if "expected after" in told:
        return (
            "more stands after a cell in quotation marks; put all of the cell between them, and "
            "double those that are meant in the text"
        )
    if "field larger" in told:
        return f"a cell is longer than {LONGEST_CELL} letters; is a quotation mark not closed?"
    return told


def _require_cells(row: Mapping[str, str], where: str) -> None:
    # Cells too many stand under None, and cells that are missing are None.
    if None in row or None in row.values():
        raise StatementError(f"{where}: needs {len(COLUMNS)} cells")
    for column, cell in row.items():
        if len(cell) > LONGEST_CELL:
            raise StatementError(f"{where}: {column} is longer than {LONGEST_CELL} letters")
        unseen = _UNSEEN.search(cell)
        if unseen and unseen[0] in "\r\n":
            raise StatementError(f"{where}: {column}: holds a line break; write it in one line")
        if unseen:
            raise StatementError(
                f"{where}: {column}: holds a character that cannot be seen "
                f"(U+{ord(unseen[0]):04X}) as its letter {unseen.start() + 1}; take it out"
            )


_ROOM = (21.0, 3.0)
"""Room temperature where none is given: 18 to 24 C (the range that extension leaflets print)."""

_FRIDGE = (4.0, 2.0)
"""A refrigerator: 2 to 6 C (common practice, no source)."""

UNSIGNED: Final = r"[0-9]+(?:\.[0-9]+)?"
"""Pattern of a number as it is printed: no sign, no exponent, no other digits."""

_NUMBER = re.compile(rf"-?{UNSIGNED}")
_WAITS = re.compile(
    rf"(?P<at>room|fridge|-?{UNSIGNED}(?: to -?{UNSIGNED})?)(?: for (?P<days>{UNSIGNED}))?"
)
_PART = re.compile(r"([a-z_0-9]+)(?:\[([0-9]{1,3})\])?")


def stay_of(text: str) -> Waits:
    """One stay, such as ``-1 for 28``, ``18 to 24``, ``room`` or ``fridge``."""
    found = _WAITS.fullmatch(text)
    if found is None:
        raise ValueError(
            f"{text!r} is no stay, such as '-1 for 28', '18 to 24', 'room' or 'fridge'"
        )
    days = None
    if found["days"]:
        days = number_within("stays", found["days"], 0.0, LONGEST_DAYS)
    if found["at"] in ("room", "fridge"):
        return Waits(*(_ROOM if found["at"] == "room" else _FRIDGE), days)
    ends = [celsius_of(end) for end in found["at"].split(" to ")]
    return Waits((ends[0] + ends[-1]) / 2.0, abs(ends[-1] - ends[0]) / 2.0, days)


def celsius_of(text: str) -> float:
    """A temperature at which fruit is kept."""
    celsius = float(text)
    if not -10.0 <= celsius <= 60.0:
        raise ValueError(f"{text} C: fruit is kept at -10 to 60 C")
    return celsius


def number_within(column: str, text: str, least: float, most: float, unit: str = "") -> float:
    """A plain decimal number in its limits (in ``unit``); ``column`` is named where it is not."""
    if not _NUMBER.fullmatch(text):
        raise ValueError(f"{column}: {text!r} is no number")
    number = float(text)
    if not least <= number <= most:
        raise ValueError(f"{column}: {text} is not from {least:g} to {most:.4g} {unit}".rstrip())
    return number


def path_of(dotted: str) -> tuple[str | int, ...]:
    """The keys of a figure of a profile, such as ``gate.needs[0].days``."""
    path: list[str | int] = []
    for part in dotted.split("."):
        found = _PART.fullmatch(part)
        if found is None:
            raise ValueError(f"{dotted!r} is no path to a figure, such as ripe_life.q10")
        path.append(found[1])
        if found[2] is not None:
            path.append(int(found[2]))
    return tuple(path)


def printed_step(*printed: str) -> float:
    """The step in which numbers were printed: 1, or 0.1 for 2.5, and so on."""
    decimals = max((len(text.partition(".")[2]) for text in printed if text), default=0)
    return float(10.0**-decimals)
