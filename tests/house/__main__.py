"""``python -m tests.house``: print how far the way of a pick is, and what the imports tell."""

import argparse
import os
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

# Qt ends the process when it finds no screen, so this must stand before anything imports PySide6.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtWidgets import QApplication

from ripenroom.season.practice import write_demo
from tests.house.imports import Circle, circles_of_modules, circles_of_siblings, doors, imports
from tests.house.passage import Passage
from tests.house.pick import ROOT, from_pick_to_queue
from tests.house.rooms import all_rooms, rooms


def main(arguments: Sequence[str]) -> int:
    """Print all figures; returns the exit code."""
    parser = argparse.ArgumentParser(prog="python -m tests.house", description=__doc__)
    parser.add_argument("--list", action="store_true", help="also print what was counted")
    listed = parser.parse_args(arguments).list
    with tempfile.TemporaryDirectory() as scratch:
        passage = _passage(Path(scratch))
    graph = imports()
    modules, siblings = circles_of_modules(graph), circles_of_siblings(graph)
    entered = doors(graph, "ripenroom.window", "ripenroom.season")
    print(f"{'':52}{'now':>8}{'goal':>8}")
    _line("files, from Enter in the pick form to the queue", len(passage.files), 75)
    _line("functions on that way", len(passage.functions))
    _line("names of the season on that way", len(passage.names), 40)
    _line("circles of modules", len(modules), 0)
    _line("circles of modules and folders in one folder", len(siblings), 0)
    _line("doors of the window into the season", len(entered), 12)
    print()
    _print_rooms()
    if listed:
        _print_lists(passage, {"modules": modules, "siblings": siblings}, entered)
    return 0


def _passage(scratch: Path) -> Passage:
    # Copies that the window keeps go there too, not among the user's own.
    os.environ["XDG_DATA_HOME"] = os.environ["APPDATA"] = str(scratch)
    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    season = scratch / "practice.ripenroom"
    write_demo(season)
    return from_pick_to_queue(app, season, scratch)


def _line(what: str, now: int, goal: int | None = None) -> None:
    print(f"{what:52}{now:>8,}{'' if goal is None else goal:>8}")


def _print_rooms() -> None:
    print(f"{'room':12}{'modules':>10}{'bare':>8}{'lines':>10}{'median':>10}")
    for room in [*rooms(ROOT), all_rooms(ROOT)]:
        print(
            f"{room.name or '(beside)':12}{room.modules:>10}{room.bare:>8}"
            f"{room.lines:>10,}{room.median_lines:>10}"
        )


def _print_lists(
    passage: Passage, circles: dict[str, list[Circle]], entered: Sequence[str]
) -> None:
    _print_list("files of the pick", passage.files)
    _print_list("names", [f"{n.file}: {n.function}: {n.name}" for n in sorted(passage.names)])
    for what, found in circles.items():
        _print_list(f"circles of {what}", [", ".join(circle) for circle in found])
    _print_list("doors", entered)


def _print_list(title: str, items: Sequence[str]) -> None:
    print(f"\n{title}:")
    for item in items:
        print(f"  {item}")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
