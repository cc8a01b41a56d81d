"""Where the files that ship with the program are, in a checkout and in an installed wheel."""

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
