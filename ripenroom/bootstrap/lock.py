"""The parts of ``constraints.txt``: what running needs, and what testing and bundling need too."""

from __future__ import annotations

from pathlib import Path
from typing import Final, Literal

ROOT = Path(__file__).resolve().parent.parent.parent
LOCK = ROOT / "constraints.txt"
PYPROJECT = ROOT / "pyproject.toml"

Part = Literal["run", "test", "bundle"]

HEADINGS: Final[dict[Part, str]] = {
    "run": "# --- to run ---",
    "test": "# --- to test, besides ---",
    "bundle": "# --- to bundle, besides ---",
}
"""The line that each part begins with, in their order."""


def requirements(lock: str, part: Part) -> str:
    """The pinned packages that ``part`` needs, in the format of pip's requirements files.

    Testing and bundling need those of running too. A text is cut out, rather than names passed
    beside the whole file, because pip 23 takes hashes from requirements files alone.

    Raises:
        ValueError: a heading is missing, so that the parts cannot be told apart.
    """
    texts: dict[Part, str] = {}
    rest = lock
    for name, heading in reversed(HEADINGS.items()):
        rest, found, texts[name] = rest.rpartition(heading)
        if not found:
            raise ValueError(f'{LOCK.name} needs the line "{heading}"')
    return texts["run"] if part == "run" else texts["run"] + texts[part]
