"""``ripenroom windows``: the eat-by window of every batch."""

import argparse
from contextlib import closing

from ripenroom.cli.answer import (
    FINE,
    add_table_arguments,
    say_aside,
    say_bad_use,
    why_no_csv,
    write_table,
)
from ripenroom.cli.arguments import count_on_checks, parse_moment
from ripenroom.season.season import Season
from ripenroom.texts import noted_n, tr

_ROWS = noted_n("{n} batch saved in {file}", "{n} batches saved in {file}")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    parser.add_argument("--at", metavar="DATE", help=tr("read the season as on this date or time"))


def run(options: argparse.Namespace) -> int:
    """Print or write one row per batch."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with closing(Season.open(options.season, read_only=True)) as season:
        if options.at is not None:
            season.read_as_on(parse_moment(options.at, season.zone, "--at", at_noon=True))
        count_on_checks(season)
        # pandas takes longer to import than the season takes to read.
        from ripenroom.exchange.windows_table import windows_table

        table = windows_table(season)
        for problem in season.crop_problems:
            say_aside(problem)
    if options.csv is not None:
        return write_table(table, options.csv, _ROWS)
    print(table.to_string(index=False) if len(table) else tr("No batches yet."))
    return FINE
