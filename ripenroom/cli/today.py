"""``ripenroom today``: what to do by this evening, in its order, and why the rest stays."""

import argparse

from ripenroom.cli.answer import FINE, add_table_arguments, say_bad_use, why_no_csv, write_table
from ripenroom.cli.arguments import add_at_argument, planned, read_as_on


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    add_at_argument(parser, "the sheet of this date or time")


def run(options: argparse.Namespace) -> int:
    """Print or write the day sheet."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with read_as_on(options) as season:
        from ripenroom.exchange.day_sheet_table import day_sheet_table, printed
        from ripenroom.season.day_sheet import day_sheet

        update = planned(season)
        sheet, left = day_sheet(season, update.plan, season.ask.check_next()), update.if_left
        if options.csv is not None:
            table = day_sheet_table(season, sheet, left)
            return write_table(table, options.csv, "line", "lines")
        now = season.now()
        print(f"{season.book.season.name}, {now:%A} {now.day} {now:%B %Y}")
        for line in printed(season, sheet, left):
            print(line)
    return FINE
