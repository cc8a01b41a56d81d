"""What all tests share: screen, language, how they draw, and one written practice season."""

import os
import tempfile
from pathlib import Path

import pytest

from tests.draws import TIMES, use_profile

# Qt ends the process when it finds no screen, so this must stand before anything imports PySide6.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

# Tests run side by side already: threads of the algebra library would only wait for one another.
# It looks at this when numpy is first imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# Commands that tests call, in other processes too, keep no copies among the user's own.
_DATA = tempfile.TemporaryDirectory(prefix="ripenroom-tests-")
os.environ["XDG_DATA_HOME"] = os.environ["APPDATA"] = _DATA.name

# What windows and commands say is checked as it reads where no language is set. LANGUAGE would
# win over LC_ALL.
os.environ["LANG"] = os.environ["LC_ALL"] = "C.UTF-8"
os.environ.pop("LANGUAGE", None)

# Tests take up the profile where they are defined.
use_profile()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A long random run takes as long as it takes."""
    for item in items if TIMES else ():
        item.add_marker(pytest.mark.timeout(0))


@pytest.fixture(scope="session")
def written_practice(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The practice season, written once; never opened."""
    from ripenroom.season.demo import write_demo

    path = tmp_path_factory.mktemp("practice") / "practice.ripenroom"
    write_demo(path)
    return path
