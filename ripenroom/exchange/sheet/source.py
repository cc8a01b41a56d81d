"""The lines of a file, whatever wrote it: text in any usual encoding, or a workbook."""

import codecs
from dataclasses import dataclass
from pathlib import Path

from ripenroom.exchange.sheet.progress import Progress
from ripenroom.exchange.sheet.workbook import largest_sheet
from ripenroom.records.refusal import Refusal, refused_by_system
from ripenroom.records.temperature_series import MOST_READINGS

MOST_BYTES = 200_000_000
"""A year at ten-second steps is 130 MB."""

MOST_LINES = MOST_READINGS
_LONGEST_LINE = 20_000
_TOO_LONG = "…"
"""Stands for a longer line, which nobody would wait for: a row that cannot be read, and is told."""

SHEET = "sheet"
"""Stands for the encoding of a workbook, which is no concern of anyone."""

_BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),  # before UTF-16, whose mark begins it
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_ZIP, _OLD_OFFICE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"


@dataclass(frozen=True, slots=True)
class Source:
    """A file's name and its lines; a workbook's cells are separated by tabs."""

    name: str
    encoding: str
    lines: list[str]


def load(path: Path, progress: Progress | None = None) -> Source:
    """The lines of a file; raises ``Refusal`` for one that is no table, or too large."""
    progress = progress or Progress()
    try:
        if not path.is_file():
            raise Refusal("file", "{file} is not there, or is no file.", file=path.name)
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise _too_large(path.name)
        with path.open("rb") as file:
            head = file.read(len(_OLD_OFFICE))
            file.seek(0)
            if head == _ZIP:
                lines = largest_sheet(file, path.name, progress, MOST_LINES)
                return Source(path.name, SHEET, lines)
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise refused_by_system(path.name, error, "file") from error
    if head == _OLD_OFFICE:
        raise Refusal(
            "file",
            "{file} is an old or a protected Excel file. Save it as .xlsx without a password, or "
            "as CSV, and choose that.",
            file=path.name,
        )
    if len(data) > MOST_BYTES:
        raise _too_large(path.name)
    progress.at(1, 2)
    text, encoding = _decoded(data, path.name)
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    while lines and not lines[-1].strip():
        lines.pop()
    if len(lines) > MOST_LINES:
        raise _too_large(path.name)
    if not lines:
        raise Refusal("file", "{file} is empty.", file=path.name)
    lines = [line if len(line) <= _LONGEST_LINE else _TOO_LONG for line in lines]
    progress.at(2, 2)
    return Source(path.name, encoding, lines)


def _too_large(name: str) -> Refusal:
    return Refusal(
        "file",
        "{file} is larger than {size} MB or has more than {lines} lines. Export less of it at a "
        "time, and take one part in after the other.",
        file=name,
        size=MOST_BYTES // 1_000_000,
        lines=MOST_LINES,
    )


def _decoded(data: bytes, name: str) -> tuple[str, str]:
    """The text, and the encoding that it was in.

    Guessing among all encodings takes many a file with a degree sign for Chinese; loggers write
    Unicode or what Windows wrote in western Europe and America.
    """
    for mark, encoding in _BYTE_ORDER_MARKS:
        if data.startswith(mark):
            return data.decode(encoding, errors="replace").lstrip("\ufeff"), encoding
    sample = data[:4096]
    if b"\0" in sample:
        for first, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
            if sample[first::2].count(0) > 0.8 * (len(sample) // 2):
                return data.decode(encoding, errors="replace"), encoding
        raise Refusal(
            "file",
            "{file} is no table of text. Export CSV or XLSX from the program that wrote it.",
            file=name,
        )
    try:
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace"), "cp1252"
