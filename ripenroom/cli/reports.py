"""Commands that print what a season says: windows, today, plan, checks and setpoints.

Each can write its table as CSV too. pandas, and what works answers out, takes longer to import than
a season takes to read, so it is imported when it is needed.
"""

import argparse
from collections.abc import Iterator
from contextlib import closing
from typing import TYPE_CHECKING

from ripenroom.cli.answer import (
    FINE,
    LINES,
    add_table_arguments,
    say_aside,
    say_bad_use,
    why_no_csv,
    write_table,
)
from ripenroom.cli.arguments import (
    add_at_argument,
    add_since_argument,
    count_on_checks,
    parse_moment,
    planned,
    read_as_on,
)
from ripenroom.season.season import Season
from ripenroom.texts import noted_n, tr

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import Plan
    from ripenroom.wording.reader import Reader


_WINDOWS = noted_n("{n} batch saved in {file}", "{n} batches saved in {file}")


def add_windows_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    parser.add_argument("--at", metavar="DATE", help=tr("read the season as on this date or time"))


def run_windows(options: argparse.Namespace) -> int:
    """Print or write one row per batch."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with closing(Season.open(options.season, read_only=True)) as season:
        if options.at is not None:
            season.read_as_on(parse_moment(options.at, season.zone, "--at", at_noon=True))
        count_on_checks(season)
        from ripenroom.cli.printed_table import printed_windows
        from ripenroom.cli.reader import CommandReader
        from ripenroom.exchange.farm_tables import eat_by_table

        table = eat_by_table(season)
        shown = printed_windows(table, CommandReader(season)) if options.csv is None else ""
        for problem in season.crop_problems:
            say_aside(problem)
    if options.csv is not None:
        return write_table(table, options.csv, _WINDOWS)
    print(shown if len(table) else tr("No batches yet."))
    return FINE


def add_today_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    add_at_argument(parser, tr("the sheet of this date or time"))


def run_today(options: argparse.Namespace) -> int:
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
        print(f"{season.book.season.name}, {reader.words.day_in_full(season.now().date())}")
        for line in printed(reader, sheet):
            print(line)
    return FINE


def add_plan_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    add_since_argument(parser, tr("plan as on this date or time"))


def run_plan(options: argparse.Namespace) -> int:
    """Print or write one row for all crates that go one way; printed, what they are worth too."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with read_as_on(options) as season:
        from ripenroom.cli.printed_table import printed_table
        from ripenroom.cli.reader import CommandReader
        from ripenroom.exchange.plan_tables import plan_table

        update = planned(season)
        if options.csv is not None:
            return write_table(plan_table(season, update.plan), options.csv, LINES)
        reader = CommandReader(season, update)
        table = plan_table(season, update.plan, tr)
        print(printed_table(table, reader) if len(table) else tr("No fruit to plan for."))
        for sentence in _beside_the_plan(reader, update.plan):
            if sentence:
                print(sentence)
    return FINE


def _beside_the_plan(reader: "Reader", plan: "Plan") -> Iterator[str]:
    """What the page Plan says beside its table, and what the plan and the simple rules bring."""
    from ripenroom.wording.plan import expected_picks, worth

    words = reader.words
    yield expected_picks.in_sight_words(reader)
    if reckoned := expected_picks.reckoned_words(reader):
        yield reckoned
        for likely in expected_picks.likely_ahead(reader):
            yield f"  {expected_picks.likely_line(likely, reader)}"
    yield expected_picks.kept_words(reader)
    kept = worth.any_kept(plan, words)
    for name, outcome in worth.rows(plan):
        yield worth.account_text(name, outcome, words, kept)
    yield worth.worth_it(plan, reader.plans.if_left, words)
    yield worth.verdict(plan, words)
    yield worth.gap_words(plan, words)
    yield worth.likely_words(plan)
    yield worth.unpriced(reader)
    yield from worth.at_risk(plan, reader)


_CHECKS = noted_n("{n} check saved in {file}", "{n} checks saved in {file}")


def add_checks_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    add_since_argument(parser, tr("advise as on this date or time"))


def run_checks(options: argparse.Namespace) -> int:
    """Print a line or write a row for each batch that is worth squeezing, the best first."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with read_as_on(options) as season:
        checks = season.ask.check_next()
        if options.csv is not None:
            from ripenroom.exchange.plan_tables import check_table

            return write_table(check_table(season, checks), options.csv, _CHECKS)
        from ripenroom.cli.reader import CommandReader
        from ripenroom.wording.today.tasks import check_item

        reader = CommandReader(season)
        for check in checks:
            item = check_item(check, reader)
            print(f"{item.headline}. {item.reason}.")
        if not checks:
            print(tr("Nothing to squeeze: no check would change the plan now."))
    return FINE


_SETTINGS = noted_n("{n} setting saved in {file}", "{n} settings saved in {file}")


def add_setpoints_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    add_since_argument(parser, tr("advise as on this date"))


def run_setpoints(options: argparse.Namespace) -> int:
    """Print or write one row for each setting that was tried; the advice is printed always."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with read_as_on(options) as season:
        from ripenroom.cli.printed_table import printed_table
        from ripenroom.cli.reader import CommandReader
        from ripenroom.exchange.plan_tables import setpoint_table
        from ripenroom.wording.plan.set_points import gain_words, set_point_words

        advice = season.ask.set_point_advice()
        assert advice is not None  # nobody calls it off
        table = setpoint_table(season, advice)
        reader = CommandReader(season)
        words = [gain_words(advice, reader)]
        words += [set_point_words(place, reader) for place in advice.places]
    print("\n".join(words))
    if options.csv is not None:
        return write_table(table, options.csv, _SETTINGS)
    if len(table):
        print(f"\n{printed_table(table, reader)}")
    return FINE
