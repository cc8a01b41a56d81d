"""What all tests share: no screen unless the caller chose one, and one written practice season."""

import os
import tempfile
from pathlib import Path

import pytest

# Qt ends the process when it finds no screen, so this must stand before anything imports PySide6.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

# Commands that tests call, in other processes too, keep no copies among the user's own.
_DATA = tempfile.TemporaryDirectory(prefix="ripenroom-tests-")
os.environ["XDG_DATA_HOME"] = os.environ["APPDATA"] = _DATA.name


@pytest.fixture(scope="session")
def written_practice(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The practice season, written once; never opened."""
    from ripenroom.season.demo import write_demo

    path = tmp_path_factory.mktemp("practice") / "practice.ripenroom"
    write_demo(path)
    return path
