"""A disk that knows no capitals, as most are on Windows and macOS, played on one that does.

No such disk can be mounted where the tests run without rights, so that the system's answers are
changed instead: a name in other letters leads to the entry that is there. As on those disks, a
path that is resolved keeps the letters that were typed.
"""

import io
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

_ONE_PATH = ("stat", "lstat", "open", "access", "unlink", "mkdir", "scandir", "listdir")
_TWO_PATHS = ("replace", "rename", "link")


def knows_no_capitals(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    """From here on, names below ``folder`` are the same in all letters."""
    listed = os.listdir

    def stored(path: Any) -> Any:
        if not isinstance(path, str | os.PathLike):
            return path
        given = Path(os.path.abspath(path))  # noqa: PTH100 - links are not to be followed
        if not given.is_relative_to(folder):
            return path
        found = folder
        for part in given.relative_to(folder).parts:
            try:
                names = listed(found)
            except OSError:
                names = []
            same = [name for name in names if name.casefold() == part.casefold()]
            found /= same[0] if same else part
        return str(found)

    def asked(answer: Callable[..., Any], paths: int) -> Callable[..., Any]:
        def by_any_letters(*arguments: Any, **named: Any) -> Any:
            first = [stored(path) for path in arguments[:paths]]
            return answer(*first, *arguments[paths:], **named)

        return by_any_letters

    for paths, names in ((1, _ONE_PATH), (2, _TWO_PATHS)):
        for name in names:
            monkeypatch.setattr(os, name, asked(getattr(os, name), paths))
    monkeypatch.setattr(io, "open", asked(io.open, 1))
