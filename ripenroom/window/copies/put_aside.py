"""Copies that a sync program put aside when a season was changed on two computers at once."""

from pathlib import Path

_MARK = "conflict"
"""What sync programs put into such names, in English and in several other languages."""


def put_aside(path: Path) -> list[Path]:
    """Files beside a season file that look like a copy of it put aside, by their names."""
    stem = path.stem.casefold()
    try:
        beside = sorted(path.parent.iterdir())
    except OSError:
        return []
    return [
        other
        for other in beside
        if other != path
        and other.suffix == path.suffix
        and _MARK in other.name.casefold()
        and other.name.casefold().startswith(stem[: max(3, len(stem) // 2)])
    ]
