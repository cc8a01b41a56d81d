"""Reads the command line and hands over to one command."""

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn

from ripenroom import __version__
from ripenroom.cli import (
    add_pick,
    bring_in,
    checks,
    desktop,
    export,
    logs,
    pack,
    plan,
    season_files,
    setpoints,
    today,
    windows,
)
from ripenroom.cli.answer import (
    FINE,
    UNPRINTED,
    say_aside,
    say_bad_use,
    say_file_refused,
    say_refused,
    say_stopped,
)
from ripenroom.cli.output import Unprinted, printing, season_printed_into
from ripenroom.records.refusal import Refusal
from ripenroom.season.season import FileRefusal


def why_no_window() -> str | None:
    """Why no window can be opened, in words; None if one can.

    Qt ends the whole process where it finds no display, so it is asked first.
    """
    if not sys.platform.startswith("linux"):
        return None
    if any(os.environ.get(name) for name in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY")):
        return None
    return (
        "There is no screen here to open a window on. "
        "The commands demo, windows, today, plan, checks, pack, setpoints, rooms, export, "
        "add-pick, import, log, merge, rescue, verify and desktop need none "
        "(see: ripenroom --help)."
    )


Run = Callable[[argparse.Namespace], int]

COMMANDS: dict[str, tuple[str, Callable[[argparse.ArgumentParser], None], Run]] = {
    "demo": (
        "write the practice season to FILE",
        season_files.add_demo_arguments,
        season_files.run_demo,
    ),
    "windows": ("print the eat-by window of every batch", windows.add_arguments, windows.run),
    "today": (
        "print what to do today, in its order, and why the rest stays",
        today.add_arguments,
        today.run,
    ),
    "plan": ("print which crates go to which market day", plan.add_arguments, plan.run),
    "checks": ("print which batches to squeeze today", checks.add_arguments, checks.run),
    "pack": (
        "print what to pack for a market day, or write down what was squeezed and packed",
        pack.add_arguments,
        pack.run,
    ),
    "setpoints": (
        "print what cold and ripening rooms are best set to",
        setpoints.add_arguments,
        setpoints.run,
    ),
    "export": (
        "write everything to a spreadsheet, JSON or calendar file",
        export.add_arguments,
        export.run,
    ),
    "rooms": (
        "print what temperature logs tell of places",
        logs.add_rooms_arguments,
        logs.run_rooms,
    ),
    "log": ("take a thermometer's file into a place", logs.add_log_arguments, logs.run_log),
    "add-pick": ("write down a pick", add_pick.add_arguments, add_pick.run),
    "import": (
        "write down rows of a table, or make a season of its JSON",
        bring_in.add_arguments,
        bring_in.run,
    ),
    "merge": (
        "bring in what was changed in another copy of a season",
        season_files.add_merge_arguments,
        season_files.run_merge,
    ),
    "rescue": (
        "put what can be read of a damaged season file into a new one",
        season_files.add_rescue_arguments,
        season_files.run_rescue,
    ),
    "verify": (
        "look a season file over",
        season_files.add_verify_arguments,
        season_files.run_verify,
    ),
    "desktop": (
        "put ripenroom into the menu of a Linux desktop",
        desktop.add_arguments,
        desktop.run,
    ),
}


class _Parser(argparse.ArgumentParser):
    """A parser that answers bad use in one line, like every other refusal."""

    def error(self, message: str) -> NoReturn:
        sys.exit(say_bad_use(f"{message} (see: {self.prog} --help)"))


def main(arguments: Sequence[str] | None = None) -> int:
    """Do what the command line asks; the exit code (see :mod:`ripenroom.cli.answer`)."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    if season := season_printed_into(given):
        return say_bad_use(f"{season} would be written into. Print to somewhere else.")
    try:
        with printing():
            return _obey(given)
    except Refusal as refusal:
        return say_refused(refusal)
    except FileRefusal as refusal:
        return say_file_refused(refusal)
    except Unprinted as unprinted:
        say_aside(str(unprinted))
        return UNPRINTED
    except BrokenPipeError:
        return FINE  # whoever read our output has heard enough, such as `head`
    except OSError as error:
        return say_stopped(error)
    except MemoryError:
        return say_bad_use(
            "There is too little memory to work this out. Close other programs, or delete moves, "
            "places and market days that are not needed."
        )


def _obey(given: Sequence[str]) -> int:
    if given and given[0] in COMMANDS:
        help_text, add_arguments, run = COMMANDS[given[0]]
        parser = _Parser(prog=f"ripenroom {given[0]}", description=help_text)
        add_arguments(parser)
        return run(parser.parse_args(given[1:]))
    return _open_window(_window_parser().parse_args(given))


def _window_parser() -> argparse.ArgumentParser:
    listed = "\n".join(f"  {name:<10}{about}" for name, (about, _, _) in COMMANDS.items())
    parser = _Parser(
        prog="ripenroom",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        description="From a pick to an eat-by window. Opens a season in the window.",
        epilog=f"without a screen:\n{listed}\n\n`ripenroom COMMAND --help` tells more.",
    )
    parser.add_argument("season", nargs="?", type=Path, help="season file to open")
    parser.add_argument("--demo", action="store_true", help="open the practice season")
    parser.add_argument("--version", action="version", version=f"ripenroom {__version__}")
    return parser


def _open_window(options: argparse.Namespace) -> int:
    if options.demo and options.season:
        return say_bad_use("give a season file or --demo, not both")
    if reason := why_no_window():
        return say_bad_use(reason)
    from ripenroom.window.app import run_window

    return run_window(options.season, demo=options.demo)
