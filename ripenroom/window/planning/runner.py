"""Keeps the plan of the open season up to date, in the background."""

import sys
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from PySide6.QtCore import QObject, QTimer, Signal

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.window.planning.errand import Errand

# The planner takes a while to import: its own thread does that, once the window is painted.
if TYPE_CHECKING:
    from ripenroom.season.advice.check_next import CheckNext
    from ripenroom.season.if_left import IfLeft
    from ripenroom.season.learning.learned import Learned
    from ripenroom.season.planned import Plan, PlannedLine
    from ripenroom.window.session import Session

_PAUSE_MS = 150
"""Changes that follow each other faster than this are planned for together."""

_OLD = timedelta(minutes=15)
"""A plan of the same records holds for so long; then the clock has made it old."""


@dataclass(frozen=True, slots=True)
class _Snapshot:
    """What a plan is made from; nothing in it changes while a thread reads it."""

    book: Book
    crops: Mapping[str, CropProfile]
    now: datetime
    zone: ZoneInfo
    learned: "Learned | None"
    before: "Plan | None"


@dataclass(frozen=True, slots=True)
class _Made:
    """A plan, and what is lost where it is not followed in time."""

    plan: "Plan"
    if_left: "Mapping[PlannedLine, IfLeft]"


class PlanRunner(QObject):
    """The latest plan of a season, made again after every change.

    ``planned`` follows every new plan, ``working_changed`` whenever work begins or ends or has
    failed. Nothing is done before :meth:`begin`. While a new plan is worked on, :attr:`plan` is
    the one before; it may speak of records that are gone.
    """

    planned = Signal()
    working_changed = Signal()

    def __init__(self, session: "Session") -> None:
        super().__init__(session)
        self.plan: Plan | None = None
        self.if_left: Mapping[PlannedLine, IfLeft] = {}
        self.check_next: tuple[CheckNext, ...] = ()
        self.working = False
        self.failed: Exception | None = None
        self._session = session
        self._begun = False
        self._made_from: _Snapshot | None = None
        self._errand: Errand[_Made] | None = None
        self._ending: Errand[_Made] | None = None
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.timeout.connect(self._start)
        session.changed.connect(self._on_changed)

    def begin(self) -> None:
        """Plan from now on; called once the first page is painted."""
        if not self._begun:
            self._begun = True
            self.again()

    def again(self) -> None:
        """Make the plan again, whether anything has changed or not."""
        self._begun = True
        if self._errand is not None:
            self._errand.drop()
            self._ending, self._errand = self._errand, None
        self._pause.start(_PAUSE_MS)
        self._set_working(True)

    def cancel(self) -> None:
        """Stop planning; what was found by now is the plan."""
        if self._errand is not None:
            self._errand.call_off()
        elif self._pause.isActive():
            self._pause.stop()
            self._set_working(False)

    def close(self) -> None:
        """Stop, and wait until no thread is left."""
        self._begun = False
        self._pause.stop()
        for errand in (self._errand, self._ending):
            if errand is not None:
                errand.wait()
        self._errand = self._ending = None
        self.working = False

    def _on_changed(self) -> None:
        if self._begun and self._is_out_of_date():
            self.again()

    def _is_out_of_date(self) -> bool:
        made, season = self._made_from, self._session.season
        if made is None or made.book is not season.book or made.zone != season.zone:
            return True
        if made.learned is not season.learned:
            return True
        return abs(season.now() - made.now) >= _OLD

    def _start(self) -> None:
        if self._ending is not None and self._ending.running:
            self._pause.start(_PAUSE_MS)
            return
        self._ending = None
        season = self._session.season
        made_from = self._made_from = _Snapshot(
            season.book, season.crops, season.now(), season.zone, season.learned, self.plan
        )
        errand = self._errand = Errand(lambda cancel: _plan(made_from, cancel), self)
        errand.ended.connect(self._take)
        errand.start()

    def _take(self) -> None:
        errand, self._errand = self._errand, None
        if errand is None:
            return
        self.failed = errand.error
        if errand.error is not None:
            sys.excepthook(type(errand.error), errand.error, errand.error.__traceback__)
        elif errand.result is not None:
            self.plan, self.if_left = errand.result.plan, errand.result.if_left
        errand.deleteLater()
        self._set_working(False)
        if self.failed is None:
            self.planned.emit()

    def _set_working(self, working: bool) -> None:
        self.working = working
        self.working_changed.emit()


def _plan(made_from: _Snapshot, cancel: threading.Event) -> _Made:
    from ripenroom.season.if_left import if_left
    from ripenroom.season.plan import make_plan

    known = made_from.book, made_from.crops, made_from.now, made_from.zone
    learned = made_from.learned
    plan = make_plan(*known, before=made_from.before, cancel=cancel, learned=learned)
    return _Made(plan, if_left(*known, plan.lines, learned))
