"""The lines of a file, whatever wrote it: text in any usual encoding, or a workbook."""

import codecs
import io
import os
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from ripenroom.bounded_file import open_file
from ripenroom.exchange.text_table.progress import ReadProgress
from ripenroom.exchange.text_table.workbook import largest_sheet
from ripenroom.records.refusal import Refusal, refused_by_system
from ripenroom.records.temperature_series import MOST_READINGS

MOST_BYTES = 100_000_000
"""As many lines as are read, in the format of a wordy logger."""

MOST_LINES = MOST_READINGS
_SAMPLE_BYTES = 4096
_CHUNK = 1 << 20
LONGEST_LINE = 20_000
TOO_LONG = f"… more than {LONGEST_LINE} characters"
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
class TableSource:
    """A file's name and its lines; a workbook's cells are separated by tabs."""

    name: str
    encoding: str
    lines: list[str]


def load(
    path: Path, progress: ReadProgress | None = None, most_lines: int = MOST_LINES
) -> TableSource:
    """The lines of a file; raises ``Refusal`` for one that is no table, or too large.

    Lines are counted as they are read: what has more than ``most_lines`` is never held as a whole.
    """
    progress = progress or ReadProgress()
    name = path.name or str(path)
    try:
        with open_file(path, MOST_BYTES) as file:
            head = file.read(_SAMPLE_BYTES)
            file.seek(0)
            if head.startswith(_ZIP):
                lines = largest_sheet(file, name, progress, most_lines)
                return TableSource(name, SHEET, lines)
            if head.startswith(_OLD_OFFICE):
                raise Refusal(
                    "file",
                    "{file} is an old or a protected Excel file. Save it as .xlsx without a "
                    "password, or as CSV, and choose that.",
                    file=name,
                )
            encoding = _encoding(head, file, name)
            file.seek(0)
            lines = _lines(file, encoding, name, progress, most_lines)
    except FileNotFoundError as error:
        raise Refusal("file", "{file} is not there.", file=name) from error
    except OSError as error:
        raise refused_by_system(name, error, "file") from error
    while lines and not lines[-1].strip():
        lines.pop()
    if not lines:
        raise Refusal("file", "{file} is empty.", file=name)
    lines[0] = lines[0].lstrip("\ufeff")
    return TableSource(name, encoding, lines)


def _lines(
    file: BinaryIO, encoding: str, name: str, progress: ReadProgress, most_lines: int
) -> list[str]:
    lines: list[str] = []
    size = os.fstat(file.fileno()).st_size
    text = io.TextIOWrapper(file, encoding, errors="replace", newline=None)
    begun, cut_off = "", False
    while chunk := text.read(_CHUNK):
        if file.tell() > MOST_BYTES:  # it grew
            raise _too_large(name, most_lines)
        *ended, begun = (begun + chunk).split("\n")
        if ended and cut_off:
            ended[0], cut_off = TOO_LONG, False
        lines += [line if len(line) <= LONGEST_LINE else TOO_LONG for line in ended]
        if len(begun) > LONGEST_LINE:
            begun, cut_off = "", True
        if len(lines) >= most_lines:
            raise _too_large(name, most_lines)
        progress.at(min(file.tell(), size), size)
    lines.append(TOO_LONG if cut_off else begun)
    text.detach()
    return lines


def _too_large(name: str, most_lines: int) -> Refusal:
    return Refusal(
        "file",
        "{file} is larger than {size} MB or has more than {lines} lines. Export it in parts "
        "and import them one by one.",
        file=name,
        size=MOST_BYTES // 1_000_000,
        lines=most_lines,
    )


def _encoding(head: bytes, file: BinaryIO, name: str) -> str:
    """The encoding of a text file that begins with ``head``.

    Guessing among all encodings takes many a file with a degree sign for Chinese; loggers write
    Unicode or what Windows wrote in western Europe and America.
    """
    for mark, encoding in _BYTE_ORDER_MARKS:
        if head.startswith(mark):
            return encoding
    if b"\0" in head:
        for first, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
            if head[first::2].count(0) > 0.8 * (len(head) // 2):
                return encoding
        raise Refusal(
            "file",
            "{file} is not a table. Export CSV or XLSX from the program it comes from.",
            file=name,
        )
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        while chunk := file.read(_CHUNK):
            decoder.decode(chunk)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"
