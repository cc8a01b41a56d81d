"""All that can be asked of a season as on a moment."""

import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from ripenroom.records.check import Check, last_felt
from ripenroom.records.market import MarketDay, MarketKind
from ripenroom.records.temperature_series import Celsius, Seconds
from ripenroom.season.actions.batches import require_batch
from ripenroom.season.amounts import (
    crates_of,
    fruit_in,
    fruit_left,
    fruit_per_crate,
    whole_fruit,
)
from ripenroom.season.buyers import days_of, usual_days
from ripenroom.season.crop_constants import buyers_days
from ripenroom.season.crop_kinds import profile_of
from ripenroom.season.last_squeeze import last_squeeze, last_squeezes
from ripenroom.season.moments import selling_ends, to_hours
from ripenroom.season.room_clocks import schedules
from ripenroom.season.state import SeasonState
from ripenroom.season.whereabouts import market_of, moves_of

# None is needed to open a season: each is imported when it is first asked for.
if TYPE_CHECKING:
    from ripenroom.records.market import ExpectedPick, SoldBy
    from ripenroom.records.orchard import Row
    from ripenroom.records.place import TemperatureLog
    from ripenroom.season.advice.advice import CheckDesign, CheckNext, Help, SetPointAdvice
    from ripenroom.season.amounts import FruitSold
    from ripenroom.season.date_shifts import DateShift
    from ripenroom.season.learned import CheckKind, Learned
    from ripenroom.season.learning.calibration import Calibration
    from ripenroom.season.learning.lessons import SharedLessons
    from ripenroom.season.orchard.orchard_types import (
        CountedFruit,
        OrchardForecast,
        RowFacts,
        SeasonRows,
    )
    from ripenroom.season.outdoors import AirToday
    from ripenroom.season.packing import PackingList
    from ripenroom.season.plans.demand import Sight
    from ripenroom.season.plans.plan import LikelyCrop, LikelyPick, Plan
    from ripenroom.season.plans.update import Planner, PlanUpdate
    from ripenroom.season.room_report import RoomPicture


SALES_AT_ONCE = 1_000
"""From so many pairs of a batch and a market day ahead on, a plan that is made at once is shown
before the plan; of fewer the plan itself comes soon, and nobody should see two in a row."""


class Questions:
    """Asked of one state, which stays as it is: any thread may ask.

    The window and the command line ask here alike. What takes long heeds ``cancel``.
    """

    def __init__(self, state: SeasonState) -> None:
        self.state = state

    # Fruit and checks

    def fruit_left(
        self, batch_id: str, by: datetime | None = None, crates: int | None = None
    ) -> int:
        """Fruit of a batch that are there to be squeezed now, or were there ``by`` then; of so many
        of its ``crates`` only. None of a crop that is not known."""
        book, crops = self.state.book, self.state.crops
        batch = require_batch(book, batch_id)
        if batch.crop not in crops:
            return 0
        left = fruit_left(book, crops, batch, by or self.state.now)
        if crates is not None:
            left = fruit_in(crates, left, fruit_per_crate(crops, batch))
        return whole_fruit(left)

    def crates_holding(self, batch_id: str, fruit: float) -> int:
        """Crates that so much fruit of a batch stands in. None of a crop that is not known."""
        book, crops = self.state.book, self.state.crops
        batch = require_batch(book, batch_id)
        if batch.crop not in crops:
            return 0
        return crates_of(fruit, fruit_per_crate(crops, batch))

    def freezing_c(self, batch_id: str) -> float:
        """Temperature (C) at which the fruit of a batch freezes; its crop must be known."""
        batch = require_batch(self.state.book, batch_id)
        profile = profile_of(batch, self.state.book, self.state.crops)
        assert profile is not None, "only fruit of known crops is looked at"
        return profile.storage.freezes_at_c

    def check_design(self, batch_id: str, kind: "CheckKind") -> "CheckDesign | None":
        """How many fruit of a batch to squeeze now; None where that tells nothing."""
        from ripenroom.season.advice.check_size import check_design
        from ripenroom.season.projector import Projector

        state = self.state
        batch = require_batch(state.book, batch_id)
        moves = moves_of(state.book, batch_id)
        profile = state.crops.get(batch.crop)
        if profile is None or profile.judged_by == "nothing" or not moves:
            return None
        left, projector = self.fruit_left(batch_id), Projector.of(state)
        return check_design(state.book, state.now, batch, moves, projector, kind, left)

    def taught(self, batch_id: str) -> "DateShift | None":
        """A batch's next date by the book and as learned."""
        from ripenroom.season.date_shifts import taught

        return taught(self.state, batch_id)

    def check_next(self, cancel: threading.Event | None = None) -> "tuple[CheckNext, ...]":
        """Which batches to squeeze today, so that the plan gains most from knowing."""
        from ripenroom.season.advice.check_next import check_next

        return check_next(self.state, cancel)

    def checked_lately(self) -> frozenset[str]:
        """Ids of batches that were squeezed so lately that more tells little."""
        from ripenroom.season.advice.check_next import checked_lately

        return checked_lately(self.state.book, to_hours(self.state.now))

    def date_shifts(
        self, batch_id: str, cancel: threading.Event | None = None
    ) -> "Mapping[str, DateShift]":
        """What each check of a batch changes of its date, by the check's id."""
        from ripenroom.season.date_shifts import pulls

        return pulls(self.state, batch_id, cancel)

    def learned(self, cancel: threading.Event | None = None) -> "Learned":
        """What all checks taught; goes on from what was learned before. Raises ``Cancelled``."""
        from ripenroom.season.learning.fit import fit

        return fit(self.state, cancel)

    def past_forecasts(self, cancel: threading.Event | None = None) -> "Calibration":
        """Past forecasts held to what was found. Raises ``Cancelled``."""
        from ripenroom.season.learning.calibration import calibration

        return calibration(self.state, cancel)

    # Plan

    def plan(
        self,
        before: "Plan | None" = None,
        yesterday: "Plan | None" = None,
        cancel: threading.Event | None = None,
        last: "Planner | None" = None,
    ) -> "PlanUpdate | None":
        """The plan, near to the plan ``before``, which ``last`` may have made; the best that was
        found by ``cancel``, or None where that came before there was anything to choose from."""
        from ripenroom.planning.choices import CalledOff
        from ripenroom.season.plans.update import plan_update

        try:
            return plan_update(self.state, before, yesterday, cancel, last)
        except CalledOff:
            return None

    @property
    def plan_takes_long(self) -> bool:
        """Whether the plan takes so long that one which is made at once is of use before it."""
        state = self.state
        ahead = sum(1 for day in state.book.market_days.values() if day.starts_at > state.now)
        return ahead * len(state.book.batches) >= SALES_AT_ONCE

    def plan_at_once(self, cancel: threading.Event | None = None) -> "PlanUpdate | None":
        """A good plan in a fraction of the time; None where it was called off before."""
        from ripenroom.planning.choices import CalledOff
        from ripenroom.season.plans.update import plan_at_once

        try:
            return plan_at_once(self.state, cancel)
        except CalledOff:
            return None

    def set_point_advice(
        self,
        cancel: threading.Event | None = None,
        progress: Callable[[float], None] | None = None,
    ) -> "SetPointAdvice | None":
        """What other set points would do; None if it was called off."""
        from ripenroom.season.advice.set_points import set_point_advice

        return set_point_advice(self.state, cancel, progress)

    def what_helps(
        self,
        cancel: threading.Event | None = None,
        progress: Callable[[float], None] | None = None,
    ) -> "tuple[Help, ...]":
        """What would help the plan most, the largest gain first."""
        from ripenroom.season.advice.what_helps import what_helps

        return what_helps(self.state, cancel, progress)

    def still_expected(self) -> "list[ExpectedPick]":
        """Picks of today and later that are not written down yet."""
        from ripenroom.season.plans.expected_picks import still_expected

        return still_expected(self.state.book, self.state.now, self.state.zone)

    def ends_of_picks(self) -> Mapping[tuple[str, str | None], date]:
        """From which day on nothing more comes, of crops (with None) and of cultivars."""
        from ripenroom.season.plans.expected_picks import ends_of_picks

        return ends_of_picks(self.state.book, self.state.zone)

    def likely_picks(self) -> "tuple[ExpectedPick, ...]":
        """Picks of days ahead that are likely, by the last days' picks."""
        from ripenroom.season.plans.expected_picks import likely_picks

        return likely_picks(self.state)

    def likely_ahead(self) -> "tuple[LikelyPick, ...]":
        """The same picks, with how sure their counts are."""
        from ripenroom.season.plans.expected_picks import likely_ahead

        return likely_ahead(self.state)

    def likely_crops(self) -> "tuple[LikelyCrop, ...]":
        """What is likely of each crop in all."""
        from ripenroom.season.plans.expected_picks import likely_crops

        return likely_crops(self.state)

    # Rows of trees

    def row_facts(self) -> "tuple[RowFacts, ...]":
        """What is known of each row of trees so far, by name."""
        from ripenroom.season.orchard.orchard_rows import row_facts

        return row_facts(self.state.book, self.state.crops)

    def orchard(self) -> "OrchardForecast":
        """What is expected of the rows of trees, and of frost."""
        from ripenroom.season.orchard.forecast import orchard_forecast

        return orchard_forecast(self.state)

    def season_rows(self) -> "SeasonRows":
        """What became of each row of this season, to be laid beside others."""
        from ripenroom.season.orchard.lessons import season_rows

        return season_rows(self.state.book)

    def rows_of_file(self, path: Path) -> "SeasonRows":
        """What became of the rows of another season; its file is only read. Raises ``Refusal``."""
        from ripenroom.season.orchard.lessons import rows_of_file

        return rows_of_file(self.state, path)

    def counted_fruit(self, row: "Row") -> "CountedFruit | None":
        """How many fruit the counts of a row make, whether it is saved or not; None without any."""
        from ripenroom.season.orchard.orchard_rows import counted_fruit

        return counted_fruit(row)

    # Lessons

    def lessons(self) -> "SharedLessons":
        """What this season's own checks, walks and picks taught, for others to begin from."""
        from ripenroom.season.learning.lessons import lessons_of
        from ripenroom.season.orchard.lessons import tree_lessons

        return replace(lessons_of(self.state), trees=tree_lessons(self.state))

    def lessons_of_file(self, path: Path) -> "SharedLessons":
        """What another season taught; its file is only read. Raises ``Refusal``."""
        from ripenroom.season.learning.lessons import lessons_of_file
        from ripenroom.season.orchard.lessons import rows_of_file

        shared = lessons_of_file(self.state, path)
        return replace(shared, trees=rows_of_file(self.state, path).lessons)

    def last_felt(self, batch_id: str) -> str | None:
        """How most fruit of a batch felt when it was last squeezed; None where it never was."""
        batch = self.state.book.batches.get(batch_id)
        if batch is None:
            return None
        return last_felt(batch, last_squeeze(batch_id, self.state.book))

    def last_squeezes(self) -> Mapping[str, Check]:
        """The last check by hand that tells of each batch, where there is any."""
        return last_squeezes(self.state.book)

    # Market days

    def at_market(self, batch_id: str) -> MarketDay | None:
        """The market day that goes on and at which fruit of a batch is; None: it is at home."""
        return market_of(batch_id, self.state.book, self.state.now)

    def is_over(self, day: MarketDay) -> bool:
        """Whether a market day is over: said to be settled, or by the clock."""
        return day.settled_at is not None or self.state.now >= selling_ends(
            day.starts_at, self.state.zone
        )

    def could_come(self, day: MarketDay) -> Mapping[str, int]:
        """Fruit of each batch that were there when a market day began."""
        from ripenroom.season.guess_of_brought import could_come

        return could_come(self.state.book, self.state.crops, day)

    def packed_for(self, day: MarketDay) -> Mapping[str, int]:
        """Fruit of each batch that stand packed for a market day."""
        from ripenroom.season.guess_of_brought import packed_for

        return packed_for(self.state.book, self.state.crops, day)

    def usual_days(self, kind: MarketKind, crop: str) -> float:
        """Days within which the buyers of such a market day usually eat a crop."""
        return usual_days(kind, buyers_days(self.state.crops[crop]))

    def buyers_days(self, day: MarketDay, crop: str) -> float | None:
        """Days within which the buyers of a market day eat a crop; None of one that is not
        known."""
        profile = self.state.crops.get(crop)
        return None if profile is None else days_of(day, buyers_days(profile))

    def packing_list(self, market_day_id: str, plan: "Plan | None") -> "PackingList":
        """What to take to a market day, what to open next and what to leave."""
        from ripenroom.season.packing import packing_list

        return packing_list(self.state, market_day_id, plan)

    def fruit_sold(
        self, crop: str, sold_by: "SoldBy", amount: float, fruit_per_box: int | None
    ) -> "FruitSold | None":
        """What an amount by weight or box is in fruit; None of a crop that is not known."""
        from ripenroom.season.amounts import fruit_sold

        profile = self.state.crops.get(crop)
        if profile is None:
            return None
        return fruit_sold(self.state.book, profile, sold_by, amount, fruit_per_box)

    def short_sights(self, plan: "Plan") -> "tuple[Sight, ...]":
        """For which crops of a plan's crates market days are missing."""
        from ripenroom.season.plans.demand import short_sights
        from ripenroom.season.plans.stock import crops_of

        book = self.state.book
        return short_sights(book, self.state.now, crops_of(book, plan))

    def keeps_any(self, plan: "Plan", crops: Sequence[str]) -> bool:
        """Whether a plan keeps crates of some crops for market days that are not entered yet."""
        from ripenroom.season.plans.stock import keeps_any

        return keeps_any(self.state.book, plan, crops)

    # Temperatures

    def air_today(self, place_id: str) -> "AirToday | None":
        """The air of a place by today's weather; None where it does not follow that, or nothing is
        known of it."""
        from ripenroom.season.outdoors import air_today

        state = self.state
        return air_today(state.book, state.book.places[place_id], state.now, state.zone)

    def logs_of_place(self, place_id: str) -> "tuple[TemperatureLog, ...]":
        """The temperature logs of a place, earliest first."""
        logs = (g for g in self.state.book.temperature_logs.values() if g.place_id == place_id)
        return tuple(sorted(logs, key=lambda log: (log.starts_at, log.id)))

    def room_picture(self, place_id: str, times_s: Seconds, celsius: Celsius) -> "RoomPicture":
        """Readings that are not taken in yet, drawn beside the set point of a place."""
        from ripenroom.science.logged_air import Readings
        from ripenroom.season.room_report import room_picture

        schedule = schedules(self.state.book, self.state.zone)[place_id]
        return room_picture(Readings(times_s / 3600.0, celsius).thinned(), schedule)
