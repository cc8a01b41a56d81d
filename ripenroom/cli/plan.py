"""``ripenroom plan``: which crates go to which market day, and when each is moved."""

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from ripenroom.cli.answer import (
    FINE,
    LINES,
    add_table_arguments,
    say_bad_use,
    why_no_csv,
    write_table,
)
from ripenroom.cli.arguments import add_since_argument, planned, read_as_on
from ripenroom.texts import tr

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import Plan
    from ripenroom.wording.reader import Reader


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    add_since_argument(parser, tr("plan as on this date or time"))


def run(options: argparse.Namespace) -> int:
    """Print or write one row for all crates that go one way; printed, what they are worth too."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with read_as_on(options) as season:
        from ripenroom.cli.reader import CommandReader
        from ripenroom.exchange.plan_table import plan_table

        update = planned(season)
        table = plan_table(season, update.plan)
        if options.csv is not None:
            return write_table(table, options.csv, LINES)
        print(table.to_string(index=False) if len(table) else tr("No fruit to plan for."))
        for sentence in _sentences(CommandReader(season, update), update.plan):
            if sentence:
                print(sentence)
    return FINE


def _sentences(reader: "Reader", plan: "Plan") -> Iterator[str]:
    """What the page Plan says beside its table, and what the plan and the simple rules bring."""
    from ripenroom.wording.plan import expected_picks, worth

    words = reader.words
    yield expected_picks.in_sight_words(reader)
    if reckoned := expected_picks.reckoned_words(reader):
        yield reckoned
        for likely in expected_picks.likely_ahead(reader):
            yield f"  {expected_picks.likely_line(likely, reader)}"
    yield expected_picks.kept_words(reader)
    for name, outcome in worth.rows(plan):
        yield f"{name}: {worth.worth_text(outcome.value, words)}"
    yield worth.verdict(plan, words)
    yield worth.gap_words(plan, words)
    yield worth.likely_words(plan)
    yield worth.handling_words(plan, words)
    yield worth.unpriced(reader)
    yield from worth.at_risk(plan, reader)
