"""Keeps the plan of the open season up to date, in the background."""

import threading
from collections.abc import Callable, Mapping
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QTimer, Signal

from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from ripenroom.window.background.work import Made, checks_from, made_from
from ripenroom.window.errand import Errand, Progress, Result

if TYPE_CHECKING:
    from ripenroom.season.advice.check_next import CheckNext
    from ripenroom.season.plans.changes import PlanChange
    from ripenroom.season.plans.if_left import IfLeft
    from ripenroom.season.plans.planned import Plan, PlannedLine
    from ripenroom.season.plans.replanner import Replanner

_PAUSE_MS = 150
"""Changes that follow each other faster than this are planned for together."""

_OLD = timedelta(minutes=15)
"""A plan of the same records holds for so long; then the clock has made it old."""


class PlanRunner(QObject):
    """The latest plan of a season, made again after every change that :meth:`follow` is told of.

    ``planned`` follows every new plan, ``advised`` when it is known what to check for it, and
    ``working_changed`` whenever work begins or ends or has failed. Nothing is done before
    :meth:`begin`. While a new plan is worked on, :attr:`plan` is the one before; it may speak of
    records that are gone. :attr:`replanner` made it, and can tell at once what a pin would cost.
    :attr:`before` is yesterday's plan, and :attr:`changes` what is planned otherwise since.
    """

    planned = Signal()
    advised = Signal()
    working_changed = Signal()

    def __init__(self, season: Season, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.plan: Plan | None = None
        self.replanner: Replanner | None = None
        self.if_left: Mapping[PlannedLine, IfLeft] = {}
        self.before: Plan | None = None
        self.changes: tuple[PlanChange, ...] = ()
        self.check_next: tuple[CheckNext, ...] = ()
        self.working = False
        self.failed: Exception | None = None
        self._season = season
        self._begun = False
        self._made_from: SeasonState | None = None
        self._errand: Errand[Made | None] | None = None
        self._ending: Errand[Made | None] | None = None
        self._checking: Errand[tuple[CheckNext, ...]] | None = None
        self._sent: list[Errand[Any]] = []
        self._to_their_end: set[Errand[Any]] = set()
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.timeout.connect(self._start)

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
        if self._checking is not None:
            self._checking.drop()
            self._checking = None
        self._pause.start(_PAUSE_MS)
        self._set_working(True)

    def cancel(self) -> None:
        """Stop planning; what was found by now is the plan."""
        if self._errand is not None:
            self._errand.call_off()
        elif self._pause.isActive():
            self._pause.stop()
            self._set_working(False)

    def send(
        self, work: Callable[[threading.Event, Progress], Result], *, to_its_end: bool = False
    ) -> Errand[Result]:
        """Begin a piece of work beside the window.

        When the season is closed it is called off and left to itself; what is done ``to_its_end``,
        such as writing a file, is waited for.
        """
        for old in [old for old in self._sent if old.dropped and not old.running]:
            self._let_go(old)
        errand = Errand(work, self)
        # It is there until all others have learned that it ended: Qt deletes it later.
        errand.ended.connect(lambda: self._let_go(errand))
        self._sent.append(errand)
        if to_its_end:
            self._to_their_end.add(errand)
        errand.start()
        return errand

    def _let_go(self, errand: Errand[Any]) -> None:
        self._sent.remove(errand)
        self._to_their_end.discard(errand)
        errand.deleteLater()

    def close(self) -> None:
        """Stop at once: only what has to come to its end is waited for."""
        self._begun = False
        self._pause.stop()
        for errand in self._sent:
            errand.drop()  # all at once, so that none is waited for while others go on
        for errand in self._sent:
            if errand in self._to_their_end:
                errand.wait()
            else:
                errand.leave()
        self._sent.clear()
        self._to_their_end.clear()
        self._errand = self._ending = self._checking = None
        self.working = False

    def follow(self) -> None:
        """Plan again if what the plan was made from has changed, or has grown old."""
        if self._begun and self._is_out_of_date():
            self.again()

    def _is_out_of_date(self) -> bool:
        made, season = self._made_from, self._season
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
        state = self._made_from = self._season.state
        before, yesterday = self.plan, self._yesterdays()
        self._errand = self.send(
            lambda cancel, _progress: made_from(state, before, yesterday, cancel)
        )
        self._errand.ended.connect(self._take)

    def _take(self) -> None:
        errand, self._errand = self._errand, None
        if errand is None:
            return
        self.failed = errand.error
        if not errand.report_error() and errand.result is not None:
            made = errand.result
            self.plan, self.replanner, self.if_left = made.plan, made.replanner, made.if_left
            self.before, self.changes = made.yesterday, made.changes
        self._set_working(False)
        if self.failed is None and errand.result is not None:
            self.planned.emit()
            self._ask_for_checks()

    def _yesterdays(self) -> "Plan | None":
        """Yesterday's plan, if it is known and no day has begun since it was worked out."""
        before, season = self.before, self._season
        if before is None:
            return None
        days = season.now().date() - before.made_at.astimezone(season.zone).date()
        return before if days == timedelta(days=1) else None

    def _ask_for_checks(self) -> None:
        state = self._made_from
        if state is None:
            return
        errand = self._checking = self.send(lambda cancel, _progress: checks_from(state, cancel))
        errand.ended.connect(self._take_checks)

    def _take_checks(self) -> None:
        errand, self._checking = self._checking, None
        if errand is None:
            return
        if not errand.report_error() and errand.result is not None:
            self.check_next = errand.result
            self.advised.emit()

    def _set_working(self, working: bool) -> None:
        self.working = working
        self.working_changed.emit()
