"""The bundle runs from its archive alone: no checkout, no Python, nothing set but a home."""

import os
import re
import shutil
import struct
import subprocess
import sys
import tarfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from ripenroom import __version__
from ripenroom.bootstrap import bundle
from ripenroom.bootstrap.environment import ROOT
from ripenroom.cli.command import COMMANDS
from tests.bootstrap.test_environment import WITH_PIP

pytestmark = [
    pytest.mark.long,
    pytest.mark.xdist_group("bundle"),  # built once
    pytest.mark.skipif(not sys.platform.startswith("linux"), reason="looks at Linux's libraries"),
]

OF_EVERY_SYSTEM = {
    # the C library, which has to be that of the system
    *("libc.so.6", "libm.so.6", "libdl.so.2", "libpthread.so.0", "librt.so.1", "libresolv.so.2"),
    *("libutil.so.1", "ld-linux-x86-64.so.2"),
    # what belongs to the screen's driver
    *("libEGL.so.1", "libGL.so.1", "libGLX.so.0", "libGLdispatch.so.0", "libxcb.so.1"),
    # there where there is Wayland, or a printer; else what asks for them is not loaded
    *("libwayland-client.so.0", "libwayland-cursor.so.0", "libcups.so.2"),
}
"""Libraries that are not packed; the same list stands in README.md in packages of Debian."""

_PATIENCE_S = 60.0


class Stranger:
    """A user with an empty home and the unpacked archive."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.program = folder / "ripenroom" / "ripenroom"
        self.work = folder / "work"
        self.variables = {"HOME": str(folder / "home"), "PATH": str(folder / "no programs")}
        for made in (self.work, folder / "home", folder / "no programs"):
            made.mkdir()

    def does(self, *arguments: str) -> str:
        """What a command prints; it must end well and complain of nothing."""
        done = subprocess.run(
            [self.program, *arguments],
            cwd=self.work,
            env=self.variables,
            capture_output=True,
            text=True,
            encoding="utf-8",
            check=False,
        )
        assert (done.returncode, done.stderr) == (0, "")
        return done.stdout

    def opened(self) -> bool:
        """Whether the window has noted the season as one to offer again."""
        settings = list(self.folder.joinpath("home").rglob("window.ini"))
        return bool(settings) and "farm.ripenroom" in settings[0].read_text("utf-8")

    @contextmanager
    def window(self, **variables: str) -> Iterator[subprocess.Popen[str]]:
        """The window on the season, which must not complain while it is open."""
        shown = subprocess.Popen(
            [self.program, "farm.ripenroom"],
            cwd=self.work,
            env=self.variables | variables,
            stderr=subprocess.PIPE,
            text=True,
            encoding="utf-8",
        )
        try:
            yield shown
            assert shown.poll() is None, "it ended by itself"
        finally:
            shown.terminate()
            _, complaints = shown.communicate(timeout=_PATIENCE_S)
        left = [line for line in complaints.splitlines() if "does not support" not in line]
        assert left == []


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The archive, as the command line makes it: once, also where several processes ask for it."""
    fcntl = pytest.importorskip("fcntl")
    run = os.environ.get("PYTEST_XDIST_TESTRUNUID", str(os.getpid()))
    shared = tmp_path_factory.getbasetemp().parent
    made = shared / f"bundle-{run}.txt"
    with (shared / f"bundle-{run}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not made.exists():
            made.write_text(str(_made()))
    return Path(made.read_text())


def _made() -> Path:
    line = [WITH_PIP, "-m", "ripenroom.bootstrap", "bundle"]
    kept = {name: text for name, text in os.environ.items() if name != "PYTHONPATH"}
    done = subprocess.run(line, cwd=ROOT, env=kept, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (archive,) = re.findall(r"^(.*\.tar\.gz): \d+ MB$", done.stdout, re.M)
    assert __version__ in archive
    return Path(archive)


@pytest.fixture(scope="module")
def stranger(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Stranger:
    """A user who has unpacked it, and written the practice season."""
    folder = tmp_path_factory.mktemp("a stranger")  # with a space, as home folders have
    with tarfile.open(built) as archive:
        archive.extractall(folder, filter="tar")
    user = Stranger(folder)
    user.does("demo", "farm.ripenroom")
    return user


def test_every_library_is_in_it_or_on_every_system(stranger: Stranger) -> None:
    inside = stranger.program.with_name("_internal")
    packed = {path.name for path in inside.rglob("*.so*")}
    asked = set[str]()
    for path in inside.rglob("*.so*"):
        assert path.exists(), f"{path} leads nowhere"
        told = subprocess.run(["objdump", "-p", path], capture_output=True, text=True, check=True)
        asked |= set(re.findall(r"^ *NEEDED +(\S+)", told.stdout, re.M))
    assert asked - packed <= OF_EVERY_SYSTEM


def test_nothing_in_it_is_for_tests_or_the_network(stranger: Stranger) -> None:
    names = [path.name for path in stranger.program.parent.rglob("*")]
    for unwanted in ("QtTest", "QtNetwork", "libQt6Network", "libQt6Quick", "libqvnc", "pytest"):
        assert not [name for name in names if name.startswith(unwanted)]


def test_commands_work(stranger: Stranger) -> None:
    assert stranger.does("--version") == f"ripenroom {__version__}\n"
    assert "without a screen" in stranger.does("--help")
    assert "pawpaw" in stranger.does("windows", "farm.ripenroom")
    assert stranger.does("plan", "farm.ripenroom")
    for target in ("farm.xlsx", "farm.json", "farm.ics", "tables"):
        stranger.does("export", "farm.ripenroom", target)
        assert stranger.work.joinpath(target).exists()


def test_every_command_is_in_it(stranger: Stranger) -> None:
    for name in COMMANDS:
        assert f"usage: ripenroom {name}" in stranger.does(name, "--help")


def test_the_menu_starts_the_bundle(stranger: Stranger) -> None:
    done = subprocess.run(
        [stranger.program, "desktop"],
        env=stranger.variables,
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    assert "is in the menu" in done.stdout
    (entry,) = stranger.folder.joinpath("home").rglob("ripenroom.desktop")
    assert f'Exec="{stranger.program}" %f' in entry.read_text("utf-8")


def test_the_window_opens_without_a_screen(stranger: Stranger) -> None:
    shutil.rmtree(stranger.folder / "home" / ".config", ignore_errors=True)
    with stranger.window(QT_QPA_PLATFORM="offscreen"):
        _wait_for(stranger.opened)


@pytest.mark.skipif(shutil.which("Xvfb") is None, reason="needs a virtual screen: apt install xvfb")
def test_the_window_is_painted_on_a_screen(stranger: Stranger, tmp_path: Path) -> None:
    with virtual_screen(tmp_path) as display, stranger.window(DISPLAY=display):
        # Window, menus and the queue's bands: many colours in place of the screen's one or two.
        _wait_for(lambda: len(colours_on(tmp_path / "Xvfb_screen0")) > 100)


@contextmanager
def virtual_screen(folder: Path) -> Iterator[str]:
    """An X server whose picture is kept in a file of ``folder``; its name for DISPLAY."""
    reading, writing = os.pipe()
    line = ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1366x850x24", "-nolisten", "tcp"]
    server = subprocess.Popen(
        [*line, "-fbdir", str(folder)], pass_fds=[writing], stderr=subprocess.DEVNULL
    )
    os.close(writing)
    try:
        with os.fdopen(reading) as told:
            yield f":{told.readline().strip()}"
    finally:
        server.terminate()
        server.wait(_PATIENCE_S)


def colours_on(screen: Path) -> set[bytes]:
    """The colours in a screen's picture, which X keeps in its window dump format (XWDFile.h)."""
    dump = screen.read_bytes()
    header = struct.unpack(">25I", dump[:100])
    size, bits_per_pixel, colormap_entries = header[0], header[11], header[19]
    pixels = dump[size + 12 * colormap_entries :]
    step = bits_per_pixel // 8
    return {pixels[n : n + step] for n in range(0, len(pixels) - step + 1, step)}


def _wait_for(done: Callable[[], bool]) -> None:
    end = time.monotonic() + _PATIENCE_S
    while not done():
        assert time.monotonic() < end, "it did not come"
        time.sleep(0.2)
    time.sleep(1.0)  # what goes wrong just after it counts too


def test_sizes_are_told_of_files_and_folders(stranger: Stranger, built: Path) -> None:
    assert bundle.megabytes(built) == pytest.approx(built.stat().st_size / 1e6)
    assert bundle.megabytes(stranger.program.parent) > bundle.megabytes(built)
