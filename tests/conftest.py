"""What all tests share: screen, language, how they draw, and one written practice season."""

import faulthandler
import gc
import os
import shutil
import sys
import tempfile
from collections.abc import Generator, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import is_hypothesis_test

from ripenroom import texts
from tests.draws import TIMES, use_profile
from tests.parted import import_a_part

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

_OF_FILES = Path(__file__).parent / "records" / "file"
GRACE_S = 30.0
"""So long (s) after its time a test is given to fail by itself."""

_stderr = 2
_pragmas_to_write: tuple[str, ...] | None = None


def pytest_addoption(parser: pytest.Parser) -> None:
    """``--long``: see DEVELOPERS.md, "Test"."""
    parser.addoption("--long", action="store_true", help="run the long runs, and no other tests")


def pytest_configure(config: pytest.Config) -> None:
    """Say how much is drawn; tests take that up where they are defined."""
    global _stderr
    if sys.__stderr__ is not None:
        _stderr = os.dup(sys.__stderr__.fileno())  # what tests print there is taken away
    use_profile(every_case=config.getoption("--long"))


def pytest_sessionstart(session: pytest.Session) -> None:
    """Share what is made once out to the processes."""
    import_a_part(session.config)


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """What is made while tests are collected lives as long as their process: whoever looks for
    garbage need not go through all of it, neither meanwhile nor between the tests."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Long runs apart from the others; a long random run takes up both, however long it takes.

    Tests that draw run in both: every day with a part of their cases.
    """
    if TIMES:
        for item in items:
            item.add_marker(pytest.mark.timeout(0))
        return
    long = config.getoption("--long")
    taken: dict[bool, list[pytest.Item]] = {True: [], False: []}
    for item in items:
        of_the_long_run = item.get_closest_marker("long") is not None
        draws = is_hypothesis_test(getattr(item, "obj", None))
        taken[of_the_long_run == long or (long and draws)].append(item)
    for item in taken[True] if long else ():
        if item.get_closest_marker("timeout") is None:
            item.add_marker(pytest.mark.timeout(1200))  # on a busy machine, and still not for ever
    items[:] = taken[True]
    config.hook.pytest_deselected(items=taken[False])


@pytest.hookimpl(tryfirst=True)
def pytest_timeout_set_timer(settings: Any) -> None:
    """A test that hangs is red, even one that waits inside a Qt dialog.

    There what pytest-timeout raises comes only once the dialog ends. A while after that this
    process says where all of its threads are, and ends; pytest-xdist calls the test failed and goes
    on in a new one. No thread of Python's watches, so tests that count threads find none.
    """
    if settings.timeout and settings.timeout > 0:
        faulthandler.dump_traceback_later(settings.timeout + GRACE_S, exit=True, file=_stderr)


@pytest.hookimpl(tryfirst=True)
def pytest_timeout_cancel_timer() -> None:
    """It ended, well or not."""
    faulthandler.cancel_dump_traceback_later()


def pytest_runtest_setup(item: pytest.Item) -> None:
    """No power fails between tests: none waits for the disk but those of the season file itself,
    and commands in processes of their own."""
    from ripenroom.records.file import connection

    global _pragmas_to_write
    if _pragmas_to_write is None:
        _pragmas_to_write = connection._PRAGMAS_TO_WRITE
    waits = _OF_FILES in item.path.parents
    more = () if waits else ("synchronous = OFF",)
    connection._PRAGMAS_TO_WRITE = (*_pragmas_to_write, *more)  # type: ignore[misc]


@pytest.fixture(scope="session")
def written_practice(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The practice season, written once; never opened."""
    from ripenroom.season.practice import write_demo

    path = tmp_path_factory.mktemp("practice") / "practice.ripenroom"
    write_demo(path)
    return path


@pytest.fixture(scope="session")
def written_few(written_practice: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The practice season with few batches and market days, of which advice takes a moment."""
    from tests.few import keep_few

    path = tmp_path_factory.mktemp("few") / "few.ripenroom"
    shutil.copyfile(written_practice, path)
    keep_few(path)
    return path


@pytest.fixture(scope="session")
def written_some(written_practice: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The practice season with as many batches and market days as it takes for moves of all kinds
    to be planned, and with what was sold."""
    from tests.few import keep_few

    path = tmp_path_factory.mktemp("some") / "some.ripenroom"
    shutil.copyfile(written_practice, path)
    keep_few(path, batches=10, market_days=3, used_up=True)
    return path


@pytest.fixture
def in_spanish() -> Iterator[None]:
    """All is said in Spanish."""
    texts.use_language("es")
    yield
    texts.use_language("en")


@pytest.fixture
def worked_out_once(request: pytest.FixtureRequest) -> Iterator[None]:
    """What a season is asked is answered as it was before; see :mod:`tests.worked_out`."""
    from tests.worked_out import answer_from_what_is_kept

    with pytest.MonkeyPatch.context() as patch:
        if "worked_out_anew" not in request.fixturenames:
            answer_from_what_is_kept(patch)
        yield


@pytest.fixture
def worked_out_anew() -> None:
    """All that this test asks is worked out for it."""
