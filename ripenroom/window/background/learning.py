"""Keeps up to date what checks taught, in the background."""

from dataclasses import fields
from operator import attrgetter, is_
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from ripenroom.records.book import Book
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from ripenroom.texts import tr
from ripenroom.window.background.task import BackgroundTask, Latest, Tasks, Work

if TYPE_CHECKING:
    from ripenroom.season.learned import Learned


# Learning takes a while to import: its own thread does that, once the window is painted.

_PAUSE_MS = 60
"""Checks that follow each other faster than this are learned from together."""

_TEACHES_NOTHING = frozenset(
    {"season", "removals", "market_days", "wants", "brought", "pins", "expected_picks"}
    | {"second_grades", "rows"}
)
"""Kinds of records that say nothing of how fruit ripens."""

_SHELVES = tuple(f.name for f in fields(Book) if f.name not in _TEACHES_NOTHING)


def _what_teaches(state: SeasonState) -> tuple[object, ...]:
    """All that is learned from; what did not change is the same object in another state."""
    return (*attrgetter(*_SHELVES)(state.book), state.crops, state.zone)


class LearningRunner(Latest["Learned"]):
    """Learns again after every change that teaches something, and has the season take in what is
    new.

    It hears of changes by :meth:`follow`. ``failed`` says in words why nothing could be learned,
    and ``said`` carries it; what was learned before still counts then.
    """

    said = Signal(str)

    def __init__(self, season: Season, tasks: Tasks, parent: QObject | None = None) -> None:
        super().__init__(tasks, _PAUSE_MS, parent)
        self.failed: str | None = None
        self._season = season
        self._learned_from: tuple[object, ...] = ()

    def begin(self) -> None:
        """Learn from now on; called once the first page is painted."""
        if not self._begun:
            self._begun = True
            self.follow()

    def follow(self) -> None:
        """Learn again if something that teaches has changed."""
        if not self._begun:
            return
        if self._learned_from:
            teaches = _what_teaches(self._season.state)
            if not all(map(is_, teaches, self._learned_from)):
                self.again()
        elif self._season.book.checks or self._season.book.lessons:
            self.again()

    def _work(self) -> "Work[Learned]":
        ask = self._season.ask
        self._learned_from = _what_teaches(ask.state)
        return lambda cancel, _tell: ask.learned(cancel)

    def _take(self, task: "BackgroundTask[Learned]") -> None:
        self.failed = None
        if task.report_error():
            self.failed = tr(
                "The checks could not be taken into the forecasts, which stay as they are. Every "
                "check is saved."
            )
            self.said.emit(self.failed)
        self._set_working(False)
        learned = task.result
        if learned is not None and not learned.tells_nothing_new(self._season.learned):
            self._season.take_in(learned)
