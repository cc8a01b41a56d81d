"""``ripenroom windows``: the eat-by window of every batch."""

import argparse
import sys
from contextlib import closing
from pathlib import Path

from ripenroom.cli.answer import FINE, say_aside, say_bad_use
from ripenroom.cli.moment import parse_moment
from ripenroom.records.file import EXTENSION
from ripenroom.season.living import LivingSeason


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    parser.add_argument("season", type=Path, help="season file")
    parser.add_argument("--csv", type=Path, metavar="FILE", help="write a CSV file instead")
    parser.add_argument("--at", metavar="DATE", help="read the season as on this date or time")


def run(options: argparse.Namespace) -> int:
    """Print or write one row per batch."""
    if options.csv is not None and _is_season_file(options.csv, options.season):
        return say_bad_use(f"{options.csv} is a season file; choose another name for the table.")
    with closing(LivingSeason.open(options.season, read_only=True)) as season:
        if options.at is not None:
            season.read_as_on(parse_moment(options.at, season.zone, "--at", at_noon=True))
        # pandas takes longer to import than the season takes to read.
        from ripenroom.exchange.windows_table import windows_table, write_csv

        table = windows_table(season)
        for problem in season.crop_problems:
            say_aside(problem)
    if options.csv is None:
        print(table.to_string(index=False) if len(table) else "No batches yet.")
        return FINE
    try:
        write_csv(table, options.csv)
    except OSError as error:
        return say_bad_use(f"{options.csv} cannot be written: {error.strerror or error}.")
    batches = "1 batch" if len(table) == 1 else f"{len(table)} batches"
    print(f"{batches} written to {options.csv}", file=sys.stderr)
    return FINE


def _is_season_file(path: Path, season: Path) -> bool:
    same = path.exists() and season.exists() and path.samefile(season)
    return same or path.suffix == EXTENSION
