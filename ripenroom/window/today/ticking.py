"""What ticking a line of the day sheet does to the season, and how lines keep their places."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from ripenroom.records.book import Book
from ripenroom.records.market import ExpectedPick
from ripenroom.season import actions
from ripenroom.season.day_sheet import DaySheet, DayTask, DayTaskKind, day_sheet
from ripenroom.season.whereabouts import harvest_of
from ripenroom.texts import tr
from ripenroom.window.dialogs import ask
from ripenroom.window.session import Session

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedItinerary


_CHECKS = (DayTaskKind.CHECK_FIRST, DayTaskKind.CHECK)
_CLEARED = (DayTaskKind.CLEAR, DayTaskKind.PAST)


class Ticking:
    """Carries tasks out; remembers what the plan at hand does not know of yet."""

    def __init__(self, session: Session, widget: QWidget) -> None:
        self._session = session
        self._widget = widget
        self.ticked: set[PlannedItinerary] = set()
        self.came: dict[str, datetime] = {}
        self.cleared: dict[str, DayTaskKind] = {}
        self._picks: dict[str, ExpectedPick] = {}
        session.plans.planned.connect(self.ticked.clear)

    def sheet(self) -> DaySheet:
        """The day sheet as it is now."""
        session = self._session
        plans = session.plans
        return day_sheet(
            session.season, plans.plan, plans.check_next, self.ticked, self.came, self.cleared
        )

    def can_untick(self, task: DayTask) -> bool:
        """Whether the tick can be taken away here; else the change is undone as any other."""
        season = self._session.season
        return task.kind in (DayTaskKind.EXPECT, DayTaskKind.PACK, *_CLEARED) or (
            task.kind is DayTaskKind.MOVE and task.done_record_id in season.book.moves
        )

    def tick(self, task: DayTask) -> None:
        """Write down that a task is done; a check and what was sold are asked for first."""
        if task.kind in _CHECKS:
            self.open_check(task.record_id)
        elif task.kind is DayTaskKind.EXPECT:
            self._pick_came(task.record_id)
        elif task.kind is DayTaskKind.SETTLE:
            self.open_settling(task.record_id)
        elif task.lines:
            task = self._in_this_plan(task)
            # A listener that redraws the sheet must know it already.
            self.ticked.update(task.lines)
            if not self._session.run("", lambda: self._do(task)):
                self.ticked.difference_update(task.lines)

    def _in_this_plan(self, task: DayTask) -> DayTask:
        """The same line of the plan at hand, if another came since it was shown: only that plan's
        own lines are known to be done. One that it has no more is carried out as it was asked."""
        book = self._session.season.book
        asked = line_of(task, book)
        now = (one for one in self.sheet().tasks if one.lines and not one.done)
        return next((one for one in now if line_of(one, book) == asked), task)

    def untick(self, task: DayTask) -> None:
        """Take back what was written down as done today."""
        record_id = task.done_record_id
        if task.kind is DayTaskKind.MOVE:
            self._session.do("", actions.moves.delete, record_id)
        elif task.kind in _CLEARED:
            self._session.do("", actions.carrying.put_back, record_id)
        elif task.kind is DayTaskKind.PACK:
            self._session.do("", actions.pins.unpack, record_id)
        elif task.kind is DayTaskKind.EXPECT:
            pick = self._picks[record_id]
            self._session.do("", actions.ahead.save_expected_pick, pick)

    def open_check(self, batch_id: str) -> None:
        """Open the form to write down a check of a batch."""
        from ripenroom.window.forms.check import CheckDialog

        ask(CheckDialog(self._session, batch_id, parent=self._widget))

    def open_settling(self, market_day_id: str) -> None:
        """Open the form to write down what became of what was brought to a market day."""
        from ripenroom.window.forms.settle_market import SettleDialog

        ask(SettleDialog(self._session, market_day_id, self._widget))

    def open_packing(self, market_day_id: str) -> None:
        """Open the form that says what to pack, and asks what was squeezed of it."""
        from ripenroom.window.forms.pack import PackDialog

        ask(PackDialog(self._session, market_day_id, self._widget))

    def _do(self, task: DayTask) -> None:
        season = self._session.season
        now = season.now().astimezone(UTC)
        if task.kind is DayTaskKind.PACK:
            season.do(actions.pins.pack_all, task.lines, now)
        elif task.clearing is not None:
            self.cleared[season.do(actions.carrying.clear, task.clearing, now)] = task.kind
        else:
            steps = [line.next_step() for line in task.lines]
            season.do(actions.carrying.carry_out_all, steps, now)

    def _pick_came(self, pick_id: str) -> None:
        season = self._session.season
        self._picks[pick_id] = season.book.expected_picks[pick_id]
        self.came[pick_id] = season.now()
        done = tr("This pick is no longer expected.")
        if not self._session.do(done, actions.ahead.delete_expected_pick, pick_id):
            del self.came[pick_id]


SheetLine = tuple[DayTaskKind, str, str | None]


def line_of(task: DayTask, book: Book) -> SheetLine:
    """What tells a line of the sheet from others, before and after it is done.

    Crates that were moved are a batch of their own now, and keep their line; others of the same
    batch may go elsewhere.
    """
    return task.kind, harvest_of(task.record_id, book.batches), _goes_to(task, book)


class SteadyOrder:
    """Within its kind a task stands where it, or what it was before it was done, stood first.

    Moves that are still to be made keep the order in which they fit among themselves. A check that
    was done stays with the checks among which it was asked for.
    """

    def __init__(self) -> None:
        self._asked: dict[str, DayTaskKind] = {}
        self._ranks: dict[SheetLine, int] = {}

    def of(self, tasks: Sequence[DayTask], book: Book) -> tuple[DayTask, ...]:
        """The tasks in their order; new ones come last."""
        kinds = list(DayTaskKind)
        tasks = [self._as_asked(task, book) for task in tasks]

        def place(task: DayTask) -> tuple[int, int]:
            rank = self._ranks.setdefault(line_of(task, book), len(self._ranks))
            return kinds.index(task.kind), rank

        # In the order given first, so that what is seen for the first time gets ranks by it.
        ranked = sorted([*tasks], key=place)
        to_move = iter([task for task in tasks if _is_to_move(task)])
        return tuple(next(to_move) if _is_to_move(task) else task for task in ranked)

    def _as_asked(self, task: DayTask, book: Book) -> DayTask:
        if task.kind not in _CHECKS:
            return task
        batch_id = harvest_of(task.record_id, book.batches)
        if task.done:
            return replace(task, kind=self._asked.get(batch_id, task.kind))
        self._asked[batch_id] = task.kind
        return task


def _goes_to(task: DayTask, book: Book) -> str | None:
    """Where a task moves crates to, or did; None if it moves none."""
    if task.kind is not DayTaskKind.MOVE:
        return None
    if task.done:
        move = book.moves.get(task.done_record_id)
        return None if move is None else move.place_id
    return task.line.steps[0].place_id if task.line is not None and task.line.steps else None


def _is_to_move(task: DayTask) -> bool:
    return task.kind is DayTaskKind.MOVE and not task.done
