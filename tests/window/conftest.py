"""Real windows over a real season file: the practice season, copied fresh for every test."""

import gc
import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QSettings
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from ripenroom.records.batch import Move
from ripenroom.records.file import SeasonFile
from ripenroom.records.season import SeasonDetails
from ripenroom.season.season import Season
from ripenroom.window.main_window import MainWindow
from ripenroom.window.session import Session
from ripenroom.window.shell.menus import Appearance
from ripenroom.window.theme import Look, dress
from ripenroom.wording.formats import Formats


@pytest.fixture(autouse=True)
def answers(worked_out_once: None) -> None:
    """Plans and advice of the practice season are worked out once for all tests here."""


@pytest.fixture(autouse=True)
def no_garbage_in_other_threads() -> Iterator[None]:
    """As in the program: no work beside a window tears down what other tests left."""
    gc.disable()
    yield
    gc.enable()


@pytest.fixture(autouse=True)
def no_windows_left(no_garbage_in_other_threads: None) -> Iterator[None]:
    """Widgets of a test end with it.

    Those that are closed are only marked to be deleted, which is for the event loop to do, and no
    test runs one to its end: whatever dresses the program would dress them all.
    """
    yield
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture
def few_batches() -> None:
    """In the season of this test little is to be decided."""


@pytest.fixture
def some_batches() -> None:
    """In the season of this test there are moves to be made, but not many."""


@pytest.fixture
def all_batches() -> None:
    """This test is of the whole practice season, whatever the others of its file are of."""


@pytest.fixture
def season_path(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A practice season of this test's own."""
    written = "written_practice"
    if "all_batches" in request.fixturenames:
        pass
    elif "few_batches" in request.fixturenames:
        written = "written_few"
    elif "some_batches" in request.fixturenames:
        written = "written_some"
    path: Path = request.getfixturevalue(written)
    return Path(shutil.copyfile(path, tmp_path / "season.ripenroom"))


@pytest.fixture
def settings(tmp_path: Path) -> QSettings:
    """Window settings that no other test sees."""
    return QSettings(str(tmp_path / "window.ini"), QSettings.Format.IniFormat)


MakeWords = Callable[..., Formats]

UNKNOWN_CROP, UNPLACED = "of no known crop", "in no place"


@pytest.fixture
def with_unforeseen(season_path: Path) -> None:
    """Adds to the season what only another program writes: batches of which nothing can be said.

    One is of a crop that there is no profile of, the other was never put anywhere.
    """
    file = SeasonFile.open(season_path)
    book = file.read()
    like = next(batch for batch in book.batches.values() if batch.count)
    unknown = replace(
        like, id=UNKNOWN_CROP, code="Q-1", crop="moonfruit", cultivar_id=None, row_id=None
    )
    unplaced = replace(like, id=UNPLACED, code="Q-2")
    place_id = next(iter(book.places))
    move = Move(id="move", batch_id=UNKNOWN_CROP, at=unknown.picked_at, place_id=place_id)
    file.write("import", [unknown, unplaced, move])
    file.close()


@pytest.fixture
def session(qapp: QApplication, season_path: Path, settings: QSettings) -> Iterator[Session]:
    """The practice season as the window sees it."""
    dress(qapp, Look.LIGHT)
    opened = Session(Season.open(season_path), settings)
    yield opened
    opened.close()


@pytest.fixture
def empty_window(qtbot: QtBot, qapp: QApplication, settings: QSettings) -> MainWindow:
    """The window before any season is open."""
    made = MainWindow(settings, Appearance(qapp, settings))
    qtbot.addWidget(made)
    made.resize(1024, 700)
    made.show()
    return made


@pytest.fixture
def window(qtbot: QtBot, empty_window: MainWindow, season_path: Path) -> MainWindow:
    """The window with the practice season open, active as a user would have it."""
    assert empty_window.open_path(season_path)
    empty_window.activateWindow()
    # Shortcuts only work in the active window.
    qtbot.waitUntil(empty_window.isActiveWindow)
    return empty_window


@pytest.fixture
def words_in() -> MakeWords:
    """The wording of a season by locale and currency."""

    def make(locale: str, currency: str = "EUR") -> Formats:
        season = SeasonDetails(
            id="7d8f4c1e-52a3-4b0e-9c6d-0a1b2c3d4e5f",
            name="Test farm",
            zone="Europe/Berlin",
            first_day=date(2026, 8, 1),
            units="metric",
            currency=currency,
        )
        return Formats(locale, season, ZoneInfo(season.zone))

    return make
