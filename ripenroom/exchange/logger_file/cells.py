"""One line as cells, and one cell as a temperature."""

import csv
import math
import re
from collections.abc import Callable, Sequence

Split = Callable[[str], list[str]]

_LONGEST = 60
SEPARATORS = ("\t", ";", ",", "|", " ")

_NUMBER = re.compile(
    r"(?P<number>[-+\u2212]?(?:\d{1,15}(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d{1,3})?)"
    r"\s*(?P<unit>[°º˚]?\s?[CF]|deg\.?\s?[CF]|\u2103|\u2109|%(?:\s?r\.?h\.?)?)?",
    re.IGNORECASE,
)


def splitter(separator: str) -> Split:
    """Takes a line apart; quotes may hide separators but no line ends.

    A quote left open would else swallow the rest of the file.
    """
    if separator == " ":
        return str.split

    def split(line: str) -> list[str]:
        if '"' not in line:
            return line.split(separator)
        try:
            return next(csv.reader([line], delimiter=separator, skipinitialspace=True))
        except csv.Error:
            return line.replace('"', "").split(separator)

    return split


class Values(dict[str, float]):
    """Cell text to number, nan where there is none; each text is looked at once.

    Either decimal mark is read: temperatures have no thousands to be marked.
    """

    def __missing__(self, text: str) -> float:
        value = number(text)
        if len(text) <= _LONGEST:
            self[text] = value
        return value


def number(text: str) -> float:
    """The number in a cell, with or without a unit; nan where there is none."""
    match = _matched(text)
    if match is None:
        return math.nan
    value = float(match["number"].replace(",", ".").replace("\u2212", "-"))
    return value if math.isfinite(value) else math.nan


def unit_of_cell(text: str) -> str:
    """The unit that is written behind a number: "C", "F", "%" or nothing."""
    match = _matched(text)
    if match is None or match["unit"] is None:
        return ""
    return _unit_letter(match["unit"])


def _matched(text: str) -> re.Match[str] | None:
    return _NUMBER.fullmatch(text.strip(" \t'\u00a0")) if len(text) <= _LONGEST else None


def _unit_letter(unit: str) -> str:
    if unit.startswith("%"):
        return "%"
    return {"\u2103": "C", "\u2109": "F"}.get(unit, unit[-1].upper())


_UNIT_WORDS = (
    ("F", re.compile(r"[°º˚]\s?F\b|\u2109|fahrenheit|\bdeg\.?[ _]?F\b|[(\[]F[)\]]|[\s_]F$", re.I)),
    ("C", re.compile(r"[°º˚]\s?C\b|\u2103|celsius|\bdeg\.?[ _]?C\b|[(\[]C[)\]]|[\s_]C$", re.I)),
)


def units_named(texts: Sequence[str]) -> set[str]:
    """Which of "C" and "F" these headings or notes name."""
    return {unit for unit, words in _UNIT_WORDS for text in texts if words.search(text)}
