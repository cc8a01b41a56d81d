"""Tables as CSV files that spreadsheets can open without doing anything but show them."""

import re
from pathlib import Path
from typing import TYPE_CHECKING

from ripenroom.private_file import private_file

if TYPE_CHECKING:
    import pandas as pd

_RISKY_FIRST = ("=", "+", "-", "@", "\t", "\r")
"""A spreadsheet takes a cell that begins so for a formula."""

_NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")
"""What is a number as it stands, such as -0.50, is no formula."""


def write_csv(table: "pd.DataFrame", path: Path) -> None:
    """Write a table as UTF-8 CSV for computers: commas, decimal points, no formula in any cell."""
    safe = table.map(_plain)
    # Not by pandas itself: it would squeeze a file whose name ends in .zip or .gz.
    text = safe.to_csv(index=False, lineterminator="\n")
    with private_file(path) as unfinished:
        unfinished.write_text(text, encoding="utf-8", newline="")


def _plain(cell: object) -> object:
    if not isinstance(cell, str) or _NUMBER.fullmatch(cell):
        return cell
    return f"'{cell}" if cell.startswith(_RISKY_FIRST) else cell
