"""How much lies in each room: modules and lines."""

from dataclasses import dataclass
from pathlib import Path
from statistics import median


@dataclass(frozen=True, slots=True)
class Room:
    """A folder of the package with all folders in it, or what lies beside the folders ("")."""

    name: str
    modules: int
    bare: int
    """How many ``__init__`` of the modules hold no statement."""
    lines: int
    median_lines: int
    """Of modules that are not bare."""


def rooms(root: Path) -> list[Room]:
    """The rooms of the package in ``root``, the one with most lines first."""
    files: dict[str, list[Path]] = {}
    for path in sorted(root.rglob("*.py")):
        below = path.relative_to(root).parts
        files.setdefault(below[0] if len(below) > 1 else "", []).append(path)
    return sorted((_room(name, own) for name, own in files.items()), key=lambda room: -room.lines)


def all_rooms(root: Path) -> Room:
    """The whole package as one room."""
    return _room("all", sorted(root.rglob("*.py")))


def _room(name: str, paths: list[Path]) -> Room:
    lines = {path: len(path.read_text("utf-8").splitlines()) for path in paths}
    # A module's only statement may be its docstring.
    bare = {path for path in paths if path.name == "__init__.py" and lines[path] <= 1}
    filled = [count for path, count in lines.items() if path not in bare]
    return Room(
        name, len(paths), len(bare), sum(lines.values()), round(median(filled)) if filled else 0
    )
