"""The largest sheet of an .xlsx workbook as lines of text (ECMA-376, part 1, sections 18.3-18.8).

Read from a stream, cell by cell: no part of the file is ever held as a tree, so that a file made
to swell is refused before it fills the memory. Entities are not followed; no workbook has any.
"""

import os
import re
import zipfile
import zlib
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import BinaryIO
from xml.parsers import expat

from ripenroom.exchange.text_table.progress import ReadProgress
from ripenroom.records.refusal import Refusal

MOST_COLUMNS = 200
_LONGEST_CELL = 500
_MOST_SHEET_BYTES = 400_000_000
_MOST_PART_BYTES = 50_000_000
_MOST_SWELLING = 200
"""Sheets shrink to a tenth or a thirtieth; what shrinks to less than this was made to harm."""

_END_MARK, _BIG_END_MARK = b"PK\x05\x06", b"PK\x06\x07"
_END_BYTES, _BIG_END_BYTES, _LONGEST_COMMENT = 22, 20, 65_535

_SMALL_BYTES = 1_000_000
_MOST_LETTERS = 60_000_000
_MOST_DIRECTORY_BYTES = 1_000_000
"""What a workbook's list of its parts takes: some hundred bytes for each."""
_CHUNK = 1 << 18
_LAST_DAY = 110_000
"""Day number of the year 2201: a larger number with a date's format is no date."""

_BUILT_IN_DATES = frozenset((*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59)))
_NOT_OF_A_DATE = re.compile(r'"[^"]*"|\\.|_.|\*.|\[(?!h|m|s)[^]]*\]', re.IGNORECASE)
_OF_A_DATE = re.compile("[ymdhs]", re.IGNORECASE)

Start = Callable[[str, dict[str, str]], None]
End = Callable[[str], None]


def largest_sheet(file: BinaryIO, name: str, progress: ReadProgress, most_rows: int) -> list[str]:
    """Rows of the largest sheet, cells separated by tabs, dates in ISO form.

    Raises ``Refusal`` for what is no workbook, or one that is too large or made to harm.
    """
    _require_short_directory(file, name)
    try:
        with zipfile.ZipFile(file) as archive:
            parts = {part.filename.lstrip("/"): part for part in archive.infolist()}
            sheets = [p for n, p in parts.items() if re.fullmatch(r"xl/worksheets/[^/]+\.xml", n)]
            if not sheets:
                raise Refusal("file", "{file} has no sheet.", file=name)
            sheet = max(sheets, key=lambda part: part.file_size)
            _require_harmless(sheet, _MOST_SHEET_BYTES, name)
            texts, styles = _Texts(), _Styles()
            for path, taker in (("xl/sharedStrings.xml", texts), ("xl/styles.xml", styles)):
                if path in parts:
                    _require_harmless(parts[path], _MOST_PART_BYTES, name)
                    _parse(archive, parts[path], taker.start, taker.end, taker.text, ReadProgress())
            from_1904 = "xl/workbook.xml" in parts and _counts_from_1904(
                archive, parts["xl/workbook.xml"]
            )
            rows = _Rows(texts.found, styles.dates(), from_1904, most_rows, name)
            _parse(archive, sheet, rows.start, rows.end, rows.text, progress)
            return rows.lines
    except (
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        NotImplementedError,
        RuntimeError,  # an encrypted part
        expat.ExpatError,
        UnicodeError,
    ) as error:
        raise Refusal("file", "{file} is damaged, or not an Excel workbook.", file=name) from error


def _require_short_directory(file: BinaryIO, name: str) -> None:
    """Refuse a file whose list of parts would fill the memory before a part is looked at.

    What is read here is what :mod:`zipfile` goes by (PKWARE APPNOTE 6.3.10, 4.3.14 and 4.3.16): a
    record near the end with the size of that list, or all ones where another record holds it.
    """
    size = file.seek(0, os.SEEK_END)
    file.seek(max(0, size - _END_BYTES - _LONGEST_COMMENT))
    tail = file.read()
    at = tail.rfind(_END_MARK)
    file.seek(0)
    if at < 0 or len(tail) < at + _END_BYTES:
        return  # no archive at all, as will be found
    if int.from_bytes(tail[at + 12 : at + 16], "little") > _MOST_DIRECTORY_BYTES or (
        _BIG_END_MARK in tail[max(0, at - _BIG_END_BYTES) : at]
    ):
        raise Refusal("file", "{file} has far more parts than a workbook.", file=name)


def _require_harmless(part: zipfile.ZipInfo, most_bytes: int, name: str) -> None:
    swells = part.file_size > _SMALL_BYTES and (
        part.file_size > _MOST_SWELLING * max(1, part.compress_size)
    )
    if swells or part.file_size > most_bytes:
        raise Refusal(
            "file",
            "{file} would unpack to {size} MB, far more than such a table fills. Export it again, "
            "as CSV if that can be chosen.",
            file=name,
            size=part.file_size // 1_000_000,
        )


def _parse(
    archive: zipfile.ZipFile,
    part: zipfile.ZipInfo,
    start: Start,
    end: End,
    text: Callable[[str], None],
    progress: ReadProgress,
) -> None:
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.CharacterDataHandler = text
    parser.EntityDeclHandler = _refuse_entity
    done = 0
    with archive.open(part) as stream:
        while chunk := stream.read(_CHUNK):
            parser.Parse(chunk, False)
            done += len(chunk)
            progress.at(done, part.file_size)
        parser.Parse(b"", True)


def _refuse_entity(*_: object) -> None:
    raise expat.ExpatError("a workbook declares no entities")


def _counts_from_1904(archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> bool:
    with archive.open(part) as stream:
        head = stream.read(100_000)
    return re.search(rb"date1904\s*=\s*[\"'](1|true)[\"']", head) is not None


def _local(name: str) -> str:
    return name.rpartition(":")[2]


class _Texts:
    """Texts that cells share."""

    def __init__(self) -> None:
        self.found: list[str] = []
        self._parts: list[str] = []
        self._reading = False

    def start(self, name: str, _: dict[str, str]) -> None:
        local = _local(name)
        if local == "si":
            self._parts = []
        self._reading = local == "t"

    def end(self, name: str) -> None:
        self._reading = False
        if _local(name) == "si":
            self.found.append("".join(self._parts)[:_LONGEST_CELL])

    def text(self, data: str) -> None:
        if self._reading:
            self._parts.append(data)


class _Styles:
    """Which cell formats show a number as a date."""

    def __init__(self) -> None:
        self._custom: dict[str, bool] = {}
        self._of_cells: list[str] = []
        self._inside = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        local = _local(name)
        if local == "numFmt":
            code = _NOT_OF_A_DATE.sub("", attributes.get("formatCode", "")[:_LONGEST_CELL])
            is_date = _OF_A_DATE.search(code) is not None and code.lower() != "general"
            self._custom[attributes.get("numFmtId", "")] = is_date
        elif local == "cellXfs":
            self._inside = True
        elif local == "xf" and self._inside:
            self._of_cells.append(attributes.get("numFmtId", "0"))

    def end(self, name: str) -> None:
        if _local(name) == "cellXfs":
            self._inside = False

    def text(self, _: str) -> None:
        """Styles are told in attributes alone."""

    def dates(self) -> frozenset[str]:
        """Numbers of the formats (as a cell's ``s`` names them) that show dates."""
        built_in = {str(number) for number in _BUILT_IN_DATES}
        return frozenset(
            str(number)
            for number, kind in enumerate(self._of_cells)
            if self._custom.get(kind, kind in built_in)
        )


class _Rows:
    """Lines of a sheet, row by row."""

    def __init__(
        self,
        texts: list[str],
        dates: frozenset[str],
        from_1904: bool,
        most_rows: int,
        name: str,
    ) -> None:
        self.lines: list[str] = []
        self._texts, self._dates = texts, dates
        self._first_day = datetime(1904, 1, 1) if from_1904 else datetime(1899, 12, 30)  # noqa: DTZ001
        self._most_rows, self._name = most_rows, name
        self._letters = 0
        self._cells: list[str] = []
        self._column = 0
        self._kind = self._style = ""
        self._parts: list[str] = []
        self._reading = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if ":" in name:
            name = _local(name)
        if name == "c":
            reference = attributes.get("r", "")
            self._column = _column(reference) if reference else len(self._cells)
            self._kind = attributes.get("t", "n")
            self._style = attributes.get("s", "")
            self._parts = []
        elif name in ("v", "t"):
            self._reading = True
        elif name == "row":
            self._begin_row(attributes.get("r", ""))

    def end(self, name: str) -> None:
        if ":" in name:
            name = _local(name)
        if name in ("v", "t"):
            self._reading = False
        elif name == "c":
            # Farther to the right no probe is; the cell would cost a row of empty ones.
            cells, column = self._cells, self._column
            if self._parts and len(cells) <= column < MOST_COLUMNS:
                if len(cells) < column:
                    cells.extend([""] * (column - len(cells)))
                cells.append(self._value("".join(self._parts)[:_LONGEST_CELL]))
        elif name == "row":
            self._end_row()

    def text(self, data: str) -> None:
        if self._reading and len(self._parts) < _LONGEST_CELL:
            self._parts.append(data)

    def _begin_row(self, number: str) -> None:
        self._cells = []
        row = int(number) if number.isascii() and number.isdigit() and len(number) < 9 else 0
        if max(row, len(self.lines) + 1) > self._most_rows:
            raise Refusal(
                "file",
                "{file} has more than {rows} rows. Export less of it at a time.",
                file=self._name,
                rows=self._most_rows,
            )
        # Line numbers are told as the spreadsheet numbers its rows.
        self.lines.extend([""] * (row - 1 - len(self.lines)))

    def _end_row(self) -> None:
        line = "\t".join(self._cells)
        # One text that many cells share could still swell without end.
        self._letters += len(line)
        if self._letters > _MOST_LETTERS:
            raise Refusal("file", "{file} holds more text than any such table.", file=self._name)
        self.lines.append(line)

    def _value(self, text: str) -> str:
        if self._kind == "s":
            number = int(text) if text.isascii() and text.isdigit() else -1
            shared = self._texts[number] if 0 <= number < len(self._texts) else ""
            return " ".join(shared.split())
        if self._kind == "n" and self._style in self._dates:
            return self._date(text)
        return " ".join(text.split())

    def _date(self, text: str) -> str:
        try:
            days = float(text)
        except ValueError:
            return text
        if not 0.0 <= days < _LAST_DAY:
            return text
        moment = self._first_day + timedelta(seconds=round(days * 86_400.0))
        if days < 1.0:
            return f"{moment:%H:%M:%S}"
        # A date alone is midnight of that day, or goes with a time of day in another column.
        return moment.isoformat(sep=" ").removesuffix(" 00:00:00")


def _column(reference: str) -> int:
    """Number, from 0, of the column that a cell reference such as "AB12" names."""
    if reference[1:].isdigit():
        return max(ord(reference[0]) - ord("A"), 0)
    number = 0
    for letter in reference[:4]:
        if not "A" <= letter <= "Z":
            break
        number = number * 26 + ord(letter) - ord("A") + 1
    return max(number - 1, 0)
