"""``ripenroom setpoints``: what cold and ripening rooms are best set to."""

import argparse

from ripenroom.cli.answer import FINE, add_table_arguments, say_bad_use, why_no_csv, write_table
from ripenroom.cli.arguments import add_since_argument, read_as_on


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    add_since_argument(parser, "advise as on this date")


def run(options: argparse.Namespace) -> int:
    """Print or write one row for each setting that was tried; the advice is printed always."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with read_as_on(options) as season:
        from ripenroom.exchange.setpoint_table import setpoint_table, setpoint_words

        advice = season.ask.set_point_advice()
        assert advice is not None  # nobody calls it off
        table = setpoint_table(season, advice)
        words = setpoint_words(season, advice)
    print("\n".join(words))
    if options.csv is not None:
        return write_table(table, options.csv, "setting", "settings")
    if len(table):
        print(f"\n{table.to_string(index=False)}")
    return FINE
