"""A season under whatever actions: each is done or refused, and everything is read after it."""

import tempfile
from collections import Counter
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from typing import ClassVar, TypeVar

from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    rule,
)

from ripenroom.exchange.calendar_file import season_calendar
from ripenroom.exchange.plan_tables import plan_table
from ripenroom.exchange.season_json import json_text, read_json, write_json
from ripenroom.exchange.season_tables import season_tables
from ripenroom.exchange.table_writing import write_csv, write_workbook
from ripenroom.records.book import Book
from ripenroom.records.file import SeasonFile, verify
from ripenroom.records.refusal import Refusal
from ripenroom.season.advice.check_next import check_next
from ripenroom.season.advice.set_points import set_point_advice
from ripenroom.season.advice.what_helps import what_helps
from ripenroom.season.fruit_balance import balance
from ripenroom.season.learned import CheckKind
from ripenroom.season.learning.calibration import calibration
from ripenroom.season.learning.fit import fit
from ripenroom.season.plans.plan import Plan
from ripenroom.season.plans.plan_changes import changes_between
from ripenroom.season.plans.planner import Planner
from ripenroom.season.plans.update import yesterday_evening, yesterdays_book
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.season.farm import NOW, farm_records, season_record
from tests.season.plans.planning import plan_of

PLAN_STEPS = 300

Thing = TypeVar("Thing")


class AnySeason(RuleBasedStateMachine):
    """``past`` is every state of the book from the start to now, ``future`` what redo leads to."""

    tally: ClassVar[Counter[str]] = Counter()

    @initialize()
    def create(self) -> None:
        self.tally["sequences"] += 1
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "any.ripenroom"
        self.clock = NOW
        SeasonFile.create(self.path, season_record(), farm_records()).close()
        self.season = Season.open(self.path, clock=lambda: self.clock)
        self.past: list[Book] = [self.season.book]
        self.future: list[Book] = []
        self.plan: Plan | None = None
        self.begin()

    def begin(self) -> None:
        """What there is before the first action."""

    def teardown(self) -> None:
        if not hasattr(self, "season"):
            return
        self.look()
        self.read_much()
        until, done = self.season.book, len(self.past)
        while len(self.past) > 1:
            self.undo()
        assert self.season.undo() is None
        while self.future:
            self.redo()
        assert self.season.redo() is None
        while len(self.past) > done:
            self.undo()
        self.season.close()
        assert verify(self.path) == []
        file = SeasonFile.open(self.path)
        assert file.read() == until
        file.close()
        self.folder.cleanup()

    # How it is done

    def do(self, action: Callable[[], object]) -> bool:
        """Do one action; whether it was done. A refusal must leave all as it was."""
        before = self.season.book
        try:
            action()
        except Refusal as refusal:
            self.refused(refusal)
            assert self.season.book is before
            return False
        self.tally["done"] += 1
        if self.season.book != before:
            self.past.append(self.season.book)
            self.future = []
        self.look()
        return True

    def look(self) -> None:
        """What every page reads after every action."""
        season = self.season
        season.projection()
        season.notices()
        season.supply()
        for batch_id in season.book.batches:
            self.ask(partial(season.story, batch_id))
            self.ask(partial(season.story, batch_id, by_the_book=True))
            season.place_of(batch_id)
            season.ask.taught(batch_id)
            season.ask.fruit_left(batch_id)

    def ask(self, question: Callable[[], object]) -> None:
        """Read what may be refused in words, and nothing else."""
        try:
            question()
        except Refusal as refusal:
            self.refused(refusal)

    def refused(self, refusal: Refusal) -> None:
        """Every refusal has words, filled in."""
        assert refusal.message
        self.tally["refused"] += 1

    def one_of(self, shelf: str, number: int) -> str:
        """The id of one record of a kind; one that is not there if there is none."""
        ids = sorted(getattr(self.season.book, shelf))
        return ids[number % len(ids)] if ids else "gone"

    @staticmethod
    def one(things: Sequence[Thing], number: int) -> Thing | None:
        return things[number // 5 % len(things)] if things else None

    def at(self, hours: timedelta) -> datetime:
        return self.season.now() + hours

    # Time

    @rule(hours=st.sampled_from((1, 13, 48, 700)))
    def wait(self, hours: int) -> None:
        self.clock += timedelta(hours=hours)
        self.look()

    @rule()
    def undo(self) -> None:
        if len(self.past) > 1:
            self.future.append(self.past.pop())
            assert self.season.undo()
            assert self.season.book == self.past[-1]

    @rule()
    def redo(self) -> None:
        if self.future:
            self.past.append(self.future.pop())
            assert self.season.redo()
            assert self.season.book == self.past[-1]

    @rule()
    def reopen(self) -> None:
        self.season.close()
        self.season = Season.open(self.path, clock=lambda: self.clock)
        assert self.season.book == self.past[-1]

    # Everything that can be read

    @rule()
    def make_plan(self) -> None:
        before, self.plan = self.plan, plan_of(self.season, self.plan, steps=PLAN_STEPS)
        if before is not None:
            changes_between(before, self.plan, self.season.book)
        plan_table(self.season, self.plan)
        season_calendar(self.season, self.plan)

    def read_much(self) -> None:
        season, folder = self.season, Path(self.folder.name)
        book, profiles, zone, now = season.book, season.crops, season.zone, season.now()
        written = folder / "season.json"
        write_json(book, written)
        assert read_json(written) == book
        assert json_text(read_json(written)) == json_text(book)
        tables = season_tables(season)
        write_workbook(tables, folder / "season.xlsx")
        for name, table in tables.items():
            write_csv(table, folder / f"{name}.csv")
        self.make_plan()
        yesterday = yesterday_evening(now, zone)
        replanner = Planner(
            SeasonState(yesterdays_book(book, now, zone), profiles, yesterday, zone)
        )
        assert self.plan is not None
        changes_between(replanner.plan(steps=PLAN_STEPS), self.plan, book)
        learned = fit(SeasonState(book, profiles, now, zone))
        calibration(SeasonState(book, profiles, now, zone))
        season.ask.lessons()
        balance(book, profiles)
        season.worth_checking()
        season.ask.checked_lately()
        for batch_id in book.batches:
            season.ask.check_design(batch_id, CheckKind.FEEL)
        for place_id in book.places:
            season.room_report(place_id)
        season.ask.orchard()
        season.ask.season_rows()
        set_point_advice(SeasonState(book, profiles, now, zone, learned))
        what_helps(SeasonState(book, profiles, now, zone, learned))
        check_next(SeasonState(book, profiles, now, zone, learned))
