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
    """Carries deeds out; remembers what the plan at hand does not know of yet."""

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

    def can_untick(self, deed: DayTask) -> bool:
        """Whether the tick can be taken away here; else the change is undone as any other."""
        season = self._session.season
        return deed.kind in (DayTaskKind.EXPECT, DayTaskKind.PACK, *_CLEARED) or (
            deed.kind is DayTaskKind.MOVE and deed.done_record_id in season.book.moves
        )

    def tick(self, deed: DayTask) -> None:
        """Write down that a deed is done; a check and what was sold are asked for first."""
        if deed.kind in _CHECKS:
            self.open_check(deed.record_id)
        elif deed.kind is DayTaskKind.EXPECT:
            self._pick_came(deed.record_id)
        elif deed.kind is DayTaskKind.SETTLE:
            self.open_settling(deed.record_id)
        elif deed.lines:
            # A listener that redraws the sheet must know it already.
            self.ticked.update(deed.lines)
            if not self._session.run("", lambda: self._do(deed)):
                self.ticked.difference_update(deed.lines)

    def untick(self, deed: DayTask) -> None:
        """Take back what was written down as done today."""
        record_id = deed.done_record_id
        if deed.kind is DayTaskKind.MOVE:
            self._session.do("", actions.moves.delete, record_id)
        elif deed.kind in _CLEARED:
            self._session.do("", actions.carrying.put_back, record_id)
        elif deed.kind is DayTaskKind.PACK:
            self._session.do("", actions.pins.unpack, record_id)
        elif deed.kind is DayTaskKind.EXPECT:
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

    def _do(self, deed: DayTask) -> None:
        season = self._session.season
        now = season.now().astimezone(UTC)
        if deed.kind is DayTaskKind.PACK:
            season.do(actions.pins.pack_all, deed.lines, now)
        elif deed.clearing is not None:
            self.cleared[season.do(actions.carrying.clear, deed.clearing, now)] = deed.kind
        else:
            steps = [line.next_step() for line in deed.lines]
            season.do(actions.carrying.carry_out_all, steps, now)

    def _pick_came(self, pick_id: str) -> None:
        season = self._session.season
        self._picks[pick_id] = season.book.expected_picks[pick_id]
        self.came[pick_id] = season.now()
        done = tr("This pick is no longer expected.")
        if not self._session.do(done, actions.ahead.delete_expected_pick, pick_id):
            del self.came[pick_id]


class SteadyOrder:
    """Within its kind a deed stands where it, or what it was before it was done, stood first.

    Moves that are still to be made keep the order in which they fit among themselves. A check that
    was done stays with the checks among which it was asked for.
    """

    def __init__(self) -> None:
        self._asked: dict[str, DayTaskKind] = {}
        self._ranks: dict[tuple[DayTaskKind, str, str | None], int] = {}

    def of(self, deeds: Sequence[DayTask], book: Book) -> tuple[DayTask, ...]:
        """The deeds in their order; new ones come last."""
        kinds = list(DayTaskKind)
        deeds = [self._as_asked(deed, book) for deed in deeds]

        def place(deed: DayTask) -> tuple[int, int]:
            # Crates that were moved are a batch of their own now, and keep their line; others of
            # the same batch may go elsewhere.
            key = deed.kind, harvest_of(deed.record_id, book.batches), _goes_to(deed, book)
            return kinds.index(deed.kind), self._ranks.setdefault(key, len(self._ranks))

        # In the order given first, so that what is seen for the first time gets ranks by it.
        ranked = sorted([*deeds], key=place)
        to_move = iter([deed for deed in deeds if _is_to_move(deed)])
        return tuple(next(to_move) if _is_to_move(deed) else deed for deed in ranked)

    def _as_asked(self, deed: DayTask, book: Book) -> DayTask:
        if deed.kind not in _CHECKS:
            return deed
        batch_id = harvest_of(deed.record_id, book.batches)
        if deed.done:
            return replace(deed, kind=self._asked.get(batch_id, deed.kind))
        self._asked[batch_id] = deed.kind
        return deed


def _goes_to(deed: DayTask, book: Book) -> str | None:
    """Where a deed moves crates to, or did; None if it moves none."""
    if deed.kind is not DayTaskKind.MOVE:
        return None
    if deed.done:
        move = book.moves.get(deed.done_record_id)
        return None if move is None else move.place_id
    return deed.line.steps[0].place_id if deed.line is not None and deed.line.steps else None


def _is_to_move(deed: DayTask) -> bool:
    return deed.kind is DayTaskKind.MOVE and not deed.done
