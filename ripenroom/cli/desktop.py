"""``ripenroom desktop``: into the menu of a Linux desktop, where a double click opens a season."""

import argparse
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path
from typing import Final

from ripenroom.cli.answer import FINE, say_aside, say_bad_use
from ripenroom.cli.output import after_writing
from ripenroom.paths import resource, shared_data_folder
from ripenroom.private_file import private_file, private_folder
from ripenroom.texts import noted, tr

_PLACES: Final = {
    "ripenroom.desktop": Path("applications", "ripenroom.desktop"),
    "ripenroom.svg": Path("icons", "hicolor", "scalable", "apps", "ripenroom.svg"),
    "ripenroom.xml": Path("mime", "packages", "ripenroom.xml"),
}
"""Shipped file to its place below the user's data folder, by freedesktop.org's Desktop Entry,
Icon Theme and Shared MIME-info specifications."""

_INDEXERS: Final = {
    "update-desktop-database": (Path("applications"), "desktop-file-utils"),
    "update-mime-database": (Path("mime"), "shared-mime-info"),
}
"""Program that reads a folder anew, to that folder and the Debian package it comes from."""

_ELSEWHERE: Final = noted(
    "This puts ripenroom into the menu of a Linux desktop. On Windows, right-click a season file, "
    "choose Open with, then Choose another app, and pick {command}; on macOS, type "
    "“ripenroom SEASON” in Terminal."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``desktop``."""
    parser.add_argument("--remove", action="store_true", help=tr("take it out of the menu again"))


def run(options: argparse.Namespace) -> int:
    """Put desktop entry, icon and file type among the user's own, or take them away."""
    if not sys.platform.startswith("linux"):
        return say_bad_use(tr(_ELSEWHERE).format(command=" ".join(command())))
    below = shared_data_folder()
    if options.remove:
        _remove(below)
        done = tr("ripenroom is out of the menu. Your seasons stay where they are.")
    else:
        _write(below)
        done = tr("ripenroom is in the menu, and a double click on a season file opens it.")
    with after_writing(done.removesuffix(".")):
        print(done)
    for package in _missing_indexers(below):
        say_aside(
            tr(
                "That may show only when the package {package} is installed; then repeat this."
            ).format(package=package)
        )
    return FINE


def command() -> list[str]:
    """What starts this very installation, by its full path."""
    if getattr(sys, "frozen", False):  # a bundle is itself the program, not a Python
        return [sys.executable]
    if script := shutil.which("ripenroom", path=sysconfig.get_path("scripts")):
        return [script]
    return [sys.executable, "-m", "ripenroom"]


def desktop_entry(shipped: str, command: list[str]) -> str:
    r"""The shipped desktop entry, started by a full path: menus do not search where pip installs.

    Quoted by "The Exec key" and "Basic types" of the Desktop Entry Specification 1.5: special
    letters of an argument take a backslash within quotes, and every backslash a second one.

    >>> print(desktop_entry("Exec=ripenroom %f", ["/home/a $b/ripenroom"]))
    Exec="/home/a \\$b/ripenroom" %f
    """
    exec_key = " ".join(map(_quoted, command))
    given = {"TryExec": command[0], "Exec": f"{exec_key} %f"}
    lines = []
    for line in shipped.splitlines():
        key = line.partition("=")[0]
        lines.append(f"{key}={given[key]}".replace("\\", r"\\") if key in given else line)
    return "\n".join(lines)


def _quoted(argument: str) -> str:
    for special in '\\"`$':
        argument = argument.replace(special, f"\\{special}")
    return '"{}"'.format(argument.replace("%", "%%"))


def _write(below: Path) -> None:
    for name, place in _PLACES.items():
        text = resource("desktop", name).read_text("utf-8")
        if place.suffix == ".desktop":
            text = desktop_entry(text, command()) + "\n"
        private_folder((below / place).parent)
        with private_file(below / place) as unfinished:
            unfinished.write_text(text, "utf-8")


def _remove(below: Path) -> None:
    for place in _PLACES.values():
        (below / place).unlink(missing_ok=True)


def _missing_indexers(below: Path) -> list[str]:
    """Have the folders read anew; the Debian packages of what would do so and is not here."""
    missing = []
    for program, (folder, package) in _INDEXERS.items():
        if shutil.which(program) is None:
            missing.append(package)
        elif (below / folder).is_dir():
            subprocess.run(
                [program, below / folder],
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                check=False,
            )
    return missing
