"""The built wheel holds all that the program needs, and works away from the checkout."""

import os
import re
import subprocess
import sys
import tarfile
import venv
from pathlib import Path
from zipfile import ZipFile

import pytest

from ripenroom import __version__
from ripenroom.bootstrap import environment
from ripenroom.bootstrap.environment import LOCK, ROOT, requirements
from tests.bootstrap.test_environment import WITH_PIP

pytestmark = pytest.mark.xdist_group("wheel")  # built and installed once

WHEEL = f"ripenroom-{__version__}-py3-none-any.whl"
SOURCES = f"ripenroom-{__version__}.tar.gz"

_SCREENLESS = "This plugin does not support"
"""What Qt's screenless platform says of window hints, as in pyproject.toml."""

_IN_THE_WINDOW = """
import sys
from pathlib import Path
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from ripenroom.window.app import run_window
from ripenroom.window.main_window import MainWindow
from ripenroom.window.shell.page_stack import PAGES

def look_and_close():
    for window in QApplication.topLevelWidgets():
        if isinstance(window, MainWindow):
            for page in PAGES:
                window.desk.go_to(page)
                QApplication.processEvents()
            print(window.windowTitle())
            assert not window.windowIcon().pixmap(32).isNull()
            window.close()

application = QApplication([])
QTimer.singleShot(0, look_and_close)
sys.exit(run_window(Path(sys.argv[1])))
"""


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the archive of sources, and the wheel that was built out of that archive."""
    folder = tmp_path_factory.mktemp("dist")
    _build(ROOT, folder, "sdist")
    with tarfile.open(folder / SOURCES) as archive:
        # Pythons before 3.11.4 have no such filter; the archive is our own.
        kept = {"filter": "data"} if hasattr(tarfile, "data_filter") else {}
        archive.extractall(folder, **kept)  # type: ignore[arg-type]
    _build(folder / SOURCES.removesuffix(".tar.gz"), folder, "wheel")
    return folder


def _build(root: Path, target: Path, kind: str) -> None:
    hatchling = [sys.executable, "-m", "hatchling", "build", "--target", kind]
    subprocess.run(
        [*hatchling, "--directory", str(target)], cwd=root, check=True, capture_output=True
    )


def shipped() -> set[str]:
    """The files that a wheel must hold, by their names in it."""
    package = ROOT.joinpath("ripenroom").rglob("*.py")
    resources = (path for path in ROOT.joinpath("resources").rglob("*") if path.is_file())
    names = {path.relative_to(ROOT).as_posix() for path in package}
    names |= {f"ripenroom/{path.relative_to(ROOT).as_posix()}" for path in resources}
    of_the_checkout = ("ripenroom/bootstrap/", "ripenroom/resources/pictures/")
    return {name for name in names if not name.startswith(of_the_checkout)}


def test_a_wheel_built_from_the_sources_holds_package_and_resources(built: Path) -> None:
    with ZipFile(built / WHEEL) as wheel:
        held = {name for name in wheel.namelist() if ".dist-info/" not in name}
    assert held == shipped()


class Program:
    """The program somewhere else, called from a folder that knows no checkout."""

    def __init__(self, command: list[str | Path], python: list[str | Path], folder: Path) -> None:
        self._command = command
        self._python = python
        self.folder = folder / "work"
        self.folder.mkdir()
        kept = {name: text for name, text in os.environ.items() if not name.startswith("PYTHON")}
        own = dict.fromkeys(("XDG_DATA_HOME", "XDG_CONFIG_HOME", "APPDATA"), str(folder / "own"))
        self.environment = {**kept, **own}

    def does(self, *arguments: str) -> str:
        """What a command prints; it must end well and complain of nothing."""
        return self._run(*self._command, *arguments)

    def runs(self, code: str, *arguments: str) -> str:
        """What some Python prints that imports the package."""
        return self._run(*self._python, "-c", code, *arguments)

    def _run(self, *command: str | Path) -> str:
        done = subprocess.run(
            command,
            cwd=self.folder,
            env=self.environment,
            capture_output=True,
            text=True,
            encoding="utf-8",
            check=False,
        )
        complaints = [line for line in done.stderr.splitlines() if _SCREENLESS not in line]
        assert (done.returncode, complaints) == (0, [])
        return done.stdout


def laid_out(wheel: Path, folder: Path) -> Program:
    """The wheel's files alone, run with the packages of this environment."""
    with ZipFile(wheel) as files:
        files.extractall(folder / "site")
    python: list[str | Path] = [sys.executable, "-P"]
    program = Program([*python, "-m", "ripenroom"], python, folder)
    program.environment["PYTHONPATH"] = str(folder / "site")
    return program


def installed(wheel: Path, folder: Path) -> Program:
    """The wheel in an empty environment, where pip brings what the wheel says that it needs.

    In the versions of the lock file, without its hashes: with them, pip wants one of the wheel too.
    """
    venv.EnvBuilder(with_pip=False, symlinks=os.name != "nt").create(folder / "env")
    python = environment.python(folder / "env")
    pins = re.findall(r"^[\w.-]+==[^\\\n]+", requirements(LOCK.read_text("utf-8"), "run"), re.M)
    folder.joinpath("pins.txt").write_text("\n".join(pins), "utf-8")
    pip: list[str | Path] = [WITH_PIP, "-m", "pip", "--python", python, "install"]
    options = ["--quiet", "--disable-pip-version-check", "--no-compile", "--constraint"]
    subprocess.run(
        [*pip, *options, folder / "pins.txt", wheel],
        env=os.environ | {"PIP_USER": "0", "PIP_REQUIRE_VIRTUALENV": "0"},
        check=True,
    )
    return Program([environment.command("ripenroom", folder / "env")], [python], folder)


@pytest.fixture(scope="module", params=[laid_out, pytest.param(installed, marks=pytest.mark.long)])
def program(
    request: pytest.FixtureRequest, built: Path, tmp_path_factory: pytest.TempPathFactory
) -> Program:
    """The program as a stranger has it, made once for all tests of it."""
    made: Program = request.param(built / WHEEL, tmp_path_factory.mktemp("stranger"))
    return made


def test_it_is_the_program_of_the_wheel_that_runs(program: Program) -> None:
    place = program.runs("import ripenroom; print(ripenroom.__file__)").strip()
    assert Path(place).is_relative_to(program.folder.parent)
    assert program.does("--version") == f"ripenroom {__version__}\n"


@pytest.mark.long
def test_it_works_without_the_checkout(program: Program) -> None:
    program.does("demo", "farm.ripenroom")
    assert "pawpaw" in program.does("windows", "farm.ripenroom")
    assert program.does("plan", "farm.ripenroom")
    for target in ("farm.xlsx", "farm.json", "farm.ics", "tables"):
        program.does("export", "farm.ripenroom", target)
        assert program.folder.joinpath(target).exists()
    shown = program.runs(_IN_THE_WINDOW, "farm.ripenroom")
    assert re.fullmatch(r".+ – ripenroom\n", shown)
