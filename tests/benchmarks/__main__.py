"""``python -m tests.benchmarks [NAME ...]``: print every benchmark, or the named ones."""

import argparse
import sys
from collections.abc import Callable
from functools import partial

from tests.benchmarks import (
    dragging,
    footprint,
    growth,
    learning,
    opening,
    orchard,
    planning,
    projection,
    starting,
)
from tests.benchmarks.season import run as season
from tests.benchmarks.season.truth.year import DAYS

BENCHMARKS: dict[str, Callable[[], None]] = {
    "projection": projection.run,
    "opening": opening.run,
    "dragging": dragging.run,
    "starting": starting.run,
    "growth": growth.run,
    "footprint": footprint.run,
    "planning": planning.run,
    "learning": learning.run,
    "orchard": orchard.run,
    "season": season.run,
}


def main(arguments: list[str]) -> int:
    """Run the named benchmarks; all of them if none is named."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks")
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(BENCHMARKS))
    parser.add_argument(
        "--seasons", type=int, help="random seasons to plan, or to run from day to day"
    )
    parser.add_argument("--days", type=int, default=DAYS, help="days of a season that is run")
    parser.add_argument("--first", type=int, default=0, help="seed of the first that is run")
    options = parser.parse_args(arguments)
    jobs: dict[str, Callable[[], None]] = {
        **BENCHMARKS,
        "planning": partial(planning.run, options.seasons or planning.SEASONS),
        "season": partial(
            season.run, options.seasons or season.SEASONS, options.days, options.first
        ),
    }
    unknown = [name for name in options.names if name not in jobs]
    if unknown:
        print(f"No benchmark {', '.join(unknown)}; there are {', '.join(jobs)}.")
        return 2
    for name in options.names or jobs:
        print(f"\n{name}")
        jobs[name]()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
