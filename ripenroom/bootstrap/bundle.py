"""Makes a folder that holds all the program needs, Python and Qt too, and an archive of it.

PyInstaller packs for the system it runs on. It was chosen because it takes the very packages of
``constraints.txt`` as they are, for all three systems, and needs neither a compiler, as Nuitka
below pyside6-deploy does, nor a Python of its own to fetch, as briefcase does. Its recipe asks here
what is left out: only names are looked at, so that this runs without the packager.
"""

from __future__ import annotations

import os
import platform
import re
import shutil
import subprocess
import sys
import tarfile
from collections import defaultdict
from collections.abc import Callable, Iterable
from pathlib import Path, PurePosixPath
from posixpath import normpath
from typing import Final, TypeAlias

from ripenroom import __version__
from ripenroom.bootstrap import environment
from ripenroom.bootstrap.environment import ROOT, SetUpError

TARGET = ROOT / "dist"
SPEC = Path(__file__).with_name("ripenroom.spec")
WORK = ROOT / "build" / "pyinstaller"


def make(target: Path = TARGET) -> tuple[Path, Path]:
    """Write folder and archive into ``target``, in place of earlier ones; their paths.

    Raises:
        SetUpError: the packages could not be fetched, or PyInstaller gave up.
    """
    if sys.platform.startswith("linux") and shutil.which("objdump") is None:
        raise SetUpError(
            "PyInstaller looks into libraries with objdump, which is not here. It is in the "
            "package binutils: sudo apt install binutils"
        )
    environment.prepare("bundle", environment.PACKAGER)
    _pack(target)
    folder = target / ("ripenroom.app" if sys.platform == "darwin" else "ripenroom")
    return folder, _archive(folder)


def megabytes(path: Path) -> float:
    """Size of a file, or of all files in a folder, in MB of a million bytes."""
    files = [path] if path.is_file() else path.rglob("*")
    return sum(file.lstat().st_size for file in files if not file.is_dir()) / 1e6


def _pack(target: Path) -> None:
    line: list[str | Path] = [environment.python(environment.PACKAGER), "-m", "PyInstaller"]
    line += ["--noconfirm", "--clean", "--log-level", "ERROR"]
    line += ["--distpath", target, "--workpath", WORK, SPEC]
    kept = {name: text for name, text in os.environ.items() if not name.startswith("PYTHON")}
    if subprocess.run(line, cwd=ROOT, env=kept, check=False).returncode:
        raise SetUpError("PyInstaller could not pack the program; its own message stands above.")


def _archive(folder: Path) -> Path:
    """What is handed on: as Windows opens it, elsewhere so that links and modes are kept."""
    system = {"darwin": "macos", "win32": "windows"}.get(sys.platform, sys.platform)
    name = f"ripenroom-{__version__}-{system}-{platform.machine().lower()}"
    base = folder.parent / name
    if sys.platform == "win32":
        return Path(shutil.make_archive(str(base), "zip", folder.parent, folder.name))
    path = base.with_name(f"{name}.tar.gz")
    with tarfile.open(path, "w:gz", compresslevel=6) as archive:
        archive.add(folder, folder.name)
    return path


Entry: TypeAlias = tuple[str, str, str]
"""A file of the bundle as PyInstaller lists it: its place there, where it comes from, its kind.

Of a link (``SYMLINK``), the second is what it points to, from its own folder.
"""

MODULES: Final = [
    # pyqtgraph asks for these where they are, and draws nothing of ours by them
    *(
        f"PySide6.Qt{name}"
        for name in ("DBus", "Network", "OpenGL", "OpenGLWidgets", "Svg", "Test")
    ),
    "pyqtgraph.examples",
    "pyqtgraph.opengl",
    # another window system, and tests of packages (numpy.testing is not for those alone)
    "tkinter",
    "pandas.tests",
    "scipy.conftest",
    # the packages to build the program with
    "hatchling",
    "setuptools",
    "trove_classifiers",
]
"""Python modules, each with all below it."""

_PLUGINS: Final[dict[str, set[str]]] = {
    "iconengines": {"qsvgicon"},
    "imageformats": {"qico", "qsvg"},
    "platforms": {"qcocoa", "qoffscreen", "qwayland", "qwindows", "qxcb"},
    "platforminputcontexts": {
        "composeplatforminputcontextplugin",
        "ibusplatforminputcontextplugin",
    },
    "platformthemes": {"qxdgdesktopportal"},  # the desktop's own file dialogs
    "printsupport": {"cupsprintersupport"},
    "styles": {"qmacstyle", "qmodernwindowsstyle"},
    "wayland-decoration-client": {"bradient"},
    "wayland-shell-integration": {"xdg-shell"},
}
"""Qt's plug-ins that are packed, by kind."""

_PLUGIN = re.compile(r"/plugins/([\w-]+)/(?:lib)?([\w-]+)\.")
_UNUSED = re.compile(
    r"PySide6/(?:Qt/)?translations/(?!qtbase_)"  # its own dialogs speak as the window does
    r"|\.pyi$"  # for type checkers
    r"|ripenroom/resources/pictures/"  # of README.md
    r"|libcups\.so"  # printers are found where the system's own is there, and not without
)


def is_left_out(place: str) -> bool:
    """Whether a file is of no use to this program, by its place in the bundle.

    >>> is_left_out("PySide6/Qt/plugins/platforms/libqvnc.so")
    True
    >>> is_left_out("PySide6/Qt/plugins/platforms/libqxcb.so")
    False
    """
    place = place.replace("\\", "/")
    if found := _PLUGIN.search(place):
        kind, name = found.groups()
        return name not in _PLUGINS.get(kind, set())
    return _UNUSED.search(place) is not None


def trimmed(entries: Iterable[Entry], libraries_of: Callable[[str], Iterable[str]]) -> list[Entry]:
    """The entries without what is left out, and without libraries that only such asked for.

    ``libraries_of`` names the libraries that a file is linked to. Python's modules, Qt's plug-ins
    and Python itself are loaded by name, and so need nobody who asks for them.
    """
    left = [entry for entry in entries if not is_left_out(entry[0])]
    libraries = [entry for entry in left if entry[2] == "BINARY"]
    by_name: dict[str, list[Entry]] = defaultdict(list)
    for entry in libraries:
        by_name[PurePosixPath(entry[0]).name].append(entry)
    todo = [e for e in left if e[2] == "EXTENSION"]
    todo += [e for e in libraries if _PLUGIN.search(e[0]) or "libpython" in e[0]]
    needed: set[str] = set()
    while todo:
        place, source, _ = todo.pop()
        if place not in needed:
            needed.add(place)
            todo += [library for name in libraries_of(source) for library in by_name[name]]
    lost = {place for place, *_ in libraries} - needed
    return [entry for entry in left if _target(entry) not in lost]


def _target(entry: Entry) -> str:
    """The place of a file, or of what a link points to."""
    place, source, kind = entry
    return normpath(PurePosixPath(place).parent / source) if kind == "SYMLINK" else place
