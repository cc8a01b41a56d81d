"""The set-up's command line: get ready, then start the program, its tests or its packager."""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from collections.abc import Mapping, Sequence

from ripenroom.bootstrap import bundle as bundling
from ripenroom.bootstrap import environment, system
from ripenroom.bootstrap.environment import ROOT, SetUpError

NO_SCREEN = """\
There is no screen here (neither DISPLAY nor WAYLAND_DISPLAY is set), so no window can open.
The command line needs none: {command} --help"""


def has_screen(platform: str, variables: Mapping[str, str]) -> bool:
    """Whether a window can open: always off Linux, on it if a display or a platform is named."""
    names = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    return not platform.startswith("linux") or any(variables.get(name) for name in names)


def run(_: Sequence[str]) -> int:
    """Open the program with its practice season."""
    program = environment.command("ripenroom")
    if not has_screen(sys.platform, os.environ):
        environment.prepare("run")  # what the message offers is then there
        raise SetUpError(NO_SCREEN.format(command=program))
    system.provide(screen=os.environ.get("QT_QPA_PLATFORM") != "offscreen")
    environment.prepare("run")
    return subprocess.call([program, "--demo"])


def test(arguments: Sequence[str]) -> int:
    """Run the tests on every core at once; what follows goes to pytest too, such as --long."""
    system.provide(screen=False)
    environment.prepare("test")
    # Tests of one file share what takes long to make; of long runs a file may hold too many for one
    # process, and those that share something are of one group. What is given comes last, and wins.
    together = "loadgroup" if "--long" in arguments else "loadfile"
    how = ("-n", "auto", "--dist", together, *arguments)
    # Where Python is told to keep no bytecode, every process would compile all tests every time.
    kept = {name: text for name, text in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return subprocess.call([environment.python(), "-m", "pytest", *how], cwd=ROOT, env=kept)


def bundle(_: Sequence[str]) -> int:
    """Write the program with all it needs into dist/, as a folder and an archive of it."""
    system.provide(screen=True)  # what a window needs is packed if it is here
    for path in bundling.make():
        sys.stdout.write(f"{path}: {bundling.megabytes(path):.0f} MB\n")
    return 0


def packages(_: Sequence[str]) -> int:
    """Print the Debian packages that Qt can need."""
    sys.stdout.write(" ".join(system.packages()) + "\n")
    return 0


def main(arguments: Sequence[str]) -> int:
    """Carry out one command; the exit code is that of what it started.

    A set-up that cannot be finished says why, and ends with 1.
    """
    parser = argparse.ArgumentParser(prog="python3 -m ripenroom.bootstrap", description=__doc__)
    commands = parser.add_subparsers(dest="name", required=True)
    for does in (run, test, bundle, packages):
        commands.add_parser(does.__name__, help=does.__doc__).set_defaults(does=does)
    known, others = parser.parse_known_args(arguments)
    if others and known.does is not test:
        parser.error(f"{known.name} takes nothing more: {' '.join(others)}")
    try:
        code: int = known.does(others)
    except SetUpError as trouble:
        sys.stderr.write(f"{trouble}\n")
        return 1
    except KeyboardInterrupt:
        return 130
    return code
