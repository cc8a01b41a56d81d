"""Keeps up to date what checks taught, in the background."""

from dataclasses import fields
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from ripenroom.records.book import Book
from ripenroom.season.questions import Questions
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from ripenroom.window.background.latest import Latest
from ripenroom.window.background.task import BackgroundTask, Work
from ripenroom.window.background.tasks import Tasks

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
        self._made_from: SeasonState | None = None

    def begin(self) -> None:
        """Learn from now on; called once the first page is painted."""
        if not self._begun:
            self._begun = True
            self.follow()

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

    def _work(self) -> "Work[Learned]":
        self._made_from = self._season.state
        ask = Questions(self._made_from)
        return lambda cancel, _tell: ask.learned(cancel)

    def _take(self, task: "BackgroundTask[Learned]") -> None:
        self.failed = None
        if task.report_error():
            self.failed = self.tr(
                "What the checks teach could not be worked out. The forecasts stay as they are; "
                "every check is in the season file."
            )
            self.said.emit(self.failed)
        self._set_working(False)
        learned = task.result
        if learned is not None and not learned.tells_nothing_new(self._season.learned):
            self._season.take_in(learned)
