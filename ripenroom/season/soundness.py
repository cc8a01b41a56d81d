"""Whether a season file is sound, without opening it for use."""

from pathlib import Path

from ripenroom.records.file import FileRefusal, verify


def problems_of(path: Path) -> list[str]:
    """What is wrong with the file, in words; empty if it is sound. Never writes.

    Raises :class:`FileRefusal` where there is no file to look at.
    """
    if not path.exists():
        raise FileRefusal("missing", f"There is no file {path}. Check the name and the folder.")
    return verify(path)
