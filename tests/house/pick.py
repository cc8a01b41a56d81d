"""The way of one pick: from Enter in its form to the queue painted with it."""

import shutil
import time
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEventLoop, QSettings, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

import ripenroom
from ripenroom.records.book import Book
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from ripenroom.window.main_window import MainWindow
from ripenroom.window.picks.entry_form import PickForm
from ripenroom.window.queue.page import QueuePage
from ripenroom.window.session import Session
from ripenroom.window.shell.menus import Appearance
from tests.house.passage import Passage

THE_SEASON = (Session, Season, SeasonState, Book)
"""One thing on all of the way: the season's records, and what is carried about to reach them."""

ROOT = Path(ripenroom.__file__).parent
_PATIENCE_S = 120.0
"""How long the window may take for its first plan; two minutes on the busiest machine."""


def from_pick_to_queue(app: QApplication, season: Path, folder: Path) -> Passage:
    """Enter a pick in a copy of ``season`` in the real window, and record all that runs.

    The queue is the page in front and the form stands in a window of its own, so that no other
    page is on the way. Plan and learning are at rest before; what they do afterwards in threads is
    not on it.
    """
    settings = QSettings(str(folder / "window.ini"), QSettings.Format.IniFormat)
    window = MainWindow(settings, Appearance(app, settings))
    window.resize(1366, 850)
    window.show()
    copy = Path(shutil.copyfile(season, folder / "picked.ripenroom"))
    if not window.open_path(copy) or window.desk is None or window.session is None:
        raise OSError(f"{season} could not be opened")
    session = window.session
    window.desk.go_to("queue")
    queue = window.desk.page("queue")
    assert isinstance(queue, QueuePage)
    _wait_until(lambda: session.plans.plan is not None and _at_rest(session))
    form = PickForm(session)
    form.show()
    form.activateWindow()
    _wait_until(form.isActiveWindow)
    before = set(session.season.book.batches)
    if not form.fields.crop.choose(("pawpaw", None)):
        raise LookupError("no pawpaw to pick")
    QTest.keyClicks(form.fields.feel.line, "3 9 6 2")
    with Passage(ROOT, *THE_SEASON) as passage:
        QTest.keyClick(form.fields.feel.line, Qt.Key.Key_Return)
        queue.canvas.repaint()
    written = set(session.season.book.batches) - before
    form.close()
    window.close()
    if not written:
        raise ValueError("the pick was not written down")
    return passage


def _at_rest(session: Session) -> bool:
    return not session.plans.working and not session.learning.working


def _wait_until(done: Callable[[], bool]) -> None:
    end = time.monotonic() + _PATIENCE_S
    while not done():
        if time.monotonic() > end:
            raise TimeoutError("the window is not at rest")
        # QTest.qWait would hold up all other threads, and these are what is waited for.
        loop = QEventLoop()
        QTimer.singleShot(20, loop.quit)
        loop.exec()
