"""Why crates stay where they are: they go later, sell from there, or nobody takes them."""

import math
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from ripenroom.records.book import Book
from ripenroom.records.market import MarketDay
from ripenroom.season.moments import from_hours, to_hours
from ripenroom.season.plans.after_last_market import FIRST_DAY, SPOILS_SHARE
from ripenroom.season.plans.demand import days_in_sight
from ripenroom.season.plans.plan import Staying, StayReason
from ripenroom.season.projection import FruitState, Projection

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import Plan, PlannedItinerary


class WhyStaying:
    """The reasons of a plan's lines of picked fruit, as the fruit ages where it stands now."""

    def __init__(self, book: Book, plan: "Plan", projection: Projection, zone: ZoneInfo) -> None:
        self._book, self._projection, self._zone = book, projection, zone
        days = days_in_sight(book, from_hours(projection.at_h, zone))
        end_h = to_hours(days[-1].starts_at) if days else projection.at_h
        self._later_h = end_h + 24.0 * FIRST_DAY
        self._short = {(m.market_day_id, m.crop) for m in plan.markets if m.shortage >= 1.0}

    def closes(self, line: "PlannedItinerary") -> datetime | None:
        """When a line's batch is past where it is; None if never, or nothing is known of it."""
        number = self._projection.line_of.get(line.batch_id)
        if number is None:
            return None
        hours = float(self._projection.closes_h.mid[number])
        return None if math.isnan(hours) else from_hours(hours, self._zone)

    def keeps(self, line: "PlannedItinerary") -> bool:
        """Whether crates that are kept for a market day that is not entered yet are still good for
        the first one that may come, where they stand by what is written down.

        What the plan moves for that is; what would have to be moved, and is not, isn't, nor what is
        kept for so small a part of it that nobody would.
        """
        if not line.kept or line.expected_ready_share < SPOILS_SHARE:
            return False
        number = self._projection.line_of.get(line.batch_id)
        if number is None or line.steps:
            return True
        closes_h = float(self._projection.closes_h.mid[number])
        return math.isnan(closes_h) or closes_h > self._later_h

    def stays(self, line: "PlannedItinerary", crates: int) -> Staying:
        """Why so many crates of a line stay."""
        at = line.next_step().pull_at
        if line.steps:
            return Staying(line, crates, StayReason.MOVES_LATER, at)
        if line.second_grade:
            return Staying(line, crates, StayReason.SECOND_GRADE, at)
        day = self._book.market_days.get(line.market_day_id or "")
        if day is not None:
            return Staying(line, crates, StayReason.MARKET, day.starts_at)
        closes, number = self.closes(line), self._projection.line_of.get(line.batch_id)
        if number is not None:
            if self._projection.state[number] == FruitState.PAST:
                return Staying(line, crates, StayReason.PAST, closes)
            if self._projection.state[number] == FruitState.WONT_RIPEN and not line.kept:
                return self._hopeless(line, crates, number)
        return self._unsold(line, crates, closes)

    def _hopeless(self, line: "PlannedItinerary", crates: int, number: int) -> Staying:
        """What will never ripen, or may not: that is squeezed again first."""
        if not self._projection.may_ripen[number]:
            return Staying(line, crates, StayReason.HOPELESS)
        again_h = float(self._projection.squeeze_again_h[number])
        again = from_hours(again_h, self._zone) if math.isfinite(again_h) else None
        return Staying(line, crates, StayReason.MAY_NOT_RIPEN, again)

    def _unsold(self, line: "PlannedItinerary", crates: int, closes: datetime | None) -> Staying:
        """Why crates that may still sell go to no market day that is entered."""
        crop = self._book.batches[line.batch_id].crop
        days = self._days_ahead(crop)
        if not days:
            return Staying(line, crates, StayReason.NO_MARKET, closes)
        unready = [day for day in days if not self._is_open_by(line, day.starts_at)]
        if self.keeps(line):
            short = [day for day in unready if (day.id, crop) in self._short]
            late = unready[-1:] if len(unready) == len(days) else short[-1:]
            by = late[0].id if late else None
            return Staying(line, crates, StayReason.KEPT, market_day_id=by)
        if closes is not None and closes <= days[0].starts_at:
            return Staying(line, crates, StayReason.TOO_LATE, closes)
        # What is spoilt before the last market day has no day on which it would be ready.
        waits = closes is None or closes > days[-1].starts_at
        if waits and len(unready) == len(days):
            return Staying(line, crates, StayReason.NOT_READY, closes, days[-1].id)
        return Staying(line, crates, StayReason.NO_BUYER, closes)

    def _days_ahead(self, crop: str) -> list[MarketDay]:
        """Market days ahead that want a crop, the next first."""
        wanted = {w.market_day_id for w in self._book.wants.values() if w.crop == crop and w.count}
        now = from_hours(self._projection.at_h, self._zone)
        return [day for day in days_in_sight(self._book, now) if day.id in wanted]

    def _is_open_by(self, line: "PlannedItinerary", at: datetime) -> bool:
        """Whether a batch is ready by a time where it stands."""
        number = self._projection.line_of.get(line.batch_id)
        opens_h = math.nan if number is None else float(self._projection.opens_h.mid[number])
        return not math.isnan(opens_h) and from_hours(opens_h, self._zone) <= at
