"""Keeps the plan of the open season up to date, in the background."""

from collections.abc import Mapping
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from ripenroom.season.questions import Questions
from ripenroom.season.season import Season
from ripenroom.season.state import Changed
from ripenroom.window.background.task import BackgroundTask, Latest, Tasks, Work

if TYPE_CHECKING:
    from ripenroom.season.advice.advice import CheckNext
    from ripenroom.season.plans.plan import Plan, PlannedItinerary
    from ripenroom.season.plans.update import Delay, PlanChange, Planner, PlanUpdate


# The planner takes a while to import: its own thread does that, once the window is painted.

_PAUSE_MS = 150
"""Changes that follow each other faster than this are planned for together."""

_OLD = timedelta(minutes=15)
"""A plan of the same records holds for so long; then the clock has made it old."""


class PlanRunner(Latest["PlanUpdate | None"]):
    """The latest plan of a season, made again after every change that :meth:`follow` is told of.

    It waits until what checks teach is known: ``learning`` is at rest. ``planned`` follows every
    new plan, ``advised`` when it is known what to check for it. While a new plan is worked on,
    :attr:`plan` is the one before; it may speak of records that are gone. :attr:`replanner` made
    it, and can tell at once what a pin would cost. :attr:`before` is yesterday's plan, and
    :attr:`changes` what is planned otherwise since. Of a large season the first plan is one that
    is made at once: ``planned`` follows it too, and work goes on.
    """

    planned = Signal()
    advised = Signal()

    def __init__(
        self, season: Season, tasks: Tasks, learning: Latest[Any], parent: QObject | None = None
    ) -> None:
        super().__init__(tasks, _PAUSE_MS, parent)
        self.plan: Plan | None = None
        self.replanner: Planner | None = None
        self.if_left: Mapping[PlannedItinerary, Delay] = {}
        self.before: Plan | None = None
        self.changes: tuple[PlanChange, ...] = ()
        self.check_next: tuple[CheckNext, ...] = ()
        self.failed: Exception | None = None
        self._season = season
        self._learning = learning
        self._asked: Questions | None = None
        self._checking: BackgroundTask[tuple[CheckNext, ...]] | None = None

    def begin(self) -> None:
        """Plan from now on; called once the first page is painted."""
        if not self._begun:
            self.again()

    def again(self) -> None:
        """Make the plan again, whether anything has changed or not."""
        self._begun = True
        if self._checking is not None:
            self._checking.drop()
            self._checking = None
        super().again()

    def cancel(self) -> None:
        """Stop planning; what was found by now is the plan."""
        if self._task is not None:
            self._task.call_off()
        elif self._pause.isActive():
            self._pause.stop()
            self._set_working(False)

    def close(self) -> None:
        """Begin nothing any more."""
        super().close()
        self._checking = None

    def follow(self, changed: Changed) -> None:
        """Plan again if what the plan was made from has changed, or has grown old."""
        if self._begun and (changed.records or changed.learned or self._is_old()):
            self.again()

    def _is_old(self) -> bool:
        asked = self._asked
        return asked is None or abs(self._season.now() - asked.state.now) >= _OLD

    def _must_wait(self) -> bool:
        return self._learning.working or super()._must_wait()

    def _work(self) -> "Work[PlanUpdate | None]":
        ask = self._asked = self._season.ask
        if self.plan is None and ask.plan_takes_long:
            return lambda cancel, _progress: ask.plan_at_once(cancel)
        before, last = self.plan, self.replanner
        if before is not None and before.at_once:
            before = last = None  # the plan does not hang on whether there was another before it
        yesterday = self._yesterdays()
        return lambda cancel, _progress: ask.plan(before, yesterday, cancel, last)

    def _take(self, task: "BackgroundTask[PlanUpdate | None]") -> None:
        self.failed = task.error
        made = None if task.report_error() else task.result
        if made is not None:
            self.plan, self.replanner, self.if_left = made.plan, made.replanner, made.if_left
            self.before, self.changes = made.yesterday, made.changes
        goes_on = made is not None and made.plan.at_once and not task.called_off
        if goes_on:
            self._start()
        else:
            self._set_working(False)
        if made is not None:
            self.planned.emit()
            if not goes_on:
                self._ask_for_checks()

    def _yesterdays(self) -> "Plan | None":
        """Yesterday's plan, if it is known and no day has begun since it was worked out."""
        before, season = self.before, self._season
        if before is None:
            return None
        days = season.now().date() - before.made_at.astimezone(season.zone).date()
        return before if days == timedelta(days=1) else None

    @property
    def advising(self) -> bool:
        """Whether it is being worked out what to check for the plan that is there."""
        return self._checking is not None

    def _ask_for_checks(self) -> None:
        """Ask what to check for the plan that was just made, of what it was made from."""
        ask = self._asked
        if ask is None:
            return
        self._checking = self._tasks.run(lambda cancel, _progress: ask.check_next(cancel))
        self._checking.ended.connect(self._take_checks)

    def _take_checks(self) -> None:
        task, self._checking = self._checking, None
        if task is None:
            return
        if not task.report_error() and task.result is not None:
            self.check_next = task.result
            self.advised.emit()
