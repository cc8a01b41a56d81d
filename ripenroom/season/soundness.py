"""Whether a season file is sound, without opening it for use."""

from pathlib import Path

from ripenroom.records.file import verify


def problems_of(path: Path) -> list[str]:
    """What is wrong with the file, in words; empty if it is sound. Never writes.

    Raises :class:`FileRefusal` where it cannot be looked at: it is missing, say, or in use.
    """
    return verify(path)
