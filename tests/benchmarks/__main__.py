"""``python -m tests.benchmarks [NAME ...]``: print every benchmark, or the named ones."""

import argparse
import sys
from collections.abc import Callable
from functools import partial

from tests.benchmarks import dragging, learning, opening, planning, projection, starting

BENCHMARKS: dict[str, Callable[[], None]] = {
    "projection": projection.run,
    "opening": opening.run,
    "dragging": dragging.run,
    "starting": starting.run,
    "planning": planning.run,
    "learning": learning.run,
}


def main(arguments: list[str]) -> int:
    """Run the named benchmarks; all of them if none is named."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks")
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(BENCHMARKS))
    parser.add_argument(
        "--seasons", type=int, default=planning.SEASONS, help="random seasons to plan"
    )
    options = parser.parse_args(arguments)
    jobs: dict[str, Callable[[], None]] = {
        **BENCHMARKS,
        "planning": partial(planning.run, options.seasons),
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
