"""A crop profile as a document of tables, to change one thing in it and write it out again.

The tables are what a profile file says, in its own units; nothing is checked here (see
:mod:`ripenroom.records.crop.toml_profile`). Comments before the first key stay, others are lost.
"""

import json
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from typing import TypeAlias

Key: TypeAlias = str | int
Path: TypeAlias = tuple[Key, ...]
"""Keys and list indices that lead to a value: ``("storage", "life", 0, "days")``."""


class CropDocument:
    """One profile's tables. ``text`` needs to be TOML; a saved profile always is."""

    def __init__(self, text: str) -> None:
        # Some editors begin a file with a byte order mark.
        text = text.removeprefix("\ufeff")
        self._tables: dict[str, object] = tomllib.loads(text)
        heading = re.match(r"(?:[ \t]*(?:#[^\n]*)?\n)*", text)
        self._heading = heading.group().strip("\n") if heading else ""

    def get(self, path: Path) -> object:
        """The value at ``path``, None where there is none."""
        found: object = self._tables
        for key in path:
            if isinstance(found, dict) and isinstance(key, str):
                found = found.get(key)
            elif isinstance(found, list) and isinstance(key, int) and key < len(found):
                found = found[key]
            else:
                return None
        return found

    def table(self, path: Path) -> Mapping[str, object]:
        """The table at ``path``, empty where there is none."""
        found = self.get(path)
        return found if isinstance(found, dict) else {}

    def length(self, path: Path) -> int:
        """How many entries the list at ``path`` has, 0 where there is none."""
        found = self.get(path)
        return len(found) if isinstance(found, list) else 0

    def put(self, path: Path, value: object) -> None:
        """Set the value at ``path``, making tables on the way; lists need to be there already."""
        holder: object = self._tables
        for key in path[:-1]:
            if isinstance(holder, dict):
                holder = holder.setdefault(key, {})
            elif isinstance(holder, list) and isinstance(key, int):
                holder = holder[key]
        if isinstance(holder, dict | list):
            holder[path[-1]] = deepcopy(value)  # type: ignore[index]

    def remove(self, key: str) -> None:
        """Take a top-level key out, if it is there."""
        self._tables.pop(key, None)

    @property
    def text(self) -> str:
        """The document as TOML."""
        lines = [self._heading, ""] if self._heading else []
        return "\n".join([*lines, *_table_lines(self._tables, ())]).strip("\n") + "\n"


def dotted(path: Path) -> str:
    """A path as refusals name it: ``"storage.life[0].days"``."""
    name = ""
    for key in path:
        if isinstance(key, int):
            name += f"[{key}]"
        else:
            name += f".{key}" if name else key
    return name


def _table_lines(table: Mapping[str, object], path: tuple[str, ...]) -> Iterator[str]:
    """A table's own values, then the tables below it, each under its header."""
    below: list[tuple[str, object]] = []
    for key, value in table.items():
        if _is_tables(value) or (isinstance(value, dict) and not _is_figure(value)):
            below.append((key, value))
        else:
            yield f"{_key(key)} = {_value(value)}"
    for key, value in below:
        inner = (*path, _key(key))
        if isinstance(value, dict):
            # A table that only holds tables needs no header of its own.
            if not value or not all(isinstance(v, dict) and not _is_figure(v)
                                    for v in value.values()):  # fmt: skip
                yield ""
                yield f"[{'.'.join(inner)}]"
            yield from _table_lines(value, inner)
        elif isinstance(value, list):
            for entry in value:
                yield ""
                yield f"[[{'.'.join(inner)}]]"
                yield from _table_lines(entry, inner)


def _is_tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, dict) for v in value)


def _is_figure(table: Mapping[str, object]) -> bool:
    """Whether a table reads best in one line."""
    return "value" in table and not any(isinstance(v, dict | list) for v in table.values())


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _string(key)


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _string(value)
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + " }"
    if isinstance(value, Sequence):
        return "[" + ", ".join(_value(v) for v in value) + "]"
    return str(value)


def _string(text: str) -> str:
    # JSON's escapes are TOML's, except that TOML wants DEL escaped too.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
