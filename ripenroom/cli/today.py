"""``ripenroom today``: what to do by this evening, in its order, and why the rest stays."""

import argparse

from ripenroom.cli.answer import (
    FINE,
    LINES,
    add_table_arguments,
    say_bad_use,
    why_no_csv,
    write_table,
)
from ripenroom.cli.arguments import add_at_argument, planned, read_as_on
from ripenroom.texts import tr, tr_in


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    add_at_argument(parser, tr("the sheet of this date or time"))


def run(options: argparse.Namespace) -> int:
    """Print or write the day sheet."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with read_as_on(options) as season:
        from ripenroom.cli.reader import CommandReader
        from ripenroom.exchange.day_sheet_table import day_sheet_table, printed
        from ripenroom.season.day_sheet import day_sheet

        update = planned(season)
        reader = CommandReader(season, update)
        sheet = day_sheet(season, update.plan, season.ask.check_next())
        if options.csv is not None:
            return write_table(day_sheet_table(reader, sheet), options.csv, LINES)
        pattern = tr_in("pattern of a day in full", "EEEE d MMMM y")
        print(f"{season.book.season.name}, {reader.words.dated(season.now().date(), pattern)}")
        for line in printed(reader, sheet):
            print(line)
    return FINE
