"""``ripenroom log`` and ``ripenroom rooms``: a thermometer's file in, and what places tell."""

import argparse
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from ripenroom.cli.answer import (
    FINE,
    ROWS,
    add_table_arguments,
    say_aside,
    say_bad_use,
    why_no_csv,
    write_table,
)
from ripenroom.cli.arguments import add_wait_argument, changing, require_certain, same_name
from ripenroom.cli.output import after_writing
from ripenroom.days import full_moment
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.texts import tr, tr_n

if TYPE_CHECKING:
    from ripenroom.exchange.logger_file.understanding import Series, Understanding

_CLOCKS = ("home", "winter", "utc")


def add_log_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``log``."""
    parser.add_argument("season", type=Path, help=tr("season file"))
    parser.add_argument("place", help=tr("name of the place whose temperatures these are"))
    parser.add_argument("file", type=Path, help=tr("what the thermometer wrote: CSV, text or XLSX"))
    parser.add_argument("--probe", metavar="HEADING", help=tr("which column, if there are several"))
    parser.add_argument("--unit", choices=("C", "F"), help=tr("if the file does not tell"))
    parser.add_argument(
        "--dates", choices=("ymd", "dmy", "mdy"), help=tr("if the file does not tell")
    )
    parser.add_argument(
        "--clock",
        choices=_CLOCKS,
        default="home",
        help=tr(
            "what the logger's clock shows: the season's local time, that without summer "
            "time, or UTC"
        ),
    )
    add_wait_argument(parser)


def run_log(options: argparse.Namespace) -> int:
    """Take the readings of one probe into a place."""
    from ripenroom.cli.reader import CommandReader
    from ripenroom.exchange.logger_file.reading import read
    from ripenroom.exchange.logger_file.times import Home
    from ripenroom.exchange.logger_file.understanding import (
        Corrections,
        LoggerClock,
        left_out_words,
    )
    from ripenroom.exchange.text_table.source import load
    from ripenroom.exchange.text_table.stamps import DateOrder

    corrections = Corrections(
        date_order=DateOrder(options.dates) if options.dates else None,
        clock=list(LoggerClock)[_CLOCKS.index(options.clock)],
        unit=options.unit,
    )
    source = load(options.file)
    with changing(options) as season:
        place_id = _place_id(season, options.place)
        home = Home(season.zone, season.now(), season.book.season.units == "us")
        found = read(source, home, corrections)
        require_certain(found)
        series = _series(found, options.probe)
        for left_out in (*found.left_out, *series.left_out):
            said = left_out_words(left_out, CommandReader(season).words)
            say_aside(tr("left out: {what}").format(what=said))
        log = season.do(
            actions.places.add_log,
            place_id,
            options.file.name,
            series.probe,
            series.times_s,
            series.celsius,
        )
        first, last = (at.astimezone(season.zone) for at in (log.starts_at, log.ends_at))
        done = tr_n(
            "{place}: {n} reading of {probe} imported, {first} to {last}",
            "{place}: {n} readings of {probe} imported, {first} to {last}",
            series.times_s.size,
        ).format(
            probe=series.probe or tr("the probe"),
            first=full_moment(first),
            last=full_moment(last),
            place=season.book.places[place_id].name,
        )
    with after_writing(done):
        print(done)
    return FINE


def _place_id(season: Season, name: str) -> str:
    for place in season.book.places.values():
        if same_name(name, place.name):
            return place.id
    known = ", ".join(sorted(place.name for place in season.book.places.values()))
    raise Refusal(
        "place", "There is no place “{name}”; there are: {known}.", name=name, known=known
    )


def _series(found: "Understanding", heading: str | None) -> "Series":
    wanted = None if heading is None else heading.strip().casefold()
    fit = [s for s in found.series if wanted is None or s.probe.strip().casefold() == wanted]
    if len(fit) == 1:
        return fit[0]
    known = ", ".join(f"“{series.probe}”" for series in found.series)
    raise Refusal("--probe", "Say which column to take: {known}.", known=known)


def add_rooms_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``rooms``."""
    add_table_arguments(parser)


def run_rooms(options: argparse.Namespace) -> int:
    """Print or write one row per place with a log and crop that was there."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with closing(Season.open(options.season, read_only=True)) as season:
        from ripenroom.cli.printed_table import printed_table
        from ripenroom.cli.reader import CommandReader
        from ripenroom.exchange.farm_tables import rooms_table

        table = rooms_table(season)
        if options.csv is not None:
            return write_table(table, options.csv, ROWS)
        shown = printed_table(table, CommandReader(season))
        print(shown if len(table) else tr("No place has a temperature log."))
    return FINE
