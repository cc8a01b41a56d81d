"""Where the files that ship with the program are, and where it keeps its own."""

import os
import sys
from pathlib import Path

_BESIDE_PACKAGE = Path(__file__).resolve().parent.parent / "resources"
_INSIDE_PACKAGE = Path(__file__).resolve().parent / "resources"


def resource(*parts: str) -> Path:
    """Path of a shipped file or folder below ``resources/``.

    >>> resource("crops", "pawpaw.toml").name
    'pawpaw.toml'
    """
    root = _BESIDE_PACKAGE if _BESIDE_PACKAGE.is_dir() else _INSIDE_PACKAGE
    return root.joinpath(*parts)


def data_folder() -> Path:
    """Where the program keeps what is its own: the practice season and copies of seasons.

    The user's folder for data of programs, as each system has it.
    """
    home = Path.home()
    if sys.platform == "win32":
        base = os.environ.get("APPDATA") or home / "AppData" / "Roaming"
    elif sys.platform == "darwin":
        base = home / "Library" / "Application Support"
    else:  # XDG Base Directory Specification 0.8: a relative path counts as none
        given = os.environ.get("XDG_DATA_HOME", "")
        base = given if Path(given).is_absolute() else home / ".local" / "share"
    return Path(base) / "ripenroom"


def copies_folder() -> Path:
    """Where the copies of all seasons are kept: away from the season files themselves."""
    return data_folder() / "copies"
