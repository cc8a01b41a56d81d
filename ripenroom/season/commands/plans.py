"""What is decided and done about a plan: pins, moves made, crates packed, market days settled."""

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Protocol

from ripenroom.records.ahead import ExpectedPick, SecondGrade
from ripenroom.records.batch import Batch
from ripenroom.records.pin import Pin
from ripenroom.season.changes import ahead, carrying, packing, pins, settling, splitting
from ripenroom.season.changes.settled import BroughtOutcome
from ripenroom.season.commands.acting import Acting

if TYPE_CHECKING:
    from ripenroom.season.learned import Learned
    from ripenroom.season.packing import PackingList
    from ripenroom.season.plans.evenings import Clearing
    from ripenroom.season.plans.planned import Plan, PlannedLine


class Planning(Acting, Protocol):
    """A season that plans with what its checks taught."""

    @property
    def learned(self) -> "Learned | None":
        """What checks taught, as taken in last."""


class PlanCommands:
    """Commands of a living season; each is one action that can be undone."""

    def __init__(self, season: Planning) -> None:
        self._season = season

    # Decided already

    def pin(self, pin: Pin) -> None:
        """Make or change a pin; every plan keeps to it."""
        season = self._season
        season.act(pins.pin(season.book, season.crops, pin, season.now()))

    def unpin(self, pin_id: str) -> None:
        """Leave a pin's crates to the plan again."""
        self._season.act(pins.unpin(self._season.book, pin_id))

    def pack(self, line: "PlannedLine", at: datetime) -> Pin:
        """A line's crates stand packed for its market day since ``at``; the pin that says so."""
        season = self._season
        when = at.replace(microsecond=0)
        packed, change = pins.pack(season.book, season.crops, line, when, season.now())
        season.act(change)
        return packed

    def pack_squeezed(
        self,
        market_day_id: str,
        squeezed: Sequence[packing.Squeezed],
        at: datetime,
        too_soft: packing.TooSoft = packing.TooSoft.THROWN,
    ) -> None:
        """What was squeezed and taken for a market day, in one action: checks of the batches that
        were opened, what was taken packed as batches of their own, what was too soft gone."""
        season, when = self._season, at.replace(microsecond=0)
        season.act(
            packing.pack_squeezed(
                season.book, season.crops, market_day_id, squeezed, when, too_soft, season.now()
            )
        )

    def packing_list(self, market_day_id: str, plan: "Plan | None") -> "PackingList":
        """What to take to a market day, what to open next and what to leave, as on now."""
        from ripenroom.season.packing import packing_list

        season = self._season
        return packing_list(season.state, market_day_id, plan)

    def unpack(self, pin_id: str) -> None:
        """Crates do not stand packed after all; they stay pinned to their market day."""
        self._season.act(pins.unpack(self._season.book, pin_id))

    # Done

    def carry_out(self, line: "PlannedLine", at: datetime) -> str:
        """A line's move was made ``at`` that time; the id of the batch that moved.

        Where only some crates of a batch went, that is a new batch. A line of second grade was
        sold as such.
        """
        season = self._season
        when = at.replace(microsecond=0)
        moved, change = carrying.carry_out(season.book, season.crops, line, when, season.now())
        season.act(change)
        return moved

    def carry_out_all(self, lines: "Sequence[PlannedLine]", at: datetime) -> list[str]:
        """The moves of several lines were made ``at`` that time, as one action; the batches that
        moved."""
        season, when = self._season, at.replace(microsecond=0)
        moved, change = carrying.carry_out_all(season.book, season.crops, lines, when, season.now())
        season.act(change)
        return moved

    def clear(self, clearing: "Clearing", at: datetime) -> str:
        """Crates were cleared away ``at`` that time; the id of the record that says so."""
        season, when = self._season, at.replace(microsecond=0)
        removal_id, change = carrying.clear(season.book, season.crops, clearing, when, season.now())
        season.act(change)
        return removal_id

    def put_back(self, removal_id: str) -> None:
        """What was said to be cleared away is there after all."""
        self._season.act(carrying.put_back(self._season.book, removal_id))

    def split(self, batch_id: str, fruit: int) -> Batch:
        """Part ``fruit`` of a batch from the rest; the new batch."""
        part, change = splitting.split(self._season.book, self._season.crops, batch_id, fruit)
        self._season.act(change)
        return part

    def settle(
        self,
        market_day_id: str,
        outcomes: Sequence[BroughtOutcome],
        at: datetime,
        back_to: str | None,
    ) -> None:
        """Write down what became of what was brought to a market day, in place of what was said
        of it before; what came back goes to a place, or (None) to where it was."""
        season, when = self._season, at.replace(microsecond=0)
        season.act(
            settling.settle(
                season.book, season.crops, market_day_id, outcomes, when, back_to, season.now()
            )
        )

    # Ahead

    def save_expected_pick(self, pick: ExpectedPick) -> None:
        """Make or change a pick that is expected."""
        season = self._season
        today = season.now().date()
        season.act(ahead.save_expected_pick(season.book, season.crops, pick, today))

    def delete_expected_pick(self, pick_id: str) -> None:
        """Expect a pick no longer."""
        self._season.act(ahead.delete_expected_pick(self._season.book, pick_id))

    def save_second_grade(self, grade: SecondGrade) -> None:
        """Say what a second-grade fruit of a crop brings."""
        season = self._season
        season.act(ahead.save_second_grade(season.book, season.crops, grade))

    def save_second_grades(self, grades: Sequence[SecondGrade]) -> None:
        """Say it of every crop of which second grade is taken, in one action."""
        season = self._season
        season.act(ahead.save_second_grades(season.book, season.crops, grades))

    def delete_second_grade(self, grade_id: str) -> None:
        """No one takes second grade of a crop any more."""
        self._season.act(ahead.delete_second_grade(self._season.book, grade_id))
