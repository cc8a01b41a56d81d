"""A test that hangs is red, and those after it are run."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent

IN_A_DIALOG = """
import pytest
from PySide6.QtWidgets import QDialog
from tests import conftest

conftest.GRACE_S = 2.0

@pytest.mark.timeout(5)
def test_in_a_dialog(qapp):
    QDialog().exec()

def test_after_it():
    pass
"""


@pytest.mark.long
def test_a_test_that_hangs_in_a_dialog_fails_and_the_next_one_runs(tmp_path: Path) -> None:
    file = tmp_path / "test_in_a_dialog.py"
    file.write_text(IN_A_DIALOG, "utf-8")
    pytest_here = [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", "-p", "tests.conftest"]
    done = subprocess.run(
        [*pytest_here, "-n", "1", "--timeout", "100", str(file)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 1
    assert "1 failed, 1 passed" in done.stdout
    assert "crashed while running 'test_in_a_dialog.py::test_in_a_dialog'" in done.stdout
    # Where it waits.
    assert "Timeout (" in done.stderr
    assert "in test_in_a_dialog" in done.stderr
