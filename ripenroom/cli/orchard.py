"""``ripenroom rows``, ``walk`` and ``weather``: what is on the trees, and how warm it was."""

import argparse
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from ripenroom.cli.answer import (
    FINE,
    add_table_arguments,
    say_aside,
    say_bad_use,
    why_no_csv,
    write_table,
)
from ripenroom.cli.arguments import (
    add_at_argument,
    add_wait_argument,
    changing,
    named,
    parse_moment,
    read_as_on,
)
from ripenroom.cli.output import after_writing
from ripenroom.records.entry import parse_feel_counts
from ripenroom.records.identity import new_id
from ripenroom.records.orchard import Walk
from ripenroom.records.refusal import Refusal
from ripenroom.records.wording import counted
from ripenroom.season import actions
from ripenroom.season.season import Season

if TYPE_CHECKING:
    from ripenroom.exchange.weather_file import WeatherFound
    from ripenroom.season.orchard.found import FrostForecast


_USUALLY_AHEAD = timedelta(days=7)


def add_rows_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``rows``."""
    add_table_arguments(parser)
    add_at_argument(parser, "read the season as on this date or time")
    parser.add_argument(
        "--by", metavar="DATE", help="picks from today until then; in a week if left out"
    )


def run_rows(options: argparse.Namespace) -> int:
    """Print or write one line for each row of trees, and say when frost is to be expected."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with read_as_on(options) as season:
        from ripenroom.exchange.orchard_table import orchard_table

        by = season.state.today + _USUALLY_AHEAD
        if options.by is not None:
            by = parse_moment(options.by, season.zone, "--by").date()
        table = orchard_table(season, by)
        frost = season.ask.orchard().frost
    if frost is not None:
        _say_frost(frost)
    if options.csv is not None:
        return write_table(table, options.csv, "row", "rows")
    shown = table.dropna(axis="columns", how="all").fillna("")
    print(shown.to_string(index=False) if len(table) else "No rows of trees yet.")
    return FINE


def _say_frost(frost: "FrostForecast") -> None:
    """When it is to be expected, or when it came."""
    if frost.nights:
        nights = ", ".join(f"{night.on} ({night.min_c:g} °C)" for night in frost.nights[:8])
        say_aside(f"frost came on {nights}")
        return
    if frost.may_have_come >= 0.1:
        say_aside(f"the first frost may have come already: {frost.may_have_come:.0%}")
    if frost.dated and frost.tenth_on is not None and frost.even_on is not None:
        say_aside(f"first frost by {frost.tenth_on} in one year of ten, by {frost.even_on} in half")
    elif not frost.dated:
        week = frost.days[7]
        say_aside(f"frost by {week}, from forecast nights alone: {frost.by(week):.0%}")


def add_walk_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``walk``."""
    parser.add_argument("season", type=Path, help="season file")
    parser.add_argument("row", help="name of the row of trees")
    parser.add_argument(
        "--feel",
        metavar="COUNTS",
        help='fruit on the trees by hand feel, hardest first: "21 6 3 0" (hard, slight give, '
        "gives, soft, too soft); nothing is picked by that",
    )
    parser.add_argument("--ground", type=int, help="fruit fallen since the last walk")
    parser.add_argument("--at", metavar="TIME", help="when it was; now if left out")
    parser.add_argument("--note", default="", help="a note")
    add_wait_argument(parser)


_OPTION_OF = {"row_id": "row", "feel_counts": "--feel", "on_ground": "--ground", "at": "--at"}


def run_walk(options: argparse.Namespace) -> int:
    """Save what was felt on the trees of one row."""
    with changing(options) as season:
        row = named("row", options.row, season.book.rows)
        at = season.now()
        if options.at is not None:
            at = parse_moment(options.at, season.zone, "--at", at_noon=True)
        try:
            walk = Walk(
                id=new_id(),
                row_id=row.id,
                at=at,
                feel_counts=parse_feel_counts(options.feel) if options.feel else None,
                on_ground=options.ground,
                note=options.note,
            )
            season.do(actions.walks.add, walk)
        except Refusal as refusal:
            return say_bad_use(f"{_OPTION_OF.get(refusal.field, refusal.field)}: {refusal.message}")
    felt = sum(walk.feel_counts or ())
    done = f"Walk of {row.name} saved: {felt} fruit squeezed"
    if walk.on_ground is not None:
        done += f", {walk.on_ground} on the ground"
    with after_writing(done):
        print(done)
    return FINE


def add_weather_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``weather``."""
    parser.add_argument("season", type=Path, help="season file")
    parser.add_argument(
        "file", type=Path, help="file of a station, a weather service or a logger outdoors"
    )
    parser.add_argument("--coldest", metavar="HEADING", help="column with each day's coldest")
    parser.add_argument("--warmest", metavar="HEADING", help="column with each day's warmest")
    parser.add_argument("--unit", choices=("C", "F"), help="if the file does not tell")
    parser.add_argument("--dates", choices=("ymd", "dmy", "mdy"), help="if the file does not tell")
    add_wait_argument(parser)


def run_weather(options: argparse.Namespace) -> int:
    """Take the days of a file into the season, and say how the file was read."""
    from ripenroom.exchange.logger_file import Corrections, DateOrder, Home, ReadDoubt, load
    from ripenroom.exchange.weather_file import WeatherColumns, read_weather

    if (options.coldest is None) != (options.warmest is None):
        return say_bad_use("give both --coldest and --warmest, or neither")
    columns = WeatherColumns(options.coldest, options.warmest) if options.coldest else None
    corrections = Corrections(
        date_order=DateOrder(options.dates) if options.dates else None, unit=options.unit
    )
    source = load(options.file)
    with changing(options) as season:
        home = Home(season.zone, season.now(), season.book.season.units == "us")
        found = read_weather(source, home, corrections, columns)
        if ReadDoubt.DATE_ORDER in found.doubts:
            raise Refusal(
                "--dates",
                "Dates in this file can be read in more than one way. Say which: {orders}.",
                orders=" or ".join(found.date_orders),
            )
        if ReadDoubt.UNIT in found.doubts:
            raise Refusal("--unit", "These numbers could be °C or °F. Say which: C or F.")
        _say_how(found)
        done = _taken(season, found, options.file.name)
    with after_writing(done):
        print(done)
    return FINE


def _taken(season: Season, found: "WeatherFound", name: str) -> str:
    taken = season.do(actions.weather.take_days, found.days, name)
    first, last = found.days[0].on, found.days[-1].on
    parts = [f"{counted(len(found.days), 'days')} of weather, {first} to {last}"]
    for number, what in (
        (taken.new, "new"),
        (taken.changed, "changed"),
        (taken.same, "known already"),
        (taken.typed_kept, "left as typed"),
        (taken.too_far, "too far from the season's first day"),
    ):
        if number:
            parts.append(f"{number} {what}")
    return ": ".join((parts[0], ", ".join(parts[1:])))


def _say_how(found: "WeatherFound") -> None:
    """What was read as what, and what is missing."""
    columns = found.columns
    if found.through_the_day and columns.coldest == columns.warmest:
        named_so = f" “{columns.coldest}”" if columns.coldest else ""
        say_aside(f"coldest and warmest of each day were looked for in the readings{named_so}")
    else:
        say_aside(f"coldest: “{columns.coldest}”, warmest: “{columns.warmest}”, °{found.unit}")
    if found.filled:
        days = ", ".join(map(str, found.filled[:8]))
        more = ", …" if len(found.filled) > 8 else ""
        say_aside(
            f"filled in by a straight line: {counted(len(found.filled), 'days')} ({days}{more})"
        )
    for first, last in found.open_gaps:
        say_aside(f"no weather from {first} to {last}")
    if found.unsound:
        days = ", ".join(map(str, found.unsound[:8]))
        say_aside(f"left out, not a whole day or warmest below coldest: {days}")
    for left_out in found.left_out:
        lines = ", ".join(map(str, left_out.lines))
        say_aside(f"left out, {left_out.fault}: {left_out.count} (line {lines})")
