"""Cells of a table as text, from the lines of a file or from what was pasted."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path

from ripenroom.exchange.text_table.source import SHEET, load
from ripenroom.records.refusal import Refusal

MOST_ROWS = 20_000
"""More than a farm writes in ten seasons; more would be a slip, and nobody would mend its rows."""

MOST_LINES = 5 * MOST_ROWS
"""With empty ones, and those that quoted cells go on in."""

MOST_COLUMNS = 100
_MOST_LETTERS = 50_000_000
_LONGEST_CELL = 11_000
_SEPARATORS = "\t;,|"
_LOOKED_AT = 60


@dataclass(frozen=True, slots=True)
class Grid:
    """``heads`` of the columns and ``rows`` of cells, each as long as the heads.

    ``numbers`` are the rows' line numbers in the file, from 1.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...]

    def with_cell(self, row: int, column: int, text: str) -> "Grid":
        """The grid with one cell mended."""
        cells = list(self.rows[row])
        cells[column] = text
        return replace(self, rows=(*self.rows[:row], tuple(cells), *self.rows[row + 1 :]))


def grid_in(path: Path) -> Grid:
    """The table in a file; raises :class:`Refusal` as :func:`grid_of` does."""
    source = load(path, most_lines=MOST_LINES)
    return grid_of(source.lines, from_sheet=source.encoding == SHEET)


def grid_pasted(text: str) -> Grid:
    """The table in a text that was copied elsewhere; raises as :func:`grid_of` does."""
    # One line more than is read tells that there are too many.
    lines = islice(io.StringIO(text, newline=None), MOST_LINES + 1)
    return grid_of([line.removesuffix("\n") for line in lines])


def grid_of(lines: Sequence[str], *, from_sheet: bool = False) -> Grid:
    """The table in some lines of text; what stands above its heads is left out.

    Lines ``from_sheet`` have their cells between tabs and quote nothing. Raises :class:`Refusal`
    where there is no table, or too much of one.
    """
    if len(lines) > MOST_LINES:
        raise _too_much()
    separator = "\t" if from_sheet else _separator(lines)
    quoting = csv.QUOTE_NONE if from_sheet else csv.QUOTE_MINIMAL
    try:
        cells = [
            (reader_line, [cell.strip() for cell in row])
            for reader_line, row in _numbered(lines, separator, quoting)
        ]
    except csv.Error as error:
        raise Refusal("file", "This is not a table: {reason}.", reason=str(error)) from error
    filled = [(number, row) for number, row in cells if any(row)]
    if not filled:
        raise Refusal("file", "There is nothing in this table.")
    start = _first_of_table([row for _, row in filled])
    heads = filled[start][1]
    while heads and not heads[-1]:
        heads = heads[:-1]
    rows = filled[start + 1 :]
    if not rows:
        raise Refusal("file", "This table has only one row; it needs headings and rows.")
    if len(rows) > MOST_ROWS or len(heads) > MOST_COLUMNS:
        raise _too_much()
    width = len(heads)
    return Grid(
        tuple(heads),
        tuple(tuple((row + [""] * width)[:width]) for _, row in rows),
        tuple(number for number, _ in rows),
    )


def _too_much() -> Refusal:
    return Refusal(
        "file",
        "This table has more than {most} rows or {widest} columns. Import it in parts.",
        most=MOST_ROWS,
        widest=MOST_COLUMNS,
    )


def _numbered(lines: Sequence[str], separator: str, quoting: int) -> list[tuple[int, list[str]]]:
    ended = (f"{line[: _LONGEST_CELL * 4]}\n" for line in lines)
    reader = csv.reader(ended, delimiter=separator, quoting=quoting)  # type: ignore[arg-type]
    found = []
    before = letters = filled = 0
    for row in reader:
        # One column more than is read tells that there are too many.
        cells = [cell[:_LONGEST_CELL] for cell in row[: MOST_COLUMNS + 1]]
        letters += sum(map(len, cells))
        filled += any(cells)
        if letters > _MOST_LETTERS or filled > MOST_ROWS + _LOOKED_AT:
            raise _too_much()
        found.append((before + 1, cells))
        before = reader.line_num
    return found


def _separator(lines: Sequence[str]) -> str:
    """The separator that cuts the most rows into as many cells as each other."""
    looked_at = [line for line in lines[:_LOOKED_AT] if line.strip()]

    def evenness(separator: str) -> tuple[int, int]:
        try:
            widths = [len(row) for row in csv.reader(looked_at, delimiter=separator)]
        except csv.Error:
            return 0, 0
        wide = [width for width in widths if width > 1]
        if not wide:
            return 0, 0
        usual = max(set(wide), key=wide.count)
        return wide.count(usual), usual

    return max(_SEPARATORS, key=evenness)


def _first_of_table(rows: Sequence[Sequence[str]]) -> int:
    """Which row holds the heads: the first that is nearly as wide as most rows are."""
    widths = [sum(1 for cell in row if cell) for row in rows[:_LOOKED_AT]]
    usual = sorted(widths)[len(widths) // 2]
    for number, width in enumerate(widths):
        if width >= max(1, 0.6 * usual):
            return number
    return 0
