"""``python -m tests.benchmarks [NAME ...]``: print every benchmark, or the named ones."""

import sys

from tests.benchmarks import dragging, learning, opening, planning, projection, starting

BENCHMARKS = {
    "projection": projection.run,
    "opening": opening.run,
    "dragging": dragging.run,
    "starting": starting.run,
    "planning": planning.run,
    "learning": learning.run,
}


def main(names: list[str]) -> int:
    """Run the named benchmarks; all of them if none is named."""
    unknown = [name for name in names if name not in BENCHMARKS]
    if unknown:
        print(f"No benchmark {', '.join(unknown)}; there are {', '.join(BENCHMARKS)}.")
        return 2
    for name in names or BENCHMARKS:
        print(f"\n{name}")
        BENCHMARKS[name]()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
