"""Rows of a statement file as text; what is no table of statements is named by file and line."""

import csv
import io
import re
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

from ripenroom.bounded_file import NotRead, in_words, open_file

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
