"""``ripenroom export``: everything out, in the format that the target's name asks for."""

import argparse
from pathlib import Path

from ripenroom.cli.answer import FINE, say_bad_use
from ripenroom.cli.arguments import count_on_checks
from ripenroom.cli.output import after_writing
from ripenroom.season.season import Season
from ripenroom.texts import tr

_KINDS = (".xlsx", ".json", ".ics")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``export``."""
    parser.add_argument("season", type=Path, help=tr("season file"))
    parser.add_argument(
        "target",
        type=Path,
        help=tr("a .xlsx, .json or .ics file, or a folder that gets a CSV file for each table"),
    )


def run(options: argparse.Namespace) -> int:
    """Write a season out; a file that is there already is replaced, the season file never."""
    target: Path = options.target
    kind = target.suffix.lower()
    if kind and kind not in _KINDS:
        return say_bad_use(
            tr("{target}: name a file that ends in {kinds}, or a folder").format(
                target=target.name, kinds=", ".join(_KINDS)
            )
        )
    season = Season.open(options.season, read_only=True)
    try:
        _write(season, target, kind)
    finally:
        season.close()
    with after_writing(tr("{target} is saved").format(target=target)):
        print(tr("Saved in {target}").format(target=target))
    return FINE


def _write(season: Season, target: Path, kind: str) -> None:
    if kind == ".json":
        from ripenroom.exchange.season_json import write_json

        write_json(season.book, target)
    elif kind == ".ics":
        from ripenroom.exchange.calendar_file import write_calendar

        write_calendar(season, None, target)
    elif kind == ".xlsx":
        from ripenroom.exchange.season_tables import season_tables
        from ripenroom.exchange.table_files import write_workbook

        count_on_checks(season)
        write_workbook(season_tables(season), target)
    else:
        from ripenroom.exchange.season_tables import season_tables
        from ripenroom.exchange.table_files import write_csv_folder

        count_on_checks(season)
        write_csv_folder(season_tables(season), target)
