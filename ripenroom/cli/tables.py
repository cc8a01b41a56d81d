"""Tables that a command prints, or writes to a CSV file."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from ripenroom.cli.answer import FINE, say_bad_use
from ripenroom.private_file import require_no_season

if TYPE_CHECKING:
    import pandas as pd


def add_table_arguments(parser: argparse.ArgumentParser) -> None:
    """The season, and where its table goes."""
    parser.add_argument("season", type=Path, help="season file")
    parser.add_argument("--csv", type=Path, metavar="FILE", help="write a CSV file instead")


def why_no_csv(options: argparse.Namespace) -> str | None:
    """Why the table may not be written where it was asked for; None if it may."""
    path: Path | None = options.csv
    try:
        if path is not None:
            require_no_season(path)
    except OSError as refusal:
        return f"{path} cannot be written: {refusal.strerror}."
    return None


def write_table(table: "pd.DataFrame", path: Path, one: str, many: str) -> int:
    """Write a table of ``one`` or ``many`` things, and say so; the exit code."""
    from ripenroom.exchange.csv_file import write_csv

    try:
        write_csv(table, path)
    except OSError as error:
        return say_bad_use(f"{path} cannot be written: {error.strerror or error}.")
    things = f"1 {one}" if len(table) == 1 else f"{len(table)} {many}"
    print(f"{things} written to {path}", file=sys.stderr)
    return FINE
