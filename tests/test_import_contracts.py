"""The import rules of pyproject.toml hold, and each would notice if it were broken."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

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
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    unread = shutil.ignore_patterns("__pycache__")
    shutil.copytree(ROOT / "ripenroom", tmp_path / "ripenroom", ignore=unread)
    return tmp_path


def test_the_package_keeps_its_contracts() -> None:
    done = lint_imports(ROOT)
    assert done.returncode == 0, done.stdout + done.stderr
    assert " 0 broken" in done.stdout


@pytest.mark.parametrize(
    ("room", "planted", "contract"),
    [
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
        ("bootstrap", "numpy", "The set-up runs before anything is installed"),
        ("bootstrap", "ripenroom.paths", "The set-up runs before anything is installed"),
        ("window", "ripenroom.bootstrap", "Nothing leans on the set-up"),
    ],
)
def test_a_planted_violation_is_caught(copy: Path, room: str, planted: str, contract: str) -> None:
    (copy / "ripenroom" / room / "planted.py").write_text(f"import {planted}\n", "utf-8")
    done = lint_imports(copy)
    assert done.returncode == 1, done.stdout + done.stderr
    assert f"{contract} BROKEN" in done.stdout
    assert f"ripenroom.{room}.planted -> {planted.split('.')[0]}" in done.stdout


def test_a_room_without_a_place_in_the_order_is_caught(copy: Path) -> None:
    (copy / "ripenroom" / "attic.py").write_text("", "utf-8")
    done = lint_imports(copy)
    assert done.returncode == 1
    assert "Imports run one way BROKEN" in done.stdout
    assert "attic" in done.stdout
