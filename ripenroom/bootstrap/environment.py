"""The program's own Python environments: ``.venv`` beside the package, and one to bundle in.

Each holds exactly what its part of ``constraints.txt`` names (:data:`HEADINGS` begin the parts) and
the program itself, installed so that edits count at once. A stamp inside says what it was made
from, which makes the next start quick.
"""

from __future__ import annotations

import compileall
import hashlib
import importlib.metadata
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import venv
from pathlib import Path
from typing import Final, Literal

ROOT = Path(__file__).resolve().parent.parent.parent
LOCK = ROOT / "constraints.txt"
PYPROJECT = ROOT / "pyproject.toml"

Part = Literal["run", "test", "bundle"]

HEADINGS: Final[dict[Part, str]] = {
    "run": "# --- to run ---",
    "test": "# --- to test, besides ---",
    "bundle": "# --- to bundle, besides ---",
}
"""The line that each part begins with, in their order."""


def requirements(lock: str, part: Part) -> str:
    """The pinned packages that ``part`` needs, in the format of pip's requirements files.

    Testing and bundling need those of running too. A text is cut out, rather than names passed
    beside the whole file, because pip 23 takes hashes from requirements files alone.

    Raises:
        ValueError: a heading is missing, so that the parts cannot be told apart.
    """
    texts: dict[Part, str] = {}
    rest = lock
    for name, heading in reversed(HEADINGS.items()):
        rest, found, texts[name] = rest.rpartition(heading)
        if not found:
            raise ValueError(f'{LOCK.name} needs the line "{heading}"')
    return texts["run"] if part == "run" else texts["run"] + texts[part]


class SetUpError(Exception):
    """Something on this machine is missing; the message says what, and what to do about it."""


FOLDER = ROOT / ".venv"
PACKAGER = ROOT / "build" / "packager"
"""Apart from the first, so that no test tool is packed."""

STAMP = "ripenroom-stamp.json"
OLDEST_PIP = (22, 3)
"""The first pip that can fill an environment which has no pip of its own."""

_NEVER_RUN: Final = re.compile(r"site-packages.*[/\\]tests?[/\\]")
"""Where tests of packages lie, which nobody runs here."""

_BIN = "Scripts" if os.name == "nt" else "bin"
_EXE = ".exe" if os.name == "nt" else ""


def python(folder: Path = FOLDER) -> Path:
    """The interpreter of the environment in ``folder``."""
    return folder / _BIN / f"python{_EXE}"


def command(name: str, folder: Path = FOLDER) -> Path:
    """A command that is installed in the environment in ``folder``."""
    return folder / _BIN / f"{name}{_EXE}"


def prepare(part: Part, folder: Path = FOLDER) -> None:
    """Bring the environment in ``folder`` to what ``part`` needs; quick when it is there already.

    Raises:
        SetUpError: pip is missing or too old, the folder cannot be written, or the packages
            could not be fetched.
    """
    found = _read_stamp(folder)
    if found.get("part") == "test":
        part = "test"  # holds what running needs too
    wanted = stamp(part)
    if found.get("packages") != wanted["packages"]:
        _require_pip()
        _make_folder(folder)
        found = {}
    if found.get("part") != part:
        _install_packages(part, folder)
    if found.get("program") != wanted["program"]:
        _install_program(folder)
    if found != wanted:
        (folder / STAMP).write_text(json.dumps(wanted), "utf-8")
    # Python may have been told to write no bytecode, and reading source makes a slow start.
    compileall.compile_dir(ROOT / "ripenroom", quiet=2)


def stamp(part: Part) -> dict[str, str]:
    """What an environment for ``part`` is made from: a change in any of it makes it stale."""
    origin = f"{sys.version} {sys.base_prefix} {ROOT}".encode()  # the environment holds full paths
    return {
        "packages": hashlib.sha256(LOCK.read_bytes() + origin).hexdigest(),
        "program": hashlib.sha256(PYPROJECT.read_bytes()).hexdigest(),
        "part": part,
    }


def _read_stamp(folder: Path) -> dict[str, str]:
    try:
        found: dict[str, str] = json.loads((folder / STAMP).read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return found if python(folder).exists() else {}


def _require_pip() -> None:
    try:
        version = importlib.metadata.version("pip")
    except importlib.metadata.PackageNotFoundError:
        raise SetUpError(
            f"{sys.executable} has no pip, which fetches the packages. Install it: on Debian or "
            'Ubuntu "sudo apt install python3-pip", elsewhere "python3 -m ensurepip".'
        ) from None
    numbers = re.findall(r"\d+", version)
    if tuple(int(number) for number in numbers[:2]) < OLDEST_PIP:
        raise SetUpError(
            f"pip {version} is too old. Renew it: {sys.executable} -m pip install --upgrade pip"
        )


def _make_folder(folder: Path) -> None:
    """Make an empty environment, in place of one this program made earlier and of no other."""
    if folder.exists() and not (folder / STAMP).exists():
        raise SetUpError(
            f"{folder} was not made by ripenroom: rename or delete it, then try again."
        )
    try:
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True, exist_ok=True)
        (folder / STAMP).write_text("{}", "utf-8")  # ours, also when this is broken off half-way
        # Without pip: Debian keeps the copy that would be put there in a package of its own.
        venv.EnvBuilder(with_pip=False, symlinks=os.name != "nt").create(folder)
    except OSError as error:
        raise SetUpError(f"Cannot write {folder}: {error.strerror}.") from None


def _install_packages(part: Part, folder: Path) -> None:
    sys.stderr.write("Fetching the packages: some 150 MB, once; it can take minutes.\n")
    text = requirements(LOCK.read_text("utf-8"), part)
    with tempfile.TemporaryDirectory() as scratch:
        pinned = Path(scratch, "requirements.txt")
        pinned.write_text(text, "utf-8")
        # pip would compile one file after the other, and the packages' own tests too: half of all.
        _pip(folder, "--require-hashes", "--no-compile", "-r", str(pinned))
    compileall.compile_dir(folder, rx=_NEVER_RUN, quiet=2, workers=0)


def _install_program(folder: Path) -> None:
    _pip(folder, "--no-deps", "--no-build-isolation", "--editable", str(ROOT))


def _pip(folder: Path, *arguments: str) -> None:
    options = ["--quiet", "--disable-pip-version-check", "--no-input"]
    environment = os.environ | {"PIP_USER": "0", "PIP_REQUIRE_VIRTUALENV": "0"}
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "pip",
            "--python",
            str(python(folder)),
            "install",
            *options,
            *arguments,
        ],
        env=environment,
        check=False,
    )
    if done.returncode:
        raise SetUpError(
            "pip could not install the packages; its own message stands above. Is the network "
            "there, and is there room on the disk (about 1 GB)? Then try again."
        )
