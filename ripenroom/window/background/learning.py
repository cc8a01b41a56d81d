"""Keeps up to date what checks taught, in the background."""

import threading
from dataclasses import fields
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from ripenroom.records.book import Book
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from ripenroom.window.errand import Errand

# Learning takes a while to import: its own thread does that, once the window is painted.
if TYPE_CHECKING:
    from ripenroom.season.learned import Learned

_PAUSE_MS = 60
"""Checks that follow each other faster than this are learned from together."""

_TEACHES_NOTHING = frozenset(
    {"season", "removals", "market_days", "wants", "brought", "pins", "expected_picks"}
    | {"second_grades", "rows"}
)
"""Kinds of records that say nothing of how fruit ripens."""

_SHELVES = tuple(f.name for f in fields(Book) if f.name not in _TEACHES_NOTHING)


def _teaches_the_same(one: SeasonState, other: SeasonState) -> bool:
    """Whether nothing that teaches is different; kinds that did not change are shared."""
    same = all(getattr(one.book, shelf) is getattr(other.book, shelf) for shelf in _SHELVES)
    return same and one.crops is other.crops and one.zone == other.zone


class LearningRunner(QObject):
    """Learns anew after every change that teaches something, and has the season take it in.

    It hears of changes by :meth:`follow`. ``working_changed`` follows whenever work begins or ends.
    ``failed`` says in words why nothing could be learned, and ``said`` carries it; what was learned
    before still counts then. Nothing is done before
    :meth:`begin`.
    """

    working_changed = Signal()
    said = Signal(str)

    def __init__(self, season: Season, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.working = False
        self.failed: str | None = None
        self._season = season
        self._begun = False
        self._made_from: SeasonState | None = None
        self._errand: Errand[Learned] | None = None
        self._ending: list[Errand[Learned]] = []
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.timeout.connect(self._start)

    def begin(self) -> None:
        """Learn from now on; called once the first page is painted."""
        if not self._begun:
            self._begun = True
            self.follow()

    def again(self) -> None:
        """Learn from the records as they are now, dropping what was begun before."""
        if self._errand is not None:
            self._errand.drop()
            self._ending = [e for e in (*self._ending, self._errand) if e.running]
            self._errand = None
        self._pause.start(_PAUSE_MS)
        self._set_working(True)

    def close(self) -> None:
        """Stop at once; a search that is under way is left to end by itself."""
        self._begun = False
        self._pause.stop()
        left = (*self._ending, *([self._errand] if self._errand else []))
        for errand in left:
            errand.leave()
        self._errand, self._ending = None, []
        self.working = False

    def follow(self) -> None:
        """Learn again if something that teaches has changed."""
        season, made = self._season, self._made_from
        if not self._begun:
            return
        if made is not None:
            if not _teaches_the_same(made, season.state):
                self.again()
        elif season.book.checks or season.book.lessons:
            self.again()

    def _start(self) -> None:
        made_from = self._made_from = self._season.state
        errand = self._errand = Errand(lambda cancel, _tell: _learn(made_from, cancel), self)
        errand.ended.connect(self._take)
        errand.start()

    def _take(self) -> None:
        errand, self._errand = self._errand, None
        if errand is None:
            return
        learned = errand.result
        errand.deleteLater()
        self.failed = None
        if errand.report_error():
            self.failed = self.tr(
                "What the checks teach could not be worked out. The forecasts stay as they are; "
                "every check is in the season file."
            )
            self.said.emit(self.failed)
        self._set_working(False)
        if learned is not None:
            self._season.take_in(learned)

    def _set_working(self, working: bool) -> None:
        self.working = working
        self.working_changed.emit()


def _learn(state: SeasonState, cancel: threading.Event) -> "Learned":
    from ripenroom.season.learning.fit import fit

    return fit(state, cancel)
