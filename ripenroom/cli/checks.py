"""``ripenroom checks``: which batches to squeeze today."""

import argparse

from ripenroom.cli.answer import FINE, add_table_arguments, say_bad_use, why_no_csv, write_table
from ripenroom.cli.arguments import add_since_argument, read_as_on
from ripenroom.texts import noted_n, tr

_ROWS = noted_n("{n} check saved in {file}", "{n} checks saved in {file}")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    add_since_argument(parser, tr("advise as on this date or time"))


def run(options: argparse.Namespace) -> int:
    """Print a line or write a row for each batch that is worth squeezing, the best first."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with read_as_on(options) as season:
        checks = season.ask.check_next()
        if options.csv is not None:
            from ripenroom.exchange.check_table import check_table

            return write_table(check_table(season, checks), options.csv, _ROWS)
        from ripenroom.cli.reader import CommandReader
        from ripenroom.wording.today.tasks import check_item

        reader = CommandReader(season)
        for check in checks:
            item = check_item(check, reader)
            print(f"{item.headline}. {item.reason}.")
        if not checks:
            print(tr("Nothing to squeeze: no check would change the plan now."))
    return FINE
