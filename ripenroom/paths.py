"""Where the files that ship with the program are, and where it keeps its own."""

import os
import sys
from pathlib import Path

_IN_A_WHEEL = Path(__file__).resolve().parent / "resources"
_IN_A_CHECKOUT = Path(__file__).resolve().parent.parent / "resources"


def resource(*parts: str) -> Path:
    """Path of a shipped file or folder below ``resources/``.

    >>> resource("crops", "pawpaw.toml").name
    'pawpaw.toml'
    """
    # The wheel's first: beside an installed package may lie "resources" of any other one.
    root = _IN_A_WHEEL if _IN_A_WHEEL.is_dir() else _IN_A_CHECKOUT
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
    else:
        base = shared_data_folder()
    return Path(base) / "ripenroom"


def shared_data_folder() -> Path:
    """Where a Linux user's programs keep their data, and desktops look for menu entries.

    By the XDG Base Directory Specification 0.8, where a relative path counts as none.
    """
    given = os.environ.get("XDG_DATA_HOME", "")
    return Path(given) if Path(given).is_absolute() else Path.home() / ".local" / "share"


def copies_folder() -> Path:
    """Where the copies of all seasons are kept: away from the season files themselves."""
    return data_folder() / "copies"
