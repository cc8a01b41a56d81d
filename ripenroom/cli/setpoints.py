"""``ripenroom setpoints``: what cold and ripening rooms are best set to."""

import argparse

from ripenroom.cli.answer import FINE, add_table_arguments, say_bad_use, why_no_csv, write_table
from ripenroom.cli.arguments import add_since_argument, read_as_on
from ripenroom.texts import noted_n, tr

_ROWS = noted_n("{n} setting saved in {file}", "{n} settings saved in {file}")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    add_since_argument(parser, tr("advise as on this date"))


def run(options: argparse.Namespace) -> int:
    """Print or write one row for each setting that was tried; the advice is printed always."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with read_as_on(options) as season:
        from ripenroom.cli.reader import CommandReader
        from ripenroom.exchange.setpoint_table import setpoint_table
        from ripenroom.wording.plan.set_points import gain_words, set_point_words

        advice = season.ask.set_point_advice()
        assert advice is not None  # nobody calls it off
        table = setpoint_table(season, advice)
        reader = CommandReader(season)
        words = [gain_words(advice, reader)]
        words += [set_point_words(place, reader) for place in advice.places]
    print("\n".join(words))
    if options.csv is not None:
        return write_table(table, options.csv, _ROWS)
    if len(table):
        print(f"\n{table.to_string(index=False)}")
    return FINE
