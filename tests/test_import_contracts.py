"""The import rules of pyproject.toml hold, and each would notice if it were broken."""

import os
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from tests.house.imports import circles_of_modules, imports

ROOT = Path(__file__).resolve().parent.parent


def lint_imports(root: Path) -> subprocess.CompletedProcess[str]:
    """Run import-linter on the package in ``root``, which must not be shadowed by this one."""
    program = "from importlinter.cli import lint_imports_command; lint_imports_command()"
    return subprocess.run(
        [sys.executable, "-c", program, "--no-cache"],
        cwd=root,
        env=os.environ | {"PYTHONPATH": str(root), "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the package and its rules, to plant a violation in."""
    return copied(tmp_path)


def copied(root: Path) -> Path:
    """The package and its rules in another folder."""
    shutil.copy(ROOT / "pyproject.toml", root)
    unread = shutil.ignore_patterns("__pycache__")
    shutil.copytree(ROOT / "ripenroom", root / "ripenroom", ignore=unread)
    return root


def test_the_package_keeps_its_contracts() -> None:
    done = lint_imports(ROOT)
    assert done.returncode == 0, done.stdout + done.stderr
    assert " 0 broken" in done.stdout


PLANTED = [
    ("exchange", "ripenroom.window", "Imports run one way"),
    ("season", "ripenroom.exchange", "Imports run one way"),
    ("season", "ripenroom.window", "Imports run one way"),
    ("records", "ripenroom.season", "Imports run one way"),
    ("records", "ripenroom.science", "Imports run one way"),
    ("science", "ripenroom.records", "Imports run one way"),
    ("science", "PySide6.QtCore", "Science knows no window, no file and no table"),
    ("science", "pandas", "Science knows no window, no file and no table"),
    ("science", "sqlite3", "Science knows no window, no file and no table"),
    ("planning", "ripenroom.season", "Imports run one way"),
    ("science", "ripenroom.planning", "Imports run one way"),
    ("planning", "pandas", "Planning knows science and no record, no file and no window"),
    (
        "planning",
        "ripenroom.records",
        "Planning knows science and no record, no file and no window",
    ),
    ("season", "PySide6.QtCore", "Below the window nothing knows Qt"),
    ("exchange", "pyqtgraph", "Below the window nothing knows Qt"),
    ("window", "sqlite3", "The window writes no SQL and no equation"),
    ("window", "scipy.special", "The window writes no SQL and no equation"),
    ("window", "ripenroom.science", "The window writes no SQL and no equation"),
    ("window", "ripenroom.records.file", "The window writes no SQL and no equation"),
    ("season", "sqlite3", "SQL stays with the season file"),
    ("wording/today", "sqlite3", "SQL stays with the season file"),
    ("cli", "sqlite3", "SQL stays with the season file"),
    ("cli", "PySide6.QtCore", "The command line knows Qt by way of the window alone"),
    ("bootstrap", "numpy", "The set-up runs before anything is installed"),
    ("bootstrap", "ripenroom.paths", "The set-up runs before anything is installed"),
    ("window", "ripenroom.bootstrap", "Nothing leans on the set-up"),
    ("window/forms", "ripenroom.window.batch", "Imports run one way in the window"),
    ("window/picks", "ripenroom.window.shell", "Imports run one way in the window"),
    ("window/places", "ripenroom.window.today.page", "Pages know nothing of each other"),
    (
        "window/review",
        "ripenroom.season.room_clocks",
        "The window goes into the season by named doors",
    ),
    ("season/learning", "ripenroom.season.plans", "Imports run one way in the season"),
    ("season/plans", "ripenroom.season.questions", "Imports run one way in the season"),
    ("season/actions", "scipy.special", "The season leaves equations to science"),
]
"""In which room what is imported, and which contract does not allow it."""


@pytest.fixture(scope="module")
def linted(tmp_path_factory: pytest.TempPathFactory) -> str:
    """What is said of a package in which all of these are planted at once."""
    root = copied(tmp_path_factory.mktemp("planted"))
    for number, (room, planted, _) in enumerate(PLANTED):
        module = root / "ripenroom" / room / f"planted_{number}.py"
        module.write_text(f"import {planted}\n", "utf-8")
    done = lint_imports(root)
    assert done.returncode == 1, done.stdout + done.stderr
    return done.stdout


@pytest.mark.parametrize("number", range(len(PLANTED)), ids=lambda n: " ".join(PLANTED[n][:2]))
def test_a_planted_violation_is_caught(linted: str, number: int) -> None:
    room, planted, contract = PLANTED[number]
    assert f"{contract} BROKEN" in linted
    _, _, broken = linted.partition("Broken contracts")
    underlined = f"\n{contract}\n{'-' * len(contract)}\n"
    assert underlined in broken
    # To the next heading; long lines are broken after the arrow.
    told = re.split(r"\n[^\n]+\n-{5,}\n", broken.partition(underlined)[2])[0]
    planted_at = f"ripenroom.{room.replace('/', '.')}.planted_{number}"
    assert f"{planted_at} -> {planted.split('.')[0]}" in " ".join(told.split())


def test_a_planted_circle_is_caught(copy: Path) -> None:
    room = copy / "ripenroom" / "planning"
    (room / "here.py").write_text("import ripenroom.planning.there\n", "utf-8")
    late = "def late():\n    import ripenroom.planning.here\n"
    (room / "there.py").write_text(late, "utf-8")
    done = lint_imports(copy)
    assert done.returncode == 1
    assert "No folder imports in a circle BROKEN" in done.stdout
    assert "No cycles are allowed in ripenroom.planning." in done.stdout


def test_no_module_imports_in_a_circle() -> None:
    """A folder's own module and one in it too, which import-linter takes for no siblings."""
    assert circles_of_modules(imports()) == []


BREAKING = {
    "The window goes into the season by named doors": 26,
}
"""How many doors there are. A subject that is new in the window may need one of its own, for what
it is answered with; nothing else does."""


def test_doors_are_counted() -> None:
    with (ROOT / "pyproject.toml").open("rb") as file:
        contracts = tomllib.load(file)["tool"]["importlinter"]["contracts"]
    listed = {
        contract["name"]: len(contract["ignore_imports"])
        for contract in contracts
        if "ignore_imports" in contract
    }
    assert set(listed) <= set(BREAKING)
    assert {name: count for name, count in listed.items() if count > BREAKING[name]} == {}


def test_what_no_longer_breaks_a_wall_has_to_go_from_its_list(copy: Path) -> None:
    rules = copy / "pyproject.toml"
    begins, gone = "ignore_imports = [\n", "ripenroom.window.app -> ripenroom.season.state"
    text = rules.read_text("utf-8")
    assert begins in text
    rules.write_text(text.replace(begins, f'{begins}    "{gone}",\n', 1), "utf-8")
    done = lint_imports(copy)
    assert done.returncode == 1
    assert f"No matches for ignored import {gone}" in " ".join((done.stdout + done.stderr).split())


@pytest.mark.parametrize(
    ("room", "contract"),
    [
        ("", "Imports run one way"),
        ("window", "Imports run one way in the window"),
        ("season", "Imports run one way in the season"),
    ],
)
def test_a_room_without_a_place_in_the_order_is_caught(
    copy: Path, room: str, contract: str
) -> None:
    (copy / "ripenroom" / room / "attic.py").write_text("", "utf-8")
    done = lint_imports(copy)
    assert done.returncode == 1
    assert f"{contract} BROKEN" in done.stdout
    assert "attic" in done.stdout
