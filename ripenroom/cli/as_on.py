"""A season that a command reads, as on now or on another day."""

import argparse
from collections.abc import Iterator
from contextlib import closing, contextmanager
from typing import TYPE_CHECKING

from ripenroom.cli.answer import say_aside
from ripenroom.cli.moment import parse_moment
from ripenroom.season.season import Season

if TYPE_CHECKING:
    from ripenroom.season.plans.update import PlanUpdate


def add_since_argument(parser: argparse.ArgumentParser, help_text: str) -> None:
    """The day as on which the season is read."""
    parser.add_argument("--from", dest="since", metavar="DATE", help=help_text)


def add_at_argument(parser: argparse.ArgumentParser, help_text: str) -> None:
    """The moment as on which the season is read; of a date alone it is noon."""
    parser.add_argument("--at", metavar="DATE", help=help_text)


@contextmanager
def read_as_on(options: argparse.Namespace) -> Iterator[Season]:
    """The season of a command, only read; what is wrong with its crops is said aside."""
    with closing(Season.open(options.season, read_only=True)) as season:
        given = vars(options)
        if given.get("since") is not None:
            season.read_as_on(parse_moment(options.since, season.zone, "--from"))
        if given.get("at") is not None:
            season.read_as_on(parse_moment(options.at, season.zone, "--at", at_noon=True))
        for problem in season.crop_problems:
            say_aside(problem)
        count_on_checks(season)
        yield season


def planned(season: Season) -> "PlanUpdate":
    """The plan of a season, made as the window makes its first, near to yesterday's; which pins
    cannot be kept is said aside."""
    from ripenroom.exchange.plan_table import broken_pin_text

    update = season.ask.plan()
    assert update is not None  # nobody calls it off
    for broken in update.plan.broken_pins:
        say_aside(broken_pin_text(season, broken))
    return update


def count_on_checks(season: Season) -> None:
    """Learn from what was checked, as the window does: both have to tell the same dates."""
    if season.book.checks or season.book.lessons:
        season.learn()
