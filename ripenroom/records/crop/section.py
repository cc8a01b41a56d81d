"""One table of a profile file, read key by key; what is wrong is named by its dotted key."""

import math
import re
from collections.abc import Mapping
from pathlib import Path
from typing import TypeAlias

from ripenroom.records.refusal import Refusal

Table: TypeAlias = Mapping[str, object]

LONGEST_TEXT = 2000
"""Characters in one text of a profile; a longer one is no citation and no note."""


class ProfileRefusal(Refusal):
    """A crop profile that is not taken: which file, which dotted key in it, and why.

    ``field`` is the dotted key, empty when the file as a whole is refused.
    """

    def __init__(self, path: Path, key: str, reason: str) -> None:
        self.path = path
        self.key = key
        self.reason = reason
        text = "{file}: {key}: {reason}" if key else "{file}: {reason}"
        super().__init__(key, text, file=str(path), key=key, reason=reason)


def _shown(value: object) -> str:
    """A short form of any value of a file, safe for numbers and nests of any size."""
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return f"{value!r:.40}"
        case int() if abs(value) >= 10**15:
            return "a very large number"
        case list():
            return "a list"
        case dict():
            return "a table"
        case _:
            return str(value)


class Section:
    """A table that is emptied as it is read, so that what is left over is known to be unknown."""

    def __init__(self, path: Path, table: Table, name: str = "") -> None:
        self._path = path
        self._left = dict(table)
        self._name = name

    def refusal(self, key: str, reason: str) -> ProfileRefusal:
        """What to raise when the value of ``key`` (empty: this table itself) is wrong."""
        dotted = ".".join(part for part in (self._name, key) if part)
        return ProfileRefusal(self._path, dotted, reason)

    def __contains__(self, key: str) -> bool:
        return key in self._left

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys that have not been read yet, in the file's order."""
        return tuple(self._left)

    def says(self, key: str, text: str) -> bool:
        """Whether the value of ``key`` is that very text; the key is not taken by this."""
        return self._left.get(key) == text

    def finish(self) -> None:
        """Refuse what nobody asked for: a misspelt key must not pass as an absent one."""
        for key in self._left:
            raise self.refusal(key, "unknown key")

    def _take(self, key: str) -> object:
        try:
            return self._left.pop(key)
        except KeyError:
            raise self.refusal(key, "missing") from None

    def text(self, key: str, pattern: str = r"\S(?s:.*\S)?", meant: str = "some text") -> str:
        """A text that matches ``pattern`` as a whole; ``meant`` says so in words."""
        value = self._take(key)
        if not isinstance(value, str):
            raise self.refusal(key, f"needs to be {meant} in quotes, not {_shown(value)}")
        if len(value) > LONGEST_TEXT:
            raise self.refusal(key, f"longer than {LONGEST_TEXT} characters")
        if re.fullmatch(pattern, value) is None:
            raise self.refusal(key, f"needs to be {meant}, not {_shown(value)}")
        return value

    def flag(self, key: str) -> bool:
        """``true`` or ``false``."""
        value = self._take(key)
        if not isinstance(value, bool):
            raise self.refusal(key, f"needs to be true or false, not {_shown(value)}")
        return value

    def number(self, key: str, low: float, high: float) -> float:
        """A finite number from ``low`` to ``high``."""
        value = self._take(key)
        # In Python a bool is an int, but `value = true` is a slip and not a 1.
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.refusal(key, f"needs to be a number, not {_shown(value)}")
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
        if not math.isfinite(number):
            raise self.refusal(key, "needs to be a finite number")
        if not low <= number <= high:
            raise self.refusal(key, f"needs to be from {low:g} to {high:g}, not {number:g}")
        return number

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of different texts, none of them empty."""
        value = self._take(key)
        if not isinstance(value, list):
            raise self.refusal(key, f"needs to be a list of texts, not {_shown(value)}")
        items = self._numbered(key, value)
        texts = tuple(items.text(item) for item in items.keys)
        if len(set(texts)) < len(texts):
            raise self.refusal(key, "names one thing twice")
        return texts

    def section(self, key: str) -> "Section":
        """The table below this one."""
        value = self._take(key)
        if not isinstance(value, dict):
            raise self.refusal(key, f"needs to be a table, not {_shown(value)}")
        return Section(self._path, value, self.refusal(key, "").key)

    def table(self, key: str) -> Table:
        """The table below this one as it is written, of which nothing is checked here."""
        value = self._take(key)
        if not isinstance(value, dict):
            raise self.refusal(key, f"needs to be a table, not {_shown(value)}")
        return value

    def sections(self, key: str) -> tuple["Section", ...]:
        """The tables of an array of tables, at least one."""
        value = self._take(key)
        if not isinstance(value, list) or not value:
            raise self.refusal(key, f"needs to be a list of tables, not {_shown(value)}")
        items = self._numbered(key, value)
        return tuple(items.section(item) for item in items.keys)

    def _numbered(self, key: str, values: list[object]) -> "Section":
        table = {f"{key}[{index}]": value for index, value in enumerate(values)}
        return Section(self._path, table, self._name)
