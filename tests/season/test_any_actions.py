"""Whatever is done to a season, in whatever order: refused in words, or done, readable, undoable.

Every day two short sequences are tried, six by ``--long``.
``RIPENROOM_RANDOM=20 python -m pytest -s tests/season/test_any_actions.py`` tries twenty times as
many, of 60 actions each and other ones at each run, and prints how many actions were done and how
many refused.
"""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase
from hypothesis import strategies as st
from hypothesis.stateful import (
    rule,
    run_state_machine_as_test,
)

from ripenroom.records.batch import FeelCounts, Outcome
from ripenroom.records.book import new_id
from ripenroom.records.entry import CheckEntry, PickEntry
from ripenroom.records.market import ExpectedPick, MarketDay, Pin, SecondGrade, Want
from ripenroom.records.orchard import Cultivar, Row, Walk, WeatherSource
from ripenroom.records.place import Place, PlaceKind
from ripenroom.records.season import UnitSystem
from ripenroom.season import actions
from ripenroom.season.actions.outcomes import BatchOutcome
from ripenroom.season.actions.table_rows import ImportDefaults, TableRow
from ripenroom.season.learning.lessons import SharedLesson, SharedLessons
from ripenroom.season.plans.plan import PlannedItinerary
from ripenroom.units import ForceUnit
from tests.draws import TIMES, draws
from tests.season.any_season import AnySeason

which = st.integers(0, 10**6)
"""Picks one of whatever there is by then."""

CROPS = ("pawpaw", "pawpaw", "tomato", "kiwifruit", "apple", "anjou", "banana", "moonfruit")
crops = st.sampled_from(CROPS)
texts = st.sampled_from(
    ("Quay", "quay ", "=1+1", "“ö”🥭", "Barn", "", "x" * 1000, "a\0b", "\ud800", "two\nlines")
)
counts = st.sampled_from((1, 2, 7, 20, 60, 400, 0, -1, 10**6, 10**12))
some_count = st.none() | counts
feels: st.SearchStrategy[FeelCounts] = st.tuples(*[st.sampled_from((0, 0, 1, 7, 30))] * 5)
some_feel = st.none() | feels
readings = st.lists(st.sampled_from((0.1, 2.0, 6.5, 12.0, 55.0, 1e9, -1.0)), max_size=4).map(tuple)
units: st.SearchStrategy[ForceUnit | None] = st.sampled_from((None, "N", "kgf", "lbf"))
celsius = st.sampled_from((14.0, 21.0, 3.0, 0.5, -1.0, 33.0, 48.0, 90.0, -60.0, float("nan")))
moments = st.sampled_from((-25, -5, 0, -1, 1, 36, 100, -49, -400, 12, 300, -4000, 9000)).map(
    lambda hours: timedelta(hours=hours)
)
sometimes_bloom = st.sampled_from((150, 130, -9))
prices = st.sampled_from((None, 90, 250, 1, 0, -5, 10**9, 10**15))
answers = st.sampled_from((frozenset[str](), frozenset({"count", "readings", "surprise", "at"})))


class AnyActions(AnySeason):
    """Every command of a season, given what is sensible and what is not."""

    def begin(self) -> None:
        # Nothing of most kinds can be done before there is any fruit.
        self.add_pick("pawpaw", 0, 0, 60, None, (0, 40, 20, 0, 0), timedelta(hours=-25))
        self.add_pick("tomato", 1, 0, 60, None, (20, 20, 20, 0, 0), timedelta(hours=-5))
        self.save_market_day(0, "Quay", timedelta(hours=36), 2, "pawpaw", 40, 250)

    # Batches

    @rule(
        crop=crops, place=which, cultivar=which, count=some_count, kg=st.sampled_from((None, 4.0)),
        feel=some_feel, when=moments, split=st.booleans(), answered=answers,
        pulp=st.none() | celsius, note=texts,
    )  # fmt: skip
    def add_pick(
        self,
        crop: str,
        place: int,
        cultivar: int,
        count: int | None,
        kg: float | None,
        feel: FeelCounts | None,
        when: timedelta,
        **more: Any,
    ) -> None:
        entry = PickEntry(
            crop=crop,
            place_id=self.one_of("places", place),
            picked_at=self.at(when),
            cultivar_id=self.one_of("cultivars", cultivar) if cultivar % 3 == 2 else None,
            count=count,
            weight_kg=kg,
            feel_counts=feel,
            pulp_c=more.get("pulp"),
            note=more.get("note", ""),
            split_by_feel=more.get("split", True),
            answered=more.get("answered", frozenset()),
        )
        self.do(lambda: self.season.do(actions.picks.add, entry))

    @rule(batch=which, count=some_count, feel=some_feel, note=texts, when=moments, gauge=readings,
          unit=units, answered=answers)  # fmt: skip
    def change_batch(
        self, batch: int, when: timedelta, answered: frozenset[str], **to: Any
    ) -> None:
        old = self.season.book.batches.get(self.one_of("batches", batch))
        if old is None:
            return
        new = replace(
            old,
            count=to["count"],
            feel_counts=to["feel"],
            note=to["note"],
            picked_at=(old.picked_at + when).replace(microsecond=0),
            readings=() if to["feel"] else to["gauge"],
            reading_unit=to["unit"],
            probe_mm=8.0 if to["unit"] else None,
        )
        self.do(lambda: self.season.do(actions.batches.change, new, answered))

    @rule(batch=which, other=which)
    def delete_batches(self, batch: int, other: int) -> None:
        ids = [self.one_of("batches", batch)] + [self.one_of("batches", other)] * (other % 2)
        self.do(lambda: self.season.do(actions.batches.delete, ids))

    @rule(batch=which, place=which, when=moments)
    def move(self, batch: int, place: int, when: timedelta) -> None:
        ids = [self.one_of("batches", batch)]
        self.do(
            lambda: self.season.do(
                actions.moves.move, ids, self.one_of("places", place), self.at(when)
            )
        )

    @rule(move=which)
    def delete_move(self, move: int) -> None:
        self.do(lambda: self.season.do(actions.moves.delete, self.one_of("moves", move)))

    @rule(batch=which, count=counts, outcome=st.sampled_from(("sold", "discarded")), when=moments,
          day=st.none() | which)  # fmt: skip
    def take_out(
        self, batch: int, count: int, outcome: Outcome, when: timedelta, day: int | None
    ) -> None:
        sold_on = None if day is None else self.one_of("market_days", day)
        batch_id = self.one_of("batches", batch)
        self.do(
            lambda: self.season.do(
                actions.batches.take_out, batch_id, count, outcome, self.at(when), sold_on
            )
        )

    @rule(batch=which, hours=st.sampled_from((24.0, 0.0, 1e9)), when=moments)
    def treat(self, batch: int, hours: float, when: timedelta) -> None:
        self.do(
            lambda: self.season.do(
                actions.batches.treat, [self.one_of("batches", batch)], hours, self.at(when)
            )
        )

    # Orchard, places, markets

    @rule(place=which, name=texts, kind=st.sampled_from(("cold room", "counter")), set_to=celsius,
          half=st.sampled_from((4.0, 0.0, 1e9)), swing=st.sampled_from((3.0, 0.0, 500.0)),
          room=some_count)  # fmt: skip
    def save_place(
        self, place: int, name: str, kind: PlaceKind, set_to: float, room: int | None, **air: float
    ) -> None:
        known = place % 2 == 0
        key = self.one_of("places", place) if known else new_id()
        new = Place(
            id=key,
            name=name,
            kind=kind,
            half_cooling_h=air["half"],
            daily_swing_k=air["swing"],
            capacity_crates=room,
        )
        self.do(lambda: self.season.do(actions.places.save, new, None if known else set_to))

    @rule(place=which)
    def delete_place(self, place: int) -> None:
        self.do(lambda: self.season.do(actions.places.delete, self.one_of("places", place)))

    @rule(place=which, set_to=celsius, when=moments)
    def set_set_point(self, place: int, set_to: float, when: timedelta) -> None:
        key = self.one_of("places", place)
        self.ask(lambda: self.season.preview_set_point(key, set_to))
        self.do(lambda: self.season.do(actions.places.set_set_point, key, set_to, self.at(when)))

    @rule(
        cultivar=which,
        crop=crops,
        name=texts,
        pace=st.sampled_from((1.0, 0.5, 3.0, 0.0, 1e300)),
        group=st.sampled_from((None, "gold", "green-skinned", "early season", "", "<b>no such")),
    )
    def save_cultivar(
        self, cultivar: int, crop: str, name: str, pace: float, group: str | None
    ) -> None:
        key = self.one_of("cultivars", cultivar) if cultivar % 2 else new_id()
        new = Cultivar(id=key, crop=crop, name=name, rate_factor=pace, crop_group=group)
        self.do(lambda: self.season.do(actions.orchard.save_cultivar, new))

    @rule(cultivar=which)
    def delete_cultivar(self, cultivar: int) -> None:
        self.do(
            lambda: self.season.do(
                actions.orchard.delete_cultivar, self.one_of("cultivars", cultivar)
            )
        )

    @rule(
        row=which, name=texts, trees=some_count, fruit=some_count, bloom=st.sampled_from((150, -9))
    )
    def save_row(
        self, row: int, name: str, trees: int | None, fruit: int | None, bloom: int
    ) -> None:
        new = Row(
            id=self.one_of("rows", row) if row % 2 else new_id(),
            name=name,
            trees=trees,
            cultivar_id="early",
            fruit_on_trees=fruit,
            bloomed_on=self.season.state.today - timedelta(days=bloom),
        )
        self.do(lambda: self.season.do(actions.orchard.save_row, new))

    @rule(row=which, when=moments, feel=some_feel, ground=some_count, note=texts)
    def walk(
        self, row: int, when: timedelta, feel: FeelCounts | None, ground: int | None, note: str
    ) -> None:
        new = Walk(
            id=new_id(),
            row_id=self.one_of("rows", row),
            at=self.at(when),
            feel_counts=feel,
            on_ground=ground,
            note=note,
        )
        self.do(lambda: self.season.do(actions.orchard.add_walk, new))

    @rule(walk=which)
    def delete_walk(self, walk: int) -> None:
        self.do(lambda: self.season.do(actions.orchard.delete_walk, self.one_of("walks", walk)))

    @rule(days=st.sampled_from((1, 2, 40, 0, -2, 5000)), low=celsius, warmer=st.none() | celsius)
    def weather(self, days: int, low: float, warmer: float | None) -> None:
        on = self.season.state.today - timedelta(days=days)
        high = None if warmer is None else low + abs(warmer)
        source: WeatherSource = "forecast" if days <= 0 else "typed"
        day = actions.weather.day_weather(on, low, high, source)
        self.do(lambda: self.season.do(actions.weather.save_day, day))

    @rule(month=st.integers(0, 13), low=celsius)
    def usual_month(self, month: int, low: float) -> None:
        self.do(lambda: self.season.do(actions.weather.set_normals, {month: (low, low + 9.0)}))

    @rule(tenth=st.integers(-30, 90), even=st.integers(-30, 90))
    def frost(self, tenth: int, even: int) -> None:
        today = self.season.state.today
        days = [today + timedelta(days=n) for n in (tenth, even)]
        self.do(lambda: self.season.do(actions.weather.set_frost, days[0], days[1]))

    @rule(place=which, lag=st.sampled_from((None, 0.0, 6.0, -1.0, 900.0)))
    def follow_weather(self, place: int, lag: float | None) -> None:
        key = self.one_of("places", place)
        if key in self.season.book.places:
            new = replace(self.season.book.places[key], weather_lag_h=lag)
            self.do(lambda: self.season.do(actions.places.save, new))

    @rule(row=which)
    def delete_row(self, row: int) -> None:
        self.do(lambda: self.season.do(actions.orchard.delete_row, self.one_of("rows", row)))

    @rule(day=which, name=texts, when=moments, days=st.sampled_from((2, 0, -1, 1000)), crop=crops,
          count=counts, price=prices)  # fmt: skip
    def save_market_day(
        self,
        day: int,
        name: str,
        when: timedelta,
        days: int,
        crop: str,
        count: int,
        price: int | None,
    ) -> None:
        key = self.one_of("market_days", day) if day % 2 else new_id()
        new = MarketDay(
            id=key, name=name, kind="market", starts_at=self.at(when), eat_within_days=days
        )
        want = Want(id=new_id(), market_day_id=key, crop=crop, count=count, price_minor=price)
        self.do(
            lambda: self.season.do(
                actions.ahead.save_market_day, new, [want] * (1 + (day % 7 == 3))
            )
        )

    @rule(day=which)
    def delete_market_day(self, day: int) -> None:
        self.do(
            lambda: self.season.do(actions.ahead.delete_market_day, self.one_of("market_days", day))
        )

    @rule(zone=st.sampled_from(("Europe/Lisbon", "America/New_York", "Pacific/Apia", "Mars/Base")),
          us=st.booleans(), currency=st.sampled_from(("EUR", "JPY", "", "EURO")), name=texts,
          hands=some_count, first_day=st.sampled_from((date(2026, 8, 1), date(2026, 10, 2),
          date(1, 1, 1))))  # fmt: skip
    def save_season(self, us: bool, hands: int | None, **to: Any) -> None:
        units: UnitSystem = "us" if us else "metric"
        new = replace(self.season.book.season, units=units, crates_moved_per_evening=hands, **to)
        self.do(lambda: self.season.do(actions.season.save, new))

    # Checks, logs, lessons

    @rule(batch=which, when=moments, feel=some_feel, gauge=readings, unit=units, answered=answers,
          note=texts)  # fmt: skip
    def add_check(
        self, batch: int, when: timedelta, answered: frozenset[str], **found: Any
    ) -> None:
        entry = CheckEntry(
            batch_id=self.one_of("batches", batch),
            at=self.at(when),
            feel_counts=found["feel"],
            readings=() if found["feel"] else found["gauge"],
            reading_unit=found["unit"],
            probe_mm=8.0 if found["unit"] else None,
            note=found["note"],
            answered=answered,
        )
        self.do(lambda: self.season.do(actions.checks.add, entry))

    @rule(batch=which, feel=feels)
    def squeeze(self, batch: int, feel: FeelCounts) -> None:
        """A check as it mostly is: now, by hand."""
        answered = frozenset({"surprise"})
        batch_id = self.one_of("batches", batch)
        entry = CheckEntry(
            batch_id=batch_id, at=self.at(timedelta()), feel_counts=feel, answered=answered
        )
        self.do(lambda: self.season.do(actions.checks.add, entry))

    @rule(check=which, when=moments, feel=some_feel, answered=answers)
    def change_check(
        self, check: int, when: timedelta, feel: FeelCounts | None, answered: frozenset[str]
    ) -> None:
        old = self.season.book.checks.get(self.one_of("checks", check))
        if old is not None:
            new = replace(old, at=(old.at + when).replace(microsecond=0), feel_counts=feel)
            self.do(lambda: self.season.do(actions.checks.change, new, answered))

    @rule(check=which, counted=st.booleans())
    def count_in(self, check: int, counted: bool) -> None:
        self.do(
            lambda: self.season.do(actions.checks.count_in, self.one_of("checks", check), counted)
        )

    @rule(check=which)
    def delete_check(self, check: int) -> None:
        self.do(lambda: self.season.do(actions.checks.delete, self.one_of("checks", check)))

    @rule()
    def learn(self) -> None:
        self.season.learn()
        self.look()

    @rule(place=which, when=moments, hours=st.sampled_from((30, 1, 0, 3000)), name=texts,
          about=celsius)  # fmt: skip
    def add_log(self, place: int, when: timedelta, hours: int, name: str, about: float) -> None:
        start = int(self.at(when).timestamp())
        times = np.arange(start, start + hours * 3600, 600, dtype=np.int64)
        values = np.full(len(times), about)
        key = self.one_of("places", place)
        self.do(lambda: self.season.do(actions.places.add_log, key, name, "probe", times, values))

    @rule(log=which)
    def delete_log(self, log: int) -> None:
        self.do(
            lambda: self.season.do(actions.places.delete_log, self.one_of("temperature_logs", log))
        )

    @rule(crop=crops, rate=st.sampled_from((-3.0, 0.4, 1.5)), sd=st.sampled_from((0.01, 0.5)),
          name=texts)  # fmt: skip
    def take_lessons(self, crop: str, rate: float, sd: float, name: str) -> None:
        lesson = SharedLesson(crop, None, rate, sd, 3, 0.5, 20.0)
        self.do(lambda: self.season.do(actions.lessons.take, SharedLessons(name, (lesson,))))

    @rule(lesson=which)
    def delete_lesson(self, lesson: int) -> None:
        self.do(lambda: self.season.do(actions.lessons.delete, [self.one_of("lessons", lesson)]))

    # Plans

    def line(self, number: int) -> PlannedItinerary | None:
        if self.plan is None or self.plan.made_at != self.season.now() or number % 5:
            self.make_plan()
        assert self.plan is not None
        return self.one(self.plan.lines, number)

    @rule(line=which, when=moments)
    def carry_out(self, line: int, when: timedelta) -> None:
        found = self.line(line)
        if found is not None:
            self.do(lambda: self.season.do(actions.carrying.carry_out, found, self.at(when)))

    @rule(line=which, when=moments)
    def pack(self, line: int, when: timedelta) -> None:
        found = self.line(line)
        if found is not None:
            self.do(lambda: self.season.do(actions.pins.pack, found, self.at(when)))

    @rule(batch=which, crates=st.sampled_from((1, 2, 0, 500)), place=st.none() | which,
          when=moments, day=st.none() | which)  # fmt: skip
    def pin(
        self, batch: int, crates: int, place: int | None, when: timedelta, day: int | None
    ) -> None:
        pin = Pin(
            id=new_id(),
            batch_id=self.one_of("batches", batch),
            crates=crates,
            pull_at=None if place is None else self.at(when),
            place_id=None if place is None else self.one_of("places", place),
            market_day_id=None if day is None else self.one_of("market_days", day),
        )
        self.do(lambda: self.season.do(actions.pins.pin, pin))

    @rule(pin=which)
    def unpin(self, pin: int) -> None:
        self.do(lambda: self.season.do(actions.pins.unpin, self.one_of("pins", pin)))

    @rule(pin=which)
    def unpack(self, pin: int) -> None:
        self.do(lambda: self.season.do(actions.pins.unpack, self.one_of("pins", pin)))

    @rule(batch=which, fruit=counts)
    def split(self, batch: int, fruit: int) -> None:
        self.do(
            lambda: self.season.do(actions.splitting.split, self.one_of("batches", batch), fruit)
        )

    @rule(day=which, first=which, second=which, brought=counts, sold=counts, thrown=counts,
          price=prices, when=moments, back=st.none() | which)  # fmt: skip
    def settle(
        self,
        day: int,
        first: int,
        second: int,
        price: int | None,
        when: timedelta,
        back: int | None,
        **fruit: int,
    ) -> None:
        key = self.one_of("market_days", day)
        found = self.season.book.market_days.get(key)
        at = self.at(when) if found is None or day % 3 else found.starts_at + timedelta(hours=4)
        outcomes = [
            BatchOutcome(self.one_of("batches", batch), price_minor=price, **fruit)
            for batch in (first, second)[: 1 + second % 2]
        ]
        to = None if back is None else self.one_of("places", back)
        self.do(lambda: self.season.do(actions.settling.settle, key, outcomes, at, to))

    @rule(crop=crops, days=st.sampled_from((1, 5, 0, 60, -1, -400, 4000)), count=counts,
          place=which, note=texts)  # fmt: skip
    def expect(self, crop: str, days: int, count: int, place: int, note: str) -> None:
        on = self.season.now().date() + timedelta(days=days)
        key = self.one_of("places", place)
        pick = ExpectedPick(id=new_id(), crop=crop, on=on, count=count, place_id=key, note=note)
        self.do(lambda: self.season.do(actions.ahead.save_expected_pick, pick))

    @rule(pick=which)
    def expect_no_longer(self, pick: int) -> None:
        self.do(
            lambda: self.season.do(
                actions.ahead.delete_expected_pick, self.one_of("expected_picks", pick)
            )
        )

    @rule(crop=crops, price=prices, per_day=some_count)
    def save_second_grade(self, crop: str, price: int | None, per_day: int | None) -> None:
        grade = SecondGrade(id=new_id(), crop=crop, price_minor=price or 0, fruit_per_day=per_day)
        kept = [g for g in self.season.book.second_grades.values() if g.crop != crop]
        self.do(lambda: self.season.do(actions.ahead.save_second_grades, [*kept, grade]))

    @rule(grade=which)
    def delete_second_grade(self, grade: int) -> None:
        gone = self.one_of("second_grades", grade)
        kept = [g for g in self.season.book.second_grades.values() if g.id != gone]
        self.do(lambda: self.season.do(actions.ahead.save_second_grades, kept))

    # Tables and copies

    @rule(crop=crops, count=some_count, place=texts, when=moments, code=texts, name=texts)
    def import_picks(
        self, crop: str, count: int | None, place: str, when: timedelta, code: str, name: str
    ) -> None:
        given = {"crop": crop, "count": count, "picked_at": self.at(when), "batch": code or None}
        rows = [TableRow(2, {k: v for k, v in given.items() if v is not None}), TableRow(3, {})]
        usual = ImportDefaults("pawpaw", self.one_of("places", 0))
        self.do(lambda: self.season.do(actions.table_import.take_in, "picks", rows, usual, name))

    @rule()
    def go_back_to_a_copy_of_the_start(self) -> None:
        copy = Path(self.folder.name) / "copy.ripenroom"
        if copy.exists():
            self.do(lambda: self.season.do(actions.season.go_back_to, copy, self.clock))
        else:
            copy.write_bytes(self.path.read_bytes())

    @rule(choose=st.sampled_from(("mine", "theirs")))
    def meet_a_copy(self, choose: Any) -> None:
        copy = Path(self.folder.name) / "copy.ripenroom"
        if not copy.exists():
            return

        def come_together() -> None:
            meeting = self.season.copies.meet(copy)
            choices = {conflict.key: choose for conflict in meeting.conflicts}
            self.season.do(actions.season.take_in, meeting, choices, copy.name)

        self.do(come_together)


@pytest.mark.hypothesis
@pytest.mark.parametrize(
    ("sequences", "steps"),
    [(6, 60)] if TIMES else [(1, 15), pytest.param(6, 30, marks=pytest.mark.long)],
)
def test_any_actions_are_done_or_refused_in_words(sequences: int, steps: int) -> None:
    AnyActions.tally.clear()
    run_state_machine_as_test(
        AnyActions,
        settings=draws(
            sequences,
            stateful_step_count=steps,
            suppress_health_check=list(HealthCheck),
            # Shrinking a long sequence would take hours.
            phases=[Phase.generate] if TIMES else [Phase.generate, Phase.shrink],
        ),
    )
    print(dict(AnyActions.tally))
    assert AnyActions.tally["done"] > AnyActions.tally["sequences"] * 5
