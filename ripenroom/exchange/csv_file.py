"""Tables as CSV files that spreadsheets can open without doing anything but show them."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from ripenroom.private_file import private_file, private_folder, require_no_season

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


def write_csv_folder(tables: "Mapping[str, pd.DataFrame]", folder: Path) -> None:
    """Write every table as a CSV file of its name into a folder, which is made if it is missing.

    Nothing is written where one of the names is a season's.
    """
    private_folder(folder)
    paths = {name: folder / f"{name}.csv" for name in tables}
    for path in paths.values():
        require_no_season(path)
    for name, table in tables.items():
        write_csv(table, paths[name])


def _plain(cell: object) -> object:
    if not isinstance(cell, str) or _NUMBER.fullmatch(cell):
        return cell
    return f"'{cell}" if cell.startswith(_RISKY_FIRST) else cell
