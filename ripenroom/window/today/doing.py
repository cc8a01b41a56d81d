"""What ticking a line of the day sheet does to the season, and what taking the tick away does."""

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QWidget

from ripenroom.records.ahead import ExpectedPick
from ripenroom.season import actions
from ripenroom.season.day_sheet import DaySheet, Deed, DeedKind, day_sheet
from ripenroom.window.dialogs import ask
from ripenroom.window.session import Session

if TYPE_CHECKING:
    from ripenroom.season.plans.planned import PlannedLine


class Doing:
    """Carries deeds out; remembers what the plan at hand does not know of yet."""

    def __init__(self, session: Session, widget: QWidget) -> None:
        self._session = session
        self._widget = widget
        self.ticked: set[PlannedLine] = set()
        self.came: dict[str, datetime] = {}
        self.cleared: set[str] = set()
        self._picks: dict[str, ExpectedPick] = {}
        session.plans.planned.connect(self.ticked.clear)

    def sheet(self) -> DaySheet:
        """The day sheet as it is now."""
        session = self._session
        plans = session.plans
        return day_sheet(
            session.season, plans.plan, plans.check_next, self.ticked, self.came, self.cleared
        )

    def can_untick(self, deed: Deed) -> bool:
        """Whether the tick can be taken away here; else the change is undone as any other."""
        season = self._session.season
        return deed.kind in (DeedKind.EXPECT, DeedKind.PACK, DeedKind.CLEAR) or (
            deed.kind is DeedKind.MOVE and deed.done_record_id in season.book.moves
        )

    def tick(self, deed: Deed) -> None:
        """Write down that a deed is done; a check and what was sold are asked for first."""
        line = deed.line
        if deed.kind is DeedKind.CHECK:
            self.open_check(deed.record_id)
        elif deed.kind is DeedKind.EXPECT:
            self._pick_came(deed.record_id)
        elif deed.kind is DeedKind.SETTLE:
            self.open_settling(deed.record_id)
        elif line is not None:
            lines = deed.carrying.lines if deed.carrying is not None else (line,)
            # A listener that redraws the sheet must know it already.
            self.ticked.update(lines)
            if not self._session.run("", lambda: self._do(deed, line)):
                self.ticked.difference_update(lines)

    def untick(self, deed: Deed) -> None:
        """Take back what was written down as done today."""
        record_id = deed.done_record_id
        if deed.kind is DeedKind.MOVE:
            self._session.do("", actions.moves.delete, record_id)
        elif deed.kind is DeedKind.CLEAR:
            self._session.do("", actions.carrying.put_back, record_id)
        elif deed.kind is DeedKind.PACK:
            self._session.do("", actions.pins.unpack, record_id)
        elif deed.kind is DeedKind.EXPECT:
            pick = self._picks[record_id]
            self._session.do("", actions.ahead.save_expected_pick, pick)

    def open_check(self, batch_id: str) -> None:
        """Open the form to write down a check of a batch."""
        from ripenroom.window.checks.dialog import CheckDialog

        ask(CheckDialog(self._session, batch_id, parent=self._widget))

    def open_settling(self, market_day_id: str) -> None:
        """Open the form to write down what became of what was brought to a market day."""
        from ripenroom.window.record_forms.settle_dialog import SettleDialog

        ask(SettleDialog(self._session, market_day_id, self._widget))

    def open_packing(self, market_day_id: str) -> None:
        """Open the form that says what to pack, and asks what was squeezed of it."""
        from ripenroom.window.record_forms.pack_dialog import PackDialog

        ask(PackDialog(self._session, market_day_id, self._widget))

    def _do(self, deed: Deed, line: "PlannedLine") -> None:
        season = self._session.season
        now = season.now().astimezone(UTC)
        if deed.kind is DeedKind.PACK:
            season.do(actions.pins.pack, line, now)
        elif deed.clearing is not None:
            self.cleared.add(season.do(actions.carrying.clear, deed.clearing, now))
        else:
            lines = deed.carrying.lines if deed.carrying is not None else (line,)
            steps = [one.next_step() for one in lines]
            season.do(actions.carrying.carry_out_all, steps, now)

    def _pick_came(self, pick_id: str) -> None:
        season = self._session.season
        self._picks[pick_id] = season.book.expected_picks[pick_id]
        self.came[pick_id] = season.now()
        done = QCoreApplication.translate("Today", "This pick is expected no longer.")
        if not self._session.do(done, actions.ahead.delete_expected_pick, pick_id):
            del self.came[pick_id]
