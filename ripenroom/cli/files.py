"""``ripenroom demo`` and ``ripenroom verify``: make the practice season, look a file over."""

import argparse
from contextlib import closing, suppress
from pathlib import Path

from ripenroom.cli.answer import FINE, say_aside, say_not_a_good_file
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
    """Say whether a season file is sound; several problems are listed."""
    from ripenroom.records.file import verify

    problems = verify(options.season)
    if not problems:
        print(f"{options.season.name} is sound")
        _tell_of_own_crops(options.season)
        return FINE
    if len(problems) == 1:
        return say_not_a_good_file(problems[0])
    for problem in problems:
        print(problem)
    return say_not_a_good_file(
        f"{options.season.name} is not sound: {len(problems)} problems are listed. "
        "Leave it as it is and open an earlier copy of it."
    )


def _tell_of_own_crops(path: Path) -> None:
    """Say which crop profiles in a sound file cannot be read: it opens, but gives them no dates."""
    from ripenroom.records.file import FileRefusal, SeasonFile
    from ripenroom.season.own_crops import crops_of

    # One of an older version is not opened only to be read; it tells once it is brought up to date.
    with suppress(FileRefusal), closing(SeasonFile.open(path, read_only=True)) as file:
        for problem in crops_of(file.read()).problems:
            say_aside(problem)
