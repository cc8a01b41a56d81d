"""A crop profile as a document of tables, to change one thing in it and write it out again.

The tables are what a profile file says, in its own units; nothing is checked here (see
:mod:`ripenroom.records.crop.toml_profile`). What is not changed is written as it was read, with its
comments.
"""

import tomllib
from collections.abc import Mapping
from copy import deepcopy
from typing import TypeAlias, cast

Key: TypeAlias = str | int
Path: TypeAlias = tuple[Key, ...]
"""Keys and list indices that lead to a value: ``("storage", "life", 0, "days")``."""


class CropDocument:
    """One profile's tables. ``text`` needs to be TOML; a saved profile always is."""

    def __init__(self, text: str) -> None:
        # Some editors begin a file with a byte order mark.
        self._read = text.removeprefix("\ufeff")
        self._tables: dict[str, object] = tomllib.loads(self._read)
        self._changes: list[tuple[Path, object]] = []

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
        _put(self._tables, path, deepcopy(value))
        self._changes.append((path, deepcopy(value)))

    def remove(self, key: str) -> None:
        """Take a top-level key out, if it is there."""
        if key in self._tables:
            del self._tables[key]
            self._changes.append(((key,), _REMOVED))

    @property
    def text(self) -> str:
        """The document as TOML."""
        if not self._changes:
            return self._read
        # Parsing with comments takes a hundred times as long: only what is written out needs them.
        import tomlkit

        document = tomlkit.parse(self._read)
        for path, value in self._changes:
            if value is _REMOVED:
                document.remove(cast(str, path[0]))
            elif isinstance(value, dict) and "value" in value:
                figure = tomlkit.inline_table()
                figure.update(value)
                _put(document, path, figure)
            else:
                _put(document, path, value)
        return tomlkit.dumps(document)


_REMOVED = object()


def _put(tables: dict[str, object], path: Path, value: object) -> None:
    holder: object = tables
    for key in path[:-1]:
        if isinstance(holder, dict):
            holder = holder.setdefault(key, {})
        elif isinstance(holder, list) and isinstance(key, int):
            holder = holder[key]
    if isinstance(holder, dict | list):
        holder[path[-1]] = value  # type: ignore[index]


def dotted(path: Path) -> str:
    """A path as refusals name it: ``"storage.life[0].days"``."""
    name = ""
    for key in path:
        if isinstance(key, int):
            name += f"[{key}]"
        else:
            name += f".{key}" if name else key
    return name
