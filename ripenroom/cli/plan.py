"""``ripenroom plan``: which crates go to which market day, and when each is moved."""

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from ripenroom.cli.answer import FINE, add_table_arguments, say_bad_use, why_no_csv, write_table
from ripenroom.cli.arguments import add_since_argument, planned, read_as_on

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import Plan
    from ripenroom.season.season import Season


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    add_since_argument(parser, "plan as on this date or time")


def run(options: argparse.Namespace) -> int:
    """Print or write one row for all crates that go one way; printed, what they are worth too."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with read_as_on(options) as season:
        from ripenroom.exchange.plan_table import in_sight, plan_table

        plan = planned(season).plan
        table = plan_table(season, plan)
        if options.csv is not None:
            return write_table(table, options.csv, "line", "lines")
        print(table.to_string(index=False) if len(table) else "No fruit to plan for.")
        for sentence in in_sight(season, plan):
            print(sentence)
        print(f"{season.book.season.currency}: {', '.join(_figures(season, plan))}")
    return FINE


def _figures(season: "Season", plan: "Plan") -> Iterator[str]:
    """What the plan and the simple rules are expected to bring, before the work of their moves."""
    from ripenroom.exchange.plan_table import money

    value, handling = plan.outcome.value, plan.outcome.handling
    low, high = (money(season, minor) for minor in (value.low, value.high))
    yield f"value {money(season, value.mean)} ({low} to {high})"
    yield f"handling {money(season, handling)} not taken off"
    if plan.likely:
        yield f"with likely picks {money(season, plan.with_likely.value.mean)}"
    # Of less than the smallest coin no share is told.
    yield f"gap {100.0 * (plan.gap if round(value.mean) else 0.0):.2f} %"
    rules = {
        "first in first out": plan.first_in_first_out,
        "first expired first out": plan.first_expired_first_out,
        "as it is": plan.as_it_is,
    }
    for name, rule in rules.items():
        yield f"{name} {money(season, rule.value.mean)}"
