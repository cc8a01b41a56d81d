"""A season that a command changes: waited for, with a copy kept of it as it was."""

import argparse
from collections.abc import Iterator
from contextlib import closing, contextmanager

from ripenroom.cli.answer import say_aside
from ripenroom.paths import copies_folder
from ripenroom.season.season import FileRefusal, Season

WAIT_S = 10.0
"""How long a command waits for a season that another has open, if it is not told."""

_LONGEST_WAIT_S = 86_400.0


def add_wait_argument(parser: argparse.ArgumentParser) -> None:
    """How long to wait for a season that is open for changes elsewhere."""
    parser.add_argument(
        "--wait",
        type=_seconds,
        default=WAIT_S,
        metavar="SECONDS",
        help=f"wait so long for a season that is open elsewhere; {WAIT_S:g} if left out",
    )


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"“{text}” is no number of seconds") from error
    if not 0.0 <= seconds <= _LONGEST_WAIT_S:
        raise argparse.ArgumentTypeError(f"must be from 0 to {_LONGEST_WAIT_S:g} seconds")
    return seconds


@contextmanager
def changing(options: argparse.Namespace) -> Iterator[Season]:
    """The season of a command, open for changes; raises :class:`FileRefusal` if it cannot be.

    A copy of it is kept first, as the window does; that it could not be is said aside.
    """
    with closing(Season.open(options.season, wait_s=options.wait)) as season:
        if season.read_only_because is not None:
            raise FileRefusal("unwritable", season.read_only_because)
        if not season.practice:
            try:
                season.copies.keep_before_change(copies_folder())
            except FileRefusal as refusal:
                say_aside(f"No copy of the season could be kept: {refusal.message}")
        yield season
