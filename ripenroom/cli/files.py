"""``ripenroom demo`` and ``ripenroom verify``: make the practice season, look a file over."""

import argparse
from pathlib import Path

from ripenroom.cli.answer import DAMAGED_OR_FOREIGN, FINE


def add_demo_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``demo``."""
    parser.add_argument("file", type=Path, help="season file to make")


def run_demo(options: argparse.Namespace) -> int:
    """Write the practice season to a new file."""
    from ripenroom.season.demo import write_demo

    write_demo(options.file)
    print(f"The practice season is in {options.file}")
    return FINE


def add_verify_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``verify``."""
    parser.add_argument("season", type=Path, help="season file")


def run_verify(options: argparse.Namespace) -> int:
    """Say whether a season file is sound; each problem is a line."""
    from ripenroom.season.soundness import problems_of

    problems = problems_of(options.season)
    for problem in problems:
        print(problem)
    if problems:
        return DAMAGED_OR_FOREIGN
    print(f"{options.season.name} is sound")
    return FINE
