"""Goes through an evening as it is written on the day sheet, crate by crate.

It reads the plan's lines, the records and the list, and nothing of how the list is made.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from ripenroom.records.book import Book
from ripenroom.season.plans.plan import Evening, Plan, PlannedItinerary, Tonight

NOON, SIX = time(12), time(18)


class Replay:
    """One list, followed from the top to the bottom."""

    def __init__(self, book: Book, plan: Plan, asked: Tonight, zone: ZoneInfo) -> None:
        self.book, self.plan, self.asked, self.zone = book, plan, asked, zone
        self.picks = dict(book.expected_picks) | {pick.id: pick for pick in plan.likely}
        self.where: dict[PlannedItinerary, str | None] = {}
        self.crates: dict[PlannedItinerary, int] = {}
        for line in (*plan.lines, *plan.reckoned_lines):
            self.where[line], self.crates[line] = line.from_place_id, line.crates
        self.counts: Counter[str] = Counter()
        self.aside: set[PlannedItinerary] = set()
        self.put: set[PlannedItinerary] = set()

    def faults(self, last: date) -> list[str]:
        """Everything that is wrong with the list up to the evening of a day, in words."""
        found = []
        for evening in self.asked.evenings:
            found += list(self._evening(evening))
        found += self._all_that_is_due(last)
        found += self._all_that_stays(last)
        return found

    def _evening(self, evening: Evening) -> Iterator[str]:
        at = datetime.combine(evening.on, SIX, tzinfo=self.zone)
        for clearing in evening.clear:
            line = clearing.line
            self.counts["cleared"] += clearing.crates
            if line.market_day_id or line.second_grade or line.steps or line.kept:
                yield f"{line} is cleared, and yet it is sold or kept"
            if not 1 <= clearing.crates <= sum(self.crates[one] for one in clearing.lines):
                yield f"{clearing.crates} of {line} are cleared"
            if clearing.past_since is None and line.to_place_id is not None:
                yield f"{line} is cleared, and it is neither past nor given up"
            if clearing.past_since is not None and clearing.past_since > at:
                yield f"{line} is cleared before it is past"
            # Of several lines of a batch the first is cleared first.
            rest = clearing.crates
            for one in clearing.lines:
                gone = min(rest, self.crates[one])
                self.crates[one] -= gone
                rest -= gone
        for line in [line for carrying in evening.carry for line in carrying.lines]:
            if line not in self.where:
                yield from self._aside(line)
        for carrying in evening.carry:
            self.counts["steps"] += 1
            self.counts["swaps"] += len(carrying.lines) > 1
            if not carrying.room:
                self.counts["without room"] += 1
                (line,) = carrying.lines
                if self._is_new(line):
                    yield f"the plan itself moves {line} where there is no room"
                # What is pinned or written down comes all the same.
                self.where[line] = line.next_step().to_place_id
                continue
            for line in carrying.lines:
                step = line.next_step()
                if step.pull_at is None or step.pull_at.astimezone(self.zone).date() != evening.on:
                    yield f"{line} does not move on {evening.on}"
                self.where[line] = step.to_place_id
            # Of a swap only the end counts: until then its crates stand on the floor.
            for place_id in {line.next_step().to_place_id for line in carrying.lines} - {None}:
                yield from self._too_full(str(place_id), at)
        if any(clearing.past_since is None for clearing in evening.clear):
            self.counts["good cleared"] += 1
            yield from self._room_anywhere(at)
        for line in [line for line in self.where if line in self.aside]:
            self._stands(line)

    def _aside(self, line: PlannedItinerary) -> Iterator[str]:
        """Crates that the plan gives up are carried somewhere."""
        self.counts["aside"] += line.crates
        alike = [
            base
            for base in self.where
            if (base.batch_id, base.from_place_id) == (line.batch_id, line.from_place_id)
            and base.to_place_id is None
            and not base.second_grade
            and self.crates[base] >= line.crates
        ]
        if not alike:
            yield f"{line} is no line of the plan"
        if not self.book.places[str(line.to_place_id)].is_destination:
            yield f"{line} is carried into a field bin"
        for base in alike[:1]:
            self.crates[base] -= line.crates
        self.where[line], self.crates[line] = line.from_place_id, line.crates
        self.aside.add(line)

    def _stands(self, line: PlannedItinerary) -> None:
        """Whatever was carried aside is given up as before, somewhere else."""
        place = self.where.pop(line)
        self.aside.discard(line)
        there = replace(line, from_place_id=str(place), pull_at=None, to_place_id=None, steps=())
        self.where[there], self.crates[there] = place, self.crates.pop(line)
        self.put.add(there)

    def _room_anywhere(self, at: datetime) -> Iterator[str]:
        """Good fruit is cleared only if it can stand nowhere on the farm."""
        for key, place in self.book.places.items():
            there = sum(
                self.crates[line]
                for line, where in self.where.items()
                if where == key and self._is_there(line, at)
            )
            holds = place.capacity_crates
            if place.is_destination and (holds is None or there < holds):
                yield f"{at:%d}: good fruit is cleared, and {key} has room"

    def _too_full(self, place_id: str, at: datetime) -> Iterator[str]:
        holds = self.book.places[place_id].capacity_crates
        there = sum(
            self.crates[line]
            for line, where in self.where.items()
            if where == place_id and self._is_there(line, at)
        )
        if holds is not None and there > holds:
            yield f"{at:%d}: {there} crates in {place_id}, for {holds}"

    def _is_there(self, line: PlannedItinerary, at: datetime) -> bool:
        """Whether it is picked, and not sold yet."""
        pick = self.picks.get(line.expected_pick_id or "")
        if pick is not None and datetime.combine(pick.on, NOON, tzinfo=self.zone) > at:
            return False
        day = self.book.market_days.get(line.market_day_id or "")
        return day is None or day.starts_at > at

    def _is_new(self, line: PlannedItinerary) -> bool:
        """Whether the plan wants the next move, and neither a pin nor the records."""
        step = line.next_step()
        written = {
            (m.at, m.place_id) for m in self.book.moves.values() if m.batch_id == line.batch_id
        }
        return line.pin_id is None and (step.pull_at, step.to_place_id) not in written

    def _all_that_is_due(self, last: date) -> Iterator[str]:
        asked = Counter(
            line for evening in self.asked.evenings for c in evening.carry for line in c.lines
        )
        for line in self.where:
            step = line.next_step()
            # Some are written down to go where they are.
            at = step.pull_at if step.to_place_id != line.from_place_id else None
            if line in self.put:
                continue
            due = at is not None and at.astimezone(self.zone).date() <= last and not line.packed
            if asked[line] != due:
                yield f"{line} is asked for {asked[line]} times"

    def _all_that_stays(self, last: date) -> Iterator[str]:
        """Of every crate of a batch it is said why it stays, or it is cleared, moved or sold."""
        at = datetime.combine(last, SIX, tzinfo=self.zone)
        moved = {line for e in self.asked.evenings for c in e.carry for line in c.lines}
        said = Counter[PlannedItinerary]()
        for staying in self.asked.stays:
            said[staying.line] += staying.crates
            self.counts[staying.reason] += 1
        for line, crates in self.crates.items():
            stays = line.batch_id and line not in moved | self.put and not line.packed
            stays = stays and self._is_there(line, at)
            if said[line] != (crates if stays else 0):
                yield f"{said[line]} of {crates} crates of {line} are said to stay"
