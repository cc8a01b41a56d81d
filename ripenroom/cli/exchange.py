"""Commands ``import`` and ``export``: tables and whole seasons, in and out.

``import`` takes rows of a table into a season, or makes a season from its JSON. ``export`` writes
everything out, in the format that the target's name asks for.
"""

import argparse
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from ripenroom.cli.answer import BAD_USE, FINE, say_aside, say_bad_use
from ripenroom.cli.arguments import add_wait_argument, changing, count_on_checks, crop_key, named
from ripenroom.cli.output import Unprinted, after_writing
from ripenroom.days import full_day, known_locale
from ripenroom.records.file import SeasonFile
from ripenroom.records.refusal import Question, Refusal
from ripenroom.season import actions
from ripenroom.season.actions.table_import import rows_of
from ripenroom.season.actions.table_rows import ImportDefaults, RowKind, TableRow
from ripenroom.season.season import Season
from ripenroom.texts import NO_LOCALE, locale_name, tr, tr_n

if TYPE_CHECKING:
    from ripenroom.exchange.record_table.columns import ColumnMapping
    from ripenroom.exchange.record_table.grid import Grid


_KINDS: dict[str, RowKind] = {
    "picks": "picks",
    "checks": "checks",
    "market-days": "market days",
    "places": "places",
    "rows": "rows",
    "walks": "walks",
    "weather": "weather",
}


def add_import_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``import``."""
    parser.add_argument("season", type=Path, help=tr("season file; of a JSON file, a new one"))
    parser.add_argument(
        "table",
        type=Path,
        help=tr(
            "CSV, text or XLSX file with headings above its columns, or a season written as .json"
        ),
    )
    parser.add_argument(
        "--kind", choices=list(_KINDS), help=tr("what the rows are, if the headings do not say")
    )
    parser.add_argument("--crop", help=tr("crop of rows that name none"))
    parser.add_argument("--place", help=tr("place of rows that name none"))
    parser.add_argument(
        "--dates",
        choices=("ymd", "dmy", "mdy"),
        help=tr("order of dates that can be read two ways"),
    )
    parser.add_argument("--yes", action="store_true", help=tr("save unlikely values as they are"))
    add_wait_argument(parser)


def run_import(options: argparse.Namespace) -> int:
    """Write down every row that is right; list the others, each with its line and why.

    A season's JSON becomes a season file, never over another.
    """
    if options.table.suffix.lower() == ".json":
        return _make_season(options.season, options.table)
    from ripenroom.exchange.record_table.grid import grid_in

    grid = grid_in(options.table)
    with changing(options) as season:
        mapping = _mapping(grid, options, season.book.season.units == "us")
        usual = ImportDefaults(
            crop_key(options.crop, season.crops) if options.crop else None,
            named("--place", options.place, season.book.places).id if options.place else None,
        )
        wrong, rows = _read_table(grid, mapping, season)
        if options.yes:
            rows = _answered(season, mapping.kind, rows, usual, options.table.name)
        found = season.do(
            actions.table_import.take_in, mapping.kind, rows, usual, options.table.name
        )
    for number, first in found.refused.items():
        said = [wrong[number]] if number in wrong else []
        for refusal in (first, *found.also.get(number, ())):
            may = isinstance(refusal, Question) and refusal.possible
            text = tr("{field}: {why} (--yes keeps it)") if may else tr("{field}: {why}")
            said.append(text.format(field=refusal.field, why=refusal.message))
        wrong[number] = "; ".join(said)
    for number in sorted(wrong):
        say_aside(tr("line {number}: {why}").format(number=number, why=wrong[number]))
    done = tr_n(
        "{taken} saved, {n} row left out",
        "{taken} saved, {n} rows left out",
        len(wrong),
    ).format(taken=rows_of(mapping.kind, len(found.taken)))
    try:
        with after_writing(done):
            print(done)
    except Unprinted as unprinted:
        if found.taken:
            raise
        say_aside(str(unprinted))  # nothing was saved, so whoever does it again has it once
    return BAD_USE if wrong else FINE


def _make_season(target: Path, source: Path) -> int:
    from ripenroom.exchange.season_json import read_json
    from ripenroom.season.copies import left_out

    book = read_json(source)
    SeasonFile.create(target, book.season, book.records()).close()
    for problem in left_out(book):
        say_aside(problem)
    done = tr("The season “{season}” is in {target}").format(season=book.season.name, target=target)
    with after_writing(done):
        print(done)
    return FINE


def _mapping(grid: "Grid", options: argparse.Namespace, us: bool) -> "ColumnMapping":
    from ripenroom.exchange.record_table.columns import guess, guess_kind, unclear_date

    kind = _KINDS[options.kind] if options.kind else guess_kind(grid)
    mapping = guess(grid, kind, _usual_order(us), us=us)
    if missing := mapping.missing():
        raise Refusal(
            "",
            "A table of {kind} needs columns that are not here: {missing}. Here are: {heads}.",
            kind=kind,
            missing=", ".join(missing),
            heads=", ".join(filter(None, grid.heads)),
        )
    if options.dates:
        return replace(mapping, date_order=options.dates)
    unclear = unclear_date(grid, mapping)
    if unclear is None:
        return mapping
    if locale_name() in NO_LOCALE and not us:
        raise Refusal("--dates", "Dates could be day first or month first. Say which: dmy or mdy.")
    written, day = unclear
    say_aside(
        tr("“{written}” is read as {day}: if not, say --dates dmy or mdy").format(
            written=written, day=full_day(day)
        )
    )
    return mapping


def _usual_order(us: bool) -> Literal["dmy", "mdy"]:
    """Day or month first, as the reader's locale writes dates; without one as the country does
    whose units the season has."""
    if locale_name() in NO_LOCALE:
        return "mdy" if us else "dmy"
    pattern = known_locale(locale_name()).date_formats["short"].pattern
    month_first = pattern.find("M") < pattern.find("d")
    return "mdy" if month_first and not pattern.startswith("y") else "dmy"


def _read_table(
    grid: "Grid", mapping: "ColumnMapping", season: Season
) -> tuple[dict[int, str], list[TableRow]]:
    """Every row, and what cannot be read in some of them, by line number."""
    from ripenroom.exchange.record_table.reading import read

    wrong: dict[int, str] = {}
    rows: list[TableRow] = []
    for found in read(grid, mapping, season.now().astimezone(season.zone)):
        if found.problems:
            wrong[found.row.number] = "; ".join(
                f"{key} {why}".strip() for key, why in found.problems.items()
            )
        rows.append(found.row)
    return wrong, rows


def _answered(
    season: Season, kind: RowKind, rows: Sequence[TableRow], usual: ImportDefaults, name: str
) -> list[TableRow]:
    """The rows with every question about them answered yes that can be."""
    rows = list(rows)
    while True:
        refused = actions.table_import.look_over(season.state, kind, rows, usual, name).refused
        asked = {
            number: refusal.field
            for number, refusal in refused.items()
            if isinstance(refusal, Question) and refusal.possible
        }
        answered = [
            replace(row, answered=row.answered | {asked[row.number]})
            if row.number in asked
            else row
            for row in rows
        ]
        if answered == rows:
            return rows
        rows = answered


_ENDINGS = (".xlsx", ".json", ".ics")


def add_export_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``export``."""
    parser.add_argument("season", type=Path, help=tr("season file"))
    parser.add_argument(
        "target",
        type=Path,
        help=tr("a .xlsx, .json or .ics file, or a folder that gets a CSV file for each table"),
    )


def run_export(options: argparse.Namespace) -> int:
    """Write a season out; a file that is there already is replaced, the season file never."""
    target: Path = options.target
    kind = target.suffix.lower()
    if kind and kind not in _ENDINGS:
        return say_bad_use(
            tr("{target}: name a file that ends in {kinds}, or a folder").format(
                target=target.name, kinds=", ".join(_ENDINGS)
            )
        )
    season = Season.open(options.season, read_only=True)
    try:
        _write_out(season, target, kind)
    finally:
        season.close()
    with after_writing(tr("{target} is saved").format(target=target)):
        print(tr("Saved in {target}").format(target=target))
    return FINE


def _write_out(season: Season, target: Path, kind: str) -> None:
    if kind == ".json":
        from ripenroom.exchange.season_json import write_json

        write_json(season.book, target)
    elif kind == ".ics":
        from ripenroom.exchange.calendar_file import write_calendar

        write_calendar(season, None, target)
    elif kind == ".xlsx":
        from ripenroom.exchange.season_tables import season_tables
        from ripenroom.exchange.table_writing import write_workbook

        count_on_checks(season)
        write_workbook(season_tables(season), target)
    else:
        from ripenroom.exchange.season_tables import season_tables
        from ripenroom.exchange.table_writing import write_csv_folder

        count_on_checks(season)
        write_csv_folder(season_tables(season), target)
