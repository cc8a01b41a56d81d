"""The system libraries that Qt's wheels lean on and a bare Linux lacks.

Without them even a window that is never shown ends in ``ImportError: libGL.so.1``, or in an abort
that names nothing. Windows and macOS bring their own.
"""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from ripenroom.bootstrap.environment import SetUpError

FOR_QT: Final[Mapping[str, str]] = {
    "libglib-2.0.so.0": "libglib2.0-0",
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
}
"""Library to Debian package: what Qt needs even when nothing is shown."""

FOR_SCREEN: Final[Mapping[str, str]] = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
"""Library to Debian package: what a window on a real screen needs besides."""

FONTS: Final = "fonts-dejavu-core"
FONT_FOLDERS: Final = (Path("/usr/share/fonts"), Path("/usr/local/share/fonts"))


def packages() -> list[str]:
    """All Debian packages that the program can need, by the names of Debian 12."""
    return [*FOR_QT.values(), FONTS, *FOR_SCREEN.values()]


def missing(screen: bool) -> list[str]:
    """The Debian packages whose libraries (or fonts) this machine lacks; none off Linux."""
    if not sys.platform.startswith("linux"):
        return []
    needed = {**FOR_QT, **FOR_SCREEN} if screen else FOR_QT
    lacking = [package for library, package in needed.items() if not _loads(library)]
    has_font = any(next(folder.rglob("*.[to]tf"), None) for folder in FONT_FOLDERS)
    return lacking if has_font else [*lacking, FONTS]


def provide(screen: bool) -> None:
    """Install what is missing where that is allowed, else say how to.

    Raises:
        SetUpError: something is missing and this user cannot install it, or apt failed.
    """
    lacking = missing(screen)
    if not lacking:
        return
    names = " ".join(lacking)
    if shutil.which("apt-get") is None:
        raise SetUpError(
            "Qt needs system libraries that are not here. By their Debian names they are: "
            f"{names}. Install your system's packages for them, then try again."
        )
    if os.geteuid() != 0:
        raise SetUpError(
            "Qt needs system libraries that are not here. Install them, then try again:\n"
            f"sudo apt install --no-install-recommends {names}"
        )
    sys.stderr.write(f"Installing system libraries: {names}\n")
    _apt_get("update")
    # Debian 13 and Ubuntu 24.04 renamed libglib2.0-0; apt takes the old name for the new.
    _apt_get("install", "--yes", "--no-install-recommends", *lacking)
    if still := missing(screen):
        raise SetUpError(f"apt installed its packages, yet Qt still lacks: {' '.join(still)}.")


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def _apt_get(*arguments: str) -> None:
    done = subprocess.run(
        ["apt-get", "-qq", *arguments],
        env=os.environ | {"DEBIAN_FRONTEND": "noninteractive"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    if done.returncode:
        raise SetUpError(f"{done.stdout}apt-get {arguments[0]} failed; its words stand above.")
