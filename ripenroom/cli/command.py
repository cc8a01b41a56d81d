"""Reads the command line and hands over to one command, whose code is imported when it runs."""

import argparse
import gc
import os
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from pathlib import Path
from typing import NamedTuple, NoReturn

from ripenroom import __version__
from ripenroom.cli import argparse_texts
from ripenroom.cli.answer import (
    FINE,
    UNPRINTED,
    say_aside,
    say_bad_use,
    say_other,
    say_stopped,
)
from ripenroom.cli.output import Unprinted, printing, season_printed_into
from ripenroom.texts import (
    best_of,
    locale_of,
    noted,
    tr,
    use_language,
    use_locale,
    wanted_by,
)


def why_no_window() -> str | None:
    """Why no window can be opened, in words; None if one can.

    Qt ends the whole process where it finds no display, so it is asked first.
    """
    if not sys.platform.startswith("linux"):
        return None
    if any(os.environ.get(name) for name in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY")):
        return None
    *most, last = COMMANDS
    return tr(
        "There is no screen here to open a window on. The commands {most} and {last} need none "
        "(see: ripenroom --help)."
    ).format(most=", ".join(most), last=last)


Run = Callable[[argparse.Namespace], int]


class Command(NamedTuple):
    """What a command is for, and the module of :mod:`ripenroom.cli` that has its functions.

    ``name`` tells them from those of other commands in the same module.
    """

    about: str
    module: str
    name: str = ""

    def loaded(self) -> tuple[Callable[[argparse.ArgumentParser], None], Run]:
        """What adds its arguments to a parser, and what runs it."""
        module = import_module(f"ripenroom.cli.{self.module}")
        if not self.name:
            return module.add_arguments, module.run
        return getattr(module, f"add_{self.name}_arguments"), getattr(module, f"run_{self.name}")


COMMANDS = {
    "demo": Command(noted("write the practice season to FILE"), "season_files", "demo"),
    "windows": Command(noted("print the eat-by window of every batch"), "reports", "windows"),
    "today": Command(
        noted("print what to do today, in its order, and why the rest stays"), "reports", "today"
    ),
    "plan": Command(noted("print which crates go to which market day"), "reports", "plan"),
    "checks": Command(noted("print which batches to squeeze today"), "reports", "checks"),
    "pack": Command(
        noted("print what to pack for a market day, or enter what was squeezed and packed"),
        "pack",
    ),
    "setpoints": Command(
        noted("print how best to set cold and ripening rooms"), "reports", "setpoints"
    ),
    "export": Command(
        noted("export everything to a spreadsheet, JSON or calendar file"), "exchange", "export"
    ),
    "rooms": Command(noted("print what temperature logs say of places"), "logs", "rooms"),
    "log": Command(noted("import a thermometer's file"), "logs", "log"),
    "rows": Command(
        noted("print what is on the trees of every row, and what to pick of it"), "orchard", "rows"
    ),
    "walk": Command(noted("save what was felt on the trees of a row"), "orchard", "walk"),
    "weather": Command(
        noted("import each day's coldest and warmest from a file"), "orchard", "weather"
    ),
    "add-pick": Command(noted("enter a pick"), "add_pick"),
    "import": Command(noted("import rows of a table, or a season from JSON"), "exchange", "import"),
    "merge": Command(
        noted("bring in what was changed in another copy of a season"), "season_files", "merge"
    ),
    "rescue": Command(
        noted("put what can be read of a damaged season file into a new one"),
        "season_files",
        "rescue",
    ),
    "verify": Command(noted("check that a season file is sound"), "season_files", "verify"),
    "desktop": Command(noted("put ripenroom into the menu of a Linux desktop"), "desktop"),
}


class _Parser(argparse.ArgumentParser):
    """A parser that answers bad use in one line, like every other refusal."""

    def error(self, message: str) -> NoReturn:
        sys.exit(
            say_bad_use(
                tr("{message} (see: {program} --help)").format(message=message, program=self.prog)
            )
        )


def main(arguments: Sequence[str] | None = None) -> int:
    """Do what the command line asks; the exit code (see :mod:`ripenroom.cli.answer`)."""
    if arguments is None:
        # The process is ours, and soon over or a window's, which looks for garbage by itself
        # (window/app.py). To look for it in all that is imported is a tenth of what a short
        # command takes; a plan of 200 batches and 40 market days leaves 8 MB of it.
        gc.disable()
    use_language(best_of(wanted_by(os.environ)))
    use_locale(locale_of(os.environ))
    argparse_texts.translate()
    given = list(sys.argv[1:] if arguments is None else arguments)
    if season := season_printed_into(given):
        return say_bad_use(
            tr("{season} would be written into. Print to somewhere else.").format(season=season)
        )
    try:
        with printing():
            return _obey(given)
    except Unprinted as unprinted:
        say_aside(str(unprinted))
        return UNPRINTED
    except BrokenPipeError:
        return FINE  # whoever read our output has heard enough, such as `head`
    except OSError as error:
        return say_stopped(error)
    except MemoryError:
        return say_bad_use(
            tr(
                "There is too little memory to work this out. Close other programs, or "
                "delete moves, places and market days that are not needed."
            )
        )
    except Exception as error:
        if (code := say_other(error)) is None:
            raise
        return code


def _obey(given: Sequence[str]) -> int:
    if given and given[0] in COMMANDS:
        command = COMMANDS[given[0]]
        add_arguments, run = command.loaded()
        parser = _Parser(prog=f"ripenroom {given[0]}", description=tr(command.about))
        add_arguments(parser)
        parser.usage = argparse_texts.usage_of(parser)
        return run(parser.parse_intermixed_args(given[1:]))
    return _open_window(_window_parser().parse_args(given))


def _window_parser() -> argparse.ArgumentParser:
    listed = "\n".join(f"  {name:<10}{tr(about)}" for name, (about, *_) in COMMANDS.items())
    parser = _Parser(
        prog="ripenroom",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        description=tr("From a pick to an eat-by window. Opens a season in the window."),
        epilog=tr("without a screen:\n{commands}\n\n`ripenroom COMMAND --help` tells more.").format(
            commands=listed
        ),
    )
    parser.add_argument("season", nargs="?", type=Path, help=tr("season file to open"))
    parser.add_argument("--demo", action="store_true", help=tr("open the practice season"))
    parser.add_argument(
        "--version",
        action="version",
        version=f"ripenroom {__version__}",
        help=tr("show program's version number and exit"),
    )
    return parser


def _open_window(options: argparse.Namespace) -> int:
    if options.demo and options.season:
        return say_bad_use(tr("give a season file or --demo, not both"))
    if reason := why_no_window():
        return say_bad_use(reason)
    # PySide reads the source of every module that is imported after it, in search of its name: what
    # knows no Qt comes first.
    import ripenroom.season.actions
    import ripenroom.season.season  # noqa: F401
    from ripenroom.window.app import run_window

    return run_window(options.season, demo=options.demo)
