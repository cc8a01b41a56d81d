"""``ripenroom rows``, ``walk`` and ``weather``: what is on the trees, and how warm it was."""

import argparse
from datetime import timedelta
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
from ripenroom.cli.arguments import (
    add_at_argument,
    add_wait_argument,
    changing,
    named,
    parse_moment,
    read_as_on,
    require_certain,
)
from ripenroom.cli.output import after_writing
from ripenroom.days import full_day
from ripenroom.records.book import new_id
from ripenroom.records.entry import parse_feel_counts
from ripenroom.records.orchard import Walk
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.texts import tr, tr_n

if TYPE_CHECKING:
    from ripenroom.exchange.weather_file import WeatherFound
    from ripenroom.season.orchard.orchard_types import FrostForecast
    from ripenroom.wording.formats import Formats


_USUALLY_AHEAD = timedelta(days=7)


def add_rows_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``rows``."""
    add_table_arguments(parser)
    add_at_argument(parser, tr("read the season as on this date or time"))
    parser.add_argument(
        "--by", metavar="DATE", help=tr("picks from today until then; in a week if left out")
    )


def run_rows(options: argparse.Namespace) -> int:
    """Print or write one line for each row of trees, and say when frost is to be expected."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with read_as_on(options) as season:
        from ripenroom.cli.printed_table import printed_table
        from ripenroom.cli.reader import CommandReader
        from ripenroom.exchange.farm_tables import orchard_table

        by = season.state.today + _USUALLY_AHEAD
        if options.by is not None:
            by = parse_moment(options.by, season.zone, "--by").date()
        table = orchard_table(season, by)
        frost, reader = season.ask.orchard().frost, CommandReader(season)
    if frost is not None:
        _say_frost(frost, reader.words)
    if options.csv is not None:
        return write_table(table, options.csv, ROWS)
    shown = table.dropna(axis="columns", how="all").fillna("")
    print(printed_table(shown, reader) if len(table) else tr("No rows of trees yet."))
    return FINE


def _say_frost(frost: "FrostForecast", words: "Formats") -> None:
    """When it is to be expected, or when it came."""
    if frost.nights:
        nights = ", ".join(
            f"{words.full_day(night.on)} ({words.temperature(night.min_c)})"
            for night in frost.nights[:8]
        )
        say_aside(tr("frost came on {nights}").format(nights=nights))
        return
    if frost.may_have_come >= 0.1:
        text = tr("the first frost may have come already: {chance}")
        say_aside(text.format(chance=words.share(frost.may_have_come)))
    if frost.dated and frost.tenth_on is not None and frost.even_on is not None:
        text = tr("first frost by {tenth} in one year of ten, by {half} in half")
        say_aside(
            text.format(tenth=words.full_day(frost.tenth_on), half=words.full_day(frost.even_on))
        )
    elif not frost.dated:
        week = frost.days[7]
        text = tr("frost by {day}, from forecast nights alone: {chance}")
        say_aside(text.format(day=words.full_day(week), chance=words.share(frost.by(week))))


def add_walk_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``walk``."""
    parser.add_argument("season", type=Path, help=tr("season file"))
    parser.add_argument("row", help=tr("name of the row of trees"))
    parser.add_argument(
        "--feel",
        metavar="COUNTS",
        help=tr(
            'fruit on the trees by hand feel, hardest first: "21 6 3 0" (hard, slight '
            "give, gives, soft, too soft); nothing is picked by that"
        ),
    )
    parser.add_argument("--ground", type=int, help=tr("fruit fallen since the last walk"))
    parser.add_argument("--at", metavar="TIME", help=tr("when it was; now if left out"))
    parser.add_argument("--note", default="", help=tr("a note"))
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
            season.do(actions.orchard.add_walk, walk)
        except Refusal as refusal:
            return say_bad_use(f"{_OPTION_OF.get(refusal.field, refusal.field)}: {refusal.message}")
    done = tr("Walk of {row} saved: {felt} fruit squeezed")
    if walk.on_ground is not None:
        done = tr("Walk of {row} saved: {felt} fruit squeezed, {ground} on the ground")
    done = done.format(row=row.name, felt=sum(walk.feel_counts or ()), ground=walk.on_ground)
    with after_writing(done):
        print(done)
    return FINE


def add_weather_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``weather``."""
    parser.add_argument("season", type=Path, help=tr("season file"))
    parser.add_argument(
        "file", type=Path, help=tr("file of a station, a weather service or a logger outdoors")
    )
    parser.add_argument("--coldest", metavar="HEADING", help=tr("column with each day's coldest"))
    parser.add_argument("--warmest", metavar="HEADING", help=tr("column with each day's warmest"))
    parser.add_argument("--unit", choices=("C", "F"), help=tr("if the file does not tell"))
    parser.add_argument(
        "--dates", choices=("ymd", "dmy", "mdy"), help=tr("if the file does not tell")
    )
    add_wait_argument(parser)


def run_weather(options: argparse.Namespace) -> int:
    """Take the days of a file into the season, and say how the file was read."""
    from ripenroom.cli.reader import CommandReader
    from ripenroom.exchange.logger_file.times import Home
    from ripenroom.exchange.logger_file.understanding import Corrections
    from ripenroom.exchange.text_table.source import load
    from ripenroom.exchange.text_table.stamps import DateOrder
    from ripenroom.exchange.weather_file import WeatherColumns, read_weather

    if (options.coldest is None) != (options.warmest is None):
        return say_bad_use(tr("give both --coldest and --warmest, or neither"))
    columns = WeatherColumns(options.coldest, options.warmest) if options.coldest else None
    corrections = Corrections(
        date_order=DateOrder(options.dates) if options.dates else None, unit=options.unit
    )
    source = load(options.file)
    with changing(options) as season:
        home = Home(season.zone, season.now(), season.book.season.units == "us")
        found = read_weather(source, home, corrections, columns)
        require_certain(found)
        _say_how(found, CommandReader(season).words)
        done = _taken(season, found, options.file.name)
    with after_writing(done):
        print(done)
    return FINE


def _taken(season: Season, found: "WeatherFound", name: str) -> str:
    taken = season.do(actions.weather.take_days, found.days, name)
    first, last = full_day(found.days[0].on), full_day(found.days[-1].on)
    days = tr_n(
        "{n} day of weather, {first} to {last}: {fates}",
        "{n} days of weather, {first} to {last}: {fates}",
        len(found.days),
    )
    fates = [
        text.format(n=number)
        for number, text in (
            (taken.new, tr("{n} new")),
            (taken.changed, tr("{n} changed")),
            (taken.same, tr("{n} known already")),
            (taken.typed_kept, tr("{n} left as typed")),
            (taken.too_far, tr("{n} too far from the season's first day")),
        )
        if number
    ]
    return days.format(first=first, last=last, fates=", ".join(fates))


def _say_how(found: "WeatherFound", words: "Formats") -> None:
    """What was read as what, and what is missing."""
    from ripenroom.exchange.logger_file.understanding import left_out_words

    columns = found.columns
    if found.through_the_day and columns.coldest == columns.warmest:
        how = tr("coldest and warmest of each day were looked for in the readings")
        if columns.coldest:
            how = tr("coldest and warmest of each day were looked for in the readings “{heading}”")
        say_aside(how.format(heading=columns.coldest))
    else:
        say_aside(
            tr("coldest: “{coldest}”, warmest: “{warmest}”, °{unit}").format(
                coldest=columns.coldest, warmest=columns.warmest, unit=found.unit
            )
        )
    if found.filled:
        days = ", ".join(map(full_day, found.filled[:8]))
        more = ", …" if len(found.filled) > 8 else ""
        filled = tr_n(
            "filled in by a straight line: {n} day ({days})",
            "filled in by a straight line: {n} days ({days})",
            len(found.filled),
        )
        say_aside(filled.format(days=days + more))
    for first, last in found.open_gaps:
        say_aside(
            tr("no weather from {first} to {last}").format(
                first=full_day(first), last=full_day(last)
            )
        )
    if found.unsound:
        days = ", ".join(map(full_day, found.unsound[:8]))
        say_aside(
            tr("left out, not a whole day or warmest below coldest: {days}").format(days=days)
        )
    for left_out in found.left_out:
        say_aside(tr("left out: {what}").format(what=left_out_words(left_out, words)))
