"""``python -m tests.extremes [NAME ...]``: what commands take on seasons as large as may be.

Prints time and memory of each command on each season, or on the named ones. Commands run one after
the other, each in a process of its own, whose peak of resident memory is that of the system.
"""

import argparse
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from ripenroom.records.file import SeasonFile
from tests.extremes.seasons import EXTREMES, NOW

COMMANDS = {"windows": "--at", "plan": "--from", "verify": None}
_KIB_PER_MB = 1_000_000 / (1 if sys.platform == "darwin" else 1024)


def main(arguments: list[str]) -> int:
    """Measure the named commands on the named seasons; all where none is named."""
    parser = argparse.ArgumentParser(prog="python -m tests.extremes")
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(EXTREMES))
    parser.add_argument("--commands", nargs="+", choices=list(COMMANDS), default=list(COMMANDS))
    options = parser.parse_args(arguments)
    unknown = [name for name in options.names if name not in EXTREMES]
    if unknown:
        print(f"No season {', '.join(unknown)}; there are {', '.join(EXTREMES)}.")
        return 2
    print(f"{'season':<14}{'command':<10}{'code':>6}{'s':>8}{'s of cpu':>10}{'MB':>7}")
    with tempfile.TemporaryDirectory() as folder:
        for name in options.names or EXTREMES:
            book = EXTREMES[name]()
            path = Path(folder) / f"{name}.ripenroom"
            SeasonFile.create(path, book.season, book.records()).close()
            for command in options.commands:
                measure(name, command, path)
    return 0


def measure(name: str, command: str, path: Path) -> None:
    """Run one command on a season; print its end code, its times and its peak of memory."""
    day = COMMANDS[command]
    as_on = [] if day is None else [day, NOW.isoformat()]
    begin = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "ripenroom", command, str(path), *as_on],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    assert process.stdout is not None
    said = process.stdout.read()
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    seconds, cpu = time.perf_counter() - begin, used.ru_utime + used.ru_stime
    print(
        f"{name:<14}{command:<10}{process.returncode:>6}{seconds:>8.1f}{cpu:>10.1f}"
        f"{used.ru_maxrss / _KIB_PER_MB:>7.0f}",
        flush=True,
    )
    if command == "plan" or process.returncode:
        print(f"  {said.strip().splitlines()[-1]}", flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
