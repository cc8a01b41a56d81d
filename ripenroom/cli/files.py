"""``ripenroom demo`` and ``ripenroom verify``: make the practice season, look a file over."""

import argparse
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

from ripenroom.cli.answer import FINE, say_not_a_good_file
from ripenroom.cli.output import after_writing


def add_demo_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``demo``."""
    parser.add_argument("file", type=Path, help="season file to make")


def run_demo(options: argparse.Namespace) -> int:
    """Write the practice season to a new file."""
    from ripenroom.season.demo import write_demo

    write_demo(options.file)
    done = f"The practice season is in {options.file}"
    with after_writing(done):
        print(done)
    return FINE


def add_verify_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``verify``."""
    parser.add_argument("season", type=Path, help="season file")


def run_verify(options: argparse.Namespace) -> int:
    """Say whether a season file is sound; several problems are listed.

    It is not wherever any command would refuse it, or leave some of it out.
    """
    from ripenroom.records.file import verify

    path = options.season
    if problems := verify(path):
        return _say_unsound(path, problems, "Leave it as it is and open an earlier copy of it.")
    if problems := _left_out(path):
        return _say_unsound(
            path, problems, "It opens, but no dates are given for these. Put that right there."
        )
    print(f"{path.name} is sound")
    return FINE


def _say_unsound(path: Path, problems: Sequence[str], advice: str) -> int:
    if len(problems) == 1:
        return say_not_a_good_file(problems[0])
    for problem in problems:
        print(problem)
    return say_not_a_good_file(
        f"{path.name} is not sound: {len(problems)} problems are listed. {advice}"
    )


def _left_out(path: Path) -> list[str]:
    """What no command can work anything out for, in a file that opens."""
    from ripenroom.records.file import SeasonFile
    from ripenroom.season.left_out import left_out

    with closing(SeasonFile.open(path, read_only=True)) as file:
        return list(left_out(file.read()))
