"""``ripenroom plan``: which crates go to which market day, and when each is moved."""

import argparse

from ripenroom.cli.answer import FINE, say_aside, say_bad_use
from ripenroom.cli.as_on import add_since_argument, read_as_on
from ripenroom.cli.tables import add_table_arguments, why_no_csv, write_table


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of the command."""
    add_table_arguments(parser)
    add_since_argument(parser, "plan as on this date or time")


def run(options: argparse.Namespace) -> int:
    """Print or write one row for all crates that go one way; printed, what they are worth too."""
    if refused := why_no_csv(options):
        return say_bad_use(refused)
    with read_as_on(options) as season:
        from ripenroom.exchange.plan_table import broken_pin_text, money, plan_table

        plan = season.plan()
        for broken in plan.broken_pins:
            say_aside(broken_pin_text(season, broken))
        table = plan_table(season, plan)
        if options.csv is not None:
            return write_table(table, options.csv, "line", "lines")
        print(table.to_string(index=False) if len(table) else "No fruit to plan for.")
        figures = {
            "value": plan.value_minor,
            "bound": plan.bound_minor,
            "first in first out": plan.first_in_first_out.value_minor,
            "first expired first out": plan.first_expired_first_out.value_minor,
            "as it is": plan.as_it_is.value_minor,
        }
        said = [f"{name} {money(season, minor)}" for name, minor in figures.items()]
        # Of less than the smallest coin no share is told.
        gap = plan.gap if round(plan.bound_minor) else 0.0
        said.insert(2, f"gap {100.0 * gap:.2f} %")
        print(f"{season.book.season.currency}: {', '.join(said)}")
    return FINE
