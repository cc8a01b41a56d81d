"""Makes a folder that holds all the program needs, Python and Qt too, and an archive of it.

PyInstaller packs for the system it runs on. It was chosen because it takes the very packages of
``constraints.txt`` as they are, for all three systems, and needs neither a compiler, as Nuitka
below pyside6-deploy does, nor a Python of its own to fetch, as briefcase does.
"""

from __future__ import annotations

import os
import platform
import shutil
import subprocess
import sys
import tarfile
from pathlib import Path

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
