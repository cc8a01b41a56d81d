"""Counts a made plan again, crate by crate and hour by hour.

It reads the plan's lines and the records, and nothing of how plans are made but when each batch's
window closes: until then crates that nobody moves stand where they are.
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from functools import cached_property
from itertools import pairwise
from zoneinfo import ZoneInfo

from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.plans.plan import Plan, PlannedItinerary

HOUR = timedelta(hours=1)
END = timedelta(days=60)
NOON = time(12)


@dataclass(frozen=True)
class Stay:
    """Crates of a line in a place, from one time until another; ``new`` if the plan wants it."""

    place_id: str
    since: datetime
    until: datetime
    crates: int
    new: bool


class Recount:
    """One plan, counted again. ``closes`` says when each batch, or expected pick, is past."""

    def __init__(
        self,
        book: Book,
        plan: Plan,
        crops: Mapping[str, CropProfile],
        zone: ZoneInfo,
        closes: Mapping[str, datetime],
    ) -> None:
        self.book, self.plan, self.crops, self.zone = book, plan, crops, zone
        self.now, self.end = plan.made_at, plan.made_at + END
        self.closes = closes

    def faults(self) -> list[str]:
        """Everything that is wrong with the plan, in words."""
        return [
            *self._crates(),
            *self._paths(),
            *self._rooms(),
            *self._hands(),
            *self._markets(),
            *self._second_grade(),
        ]

    # Where every crate is

    def _begins(self, line: PlannedItinerary) -> datetime:
        """When crates of a line are there: now, or when they are picked."""
        if line.expected_pick_id is None:
            return self.now
        on = self.book.expected_picks[line.expected_pick_id].on
        return max(self.now, datetime.combine(on, NOON, tzinfo=self.zone))

    def _gone(self, line: PlannedItinerary) -> datetime:
        """When crates of a line are gone."""
        if line.second_grade:
            assert line.pull_at is not None
            return line.pull_at
        if line.market_day_id is not None:
            return self.book.market_days[line.market_day_id].starts_at
        if line.to_place_id is None:
            return self._begins(line)
        if line.kept:
            return self.end
        closes = self.closes.get(line.batch_id or line.expected_pick_id or "", self.end)
        # What is pinned or written down is done first; nobody clears crates away as they come.
        last = line.steps[-1].at + timedelta(days=1) if line.steps else self.now
        return min(max(closes, last), self.end)

    def _is_new(self, line: PlannedItinerary, at: datetime, place_id: str) -> bool:
        """Whether the plan itself wants a move, and not the records or a pin."""
        said = {
            (move.at, move.place_id)
            for move in self.book.moves.values()
            if move.batch_id == line.batch_id
        }
        pin = self.book.pins.get(line.pin_id or "")
        if pin is not None:
            said.add((pin.pull_at or self.now, pin.place_id or ""))
        return (at, place_id) not in said

    @cached_property
    def stays(self) -> list[Stay]:
        """Every stay of every line."""
        found = []
        for line in self.plan.lines:
            begins, gone = self._begins(line), self._gone(line)
            steps = [(begins, line.from_place_id, False)]
            steps += [(at, place, self._is_new(line, at, place)) for at, place in line.steps]
            ends = [at for at, _, _ in steps[1:]] + [gone]
            for (since, place, new), until in zip(steps, ends, strict=True):
                found.append(Stay(place, since, min(until, gone), line.crates, new))
        return found

    def _crates(self) -> Iterator[str]:
        """Every crate is used once."""
        used: Counter[str] = Counter()
        for line in self.plan.lines:
            if line.crates < 1:
                yield f"a line of {line.crates} crates"
            used[line.batch_id or line.expected_pick_id or ""] += line.crates
        gone: Counter[str] = Counter()
        for removal in self.book.removals.values():
            gone[removal.batch_id] += removal.count
        for key, number in used.items():
            batch, pick = self.book.batches.get(key), self.book.expected_picks.get(key)
            whole = batch or pick
            assert whole is not None
            left = (whole.count or 0) - gone[key]
            there = math.ceil(left / self.crops[whole.crop].fruit_per_crate.value - 1e-9)
            if number != there:
                yield f"{key}: {number} crates are planned for, {there} are there"
        for batch in self.book.batches.values():
            if (batch.count or 0) > gone[batch.id] and not used[batch.id]:
                yield f"{batch.id} is forgotten"

    def _paths(self) -> Iterator[str]:
        """Moves come one after the other, after the pick and before the sale, each elsewhere."""
        for line in self.plan.lines:
            name = line.batch_id or line.expected_pick_id
            times = [self._begins(line), *(step.at for step in line.steps)]
            if line.market_day_id is not None or line.second_grade:
                times.append(self._gone(line))
            if any(a > b for a, b in pairwise(times)) or len(set(times)) < len(times):
                yield f"{name}: {times} are out of order"
            places = [line.from_place_id, *(step.place_id for step in line.steps)]
            for (a, b), step in zip(pairwise(places), line.steps, strict=True):
                if a == b and self._is_new(line, *step):
                    yield f"{name}: moved to where it is"

    def _rooms(self) -> Iterator[str]:
        """At every hour a place holds no more than it can, unless by what no plan brought there."""
        hours = [self.now + n * HOUR for n in range(int(END / HOUR))]
        hours += [stay.since for stay in self.stays]
        for place in self.book.places.values():
            if place.capacity_crates is None:
                continue
            own = [stay for stay in self.stays if stay.place_id == place.id]
            if not any(stay.new for stay in own):
                continue
            for at in sorted(set(hours)):
                there = [stay for stay in own if stay.since <= at < stay.until]
                holds = sum(stay.crates for stay in there)
                if holds > place.capacity_crates and any(stay.new for stay in there):
                    yield f"{at:%d %Hh}: {holds} in {place.id}, for {place.capacity_crates}"
                    break

    def _hands(self) -> Iterator[str]:
        """No more crates are moved on a day than hands can, unless by what is decided already."""
        limit = self.book.season.crates_moved_per_evening
        if limit is None:
            return
        moved: Counter[object] = Counter()
        new: Counter[object] = Counter()
        for line in self.plan.lines:
            for step in line.steps:
                if line.market_day_id is None and step.at > self._gone(line):
                    continue  # What was past by then is taken as cleared away.
                # What is moved in the small hours is the work of the evening before.
                day = (step.at.astimezone(self.zone) - 6 * HOUR).date()
                moved[day] += line.crates
                new[day] += line.crates * self._is_new(line, *step)
        for on, crates in moved.items():
            if crates > limit and new[on]:
                yield f"{on}: {crates} crates moved, {limit} can be"

    # What is sold

    def _markets(self) -> Iterator[str]:
        """What is said of market days is what their lines come to; nothing is brought in vain."""
        lines = [line for line in self.plan.lines if line.market_day_id is not None]
        brought: Counter[tuple[str, str]] = Counter()
        said = {(market.market_day_id, market.crop): market for market in self.plan.markets}
        for line in lines:
            brought[line.market_day_id or "", self._crop(line)] += 0
        for key in brought.keys() - said.keys():
            yield f"nothing is said of {key}"
        for want in self.book.wants.values():
            day = self.book.market_days[want.market_day_id]
            if want.count and self.now < day.starts_at:
                market = said.get((day.id, want.crop))
                if market is None or market.wanted != want.count:
                    yield f"{day.id} wants {want.count} {want.crop}"
        for key, market in said.items():
            own = [line for line in lines if (line.market_day_id, self._crop(line)) == key]
            fruit = sum(line.fruit for line in own)
            if abs(fruit - market.planned) > 1e-6 * max(1.0, fruit):
                yield f"{key}: {market.planned} are said, the lines bring {fruit}"
            if not 0.0 <= market.ready.low <= market.ready.mid <= market.ready.high <= fruit + 1e-6:
                yield f"{key}: of {fruit} fruit {market.ready} are to be ready"
            yield from self._in_vain(key, own, 1.25 * market.wanted)

    def _second_grade(self) -> Iterator[str]:
        """No more goes for second grade on a day than is taken."""
        takes = {grade.crop: grade.fruit_per_day for grade in self.book.second_grades.values()}
        by_day: dict[tuple[object, str], list[PlannedItinerary]] = {}
        for line in self.plan.lines:
            if line.second_grade and line.pull_at is not None:
                key = line.pull_at.astimezone(self.zone).date(), self._crop(line)
                by_day.setdefault(key, []).append(line)
        for (on, crop), own in by_day.items():
            most = takes[crop]
            if most is not None:
                yield from self._in_vain((on, crop), own, float(most))

    def _in_vain(self, name: object, lines: list[PlannedItinerary], most: float) -> Iterator[str]:
        """Of what the plan brings itself, no crate is one that nobody can take any fruit of."""
        good = {
            line: line.expected_ready_share * line.fruit / line.crates
            for line in lines
            if line.pin_id is None
        }
        pinned = sum(
            line.expected_ready_share * line.fruit for line in lines if line.pin_id is not None
        )
        total = pinned + sum(each * line.crates for line, each in good.items())
        if good and total - min(good.values()) > most + 1e-6:
            yield f"{name}: {total:.1f} are brought, {most:.1f} can be taken"

    def _crop(self, line: PlannedItinerary) -> str:
        pick = self.book.expected_picks.get(line.expected_pick_id or "")
        return pick.crop if pick is not None else self.book.batches[line.batch_id].crop
