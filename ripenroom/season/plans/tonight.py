"""What a plan asks for on the next evenings, in an order in which it fits.

Fruit that is past holds its room until somebody clears it away. A plan may count on that room from
the evening on which the fruit is past: then the crates are to be cleared first. So are a few where
good fruit would have to be swapped between full rooms. Good fruit that a plan gives up goes where
there is room; it is cleared only if there is none anywhere.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import replace
from datetime import date, datetime
from itertools import groupby
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from ripenroom.planning.make_way import Idle, make_way
from ripenroom.planning.move_order import NOWHERE, Carry, CarryOrder, in_order
from ripenroom.records.book import Book
from ripenroom.records.crop.profile import CropProfile
from ripenroom.season.moments import evening_of, local_day, to_hours
from ripenroom.season.plans.decisions import is_written
from ripenroom.season.plans.plan import (
    Carrying,
    Clearing,
    Evening,
    PlannedMove,
    Staying,
    Tonight,
)
from ripenroom.season.plans.rests import is_rest
from ripenroom.season.plans.staying import WhyStaying
from ripenroom.season.projection import Projection
from ripenroom.season.room_clocks import schedules
from ripenroom.season.whereabouts import moves_by_batch

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import Plan, PlannedItinerary

PlaceOf = Callable[[str], str | None]
"""The id of the place in which a batch is now; None where it is nowhere."""


def tonight(
    book: Book,
    crops: Mapping[str, CropProfile],
    plan: "Plan",
    projection: Projection,
    place_of: PlaceOf,
    last: date,
    zone: ZoneInfo,
    done: "Set[PlannedItinerary]" = frozenset(),
) -> Tonight:
    """What a plan asks for up to the evening of the ``last`` day.

    Lines that are ``done`` were carried out since the plan was made, each its next step.
    """
    standing = _Standing(book, crops, plan, projection, place_of, zone)
    standing.put(done)
    evenings = tuple(standing.evening(on) for on in standing.days(last))
    return Tonight(evenings, tuple(standing.staying(last)))


class _Standing:
    """Crates by line and place, as they are until the next evening that is asked for."""

    def __init__(
        self,
        book: Book,
        crops: Mapping[str, CropProfile],
        plan: "Plan",
        projection: Projection,
        place_of: PlaceOf,
        zone: ZoneInfo,
    ) -> None:
        self._book, self._crops = book, crops
        self._lines = (*plan.lines, *plan.reckoned_lines)
        self._picks = dict(book.expected_picks) | {pick.id: pick for pick in plan.likely}
        self._moves = moves_by_batch(book)
        self._why = WhyStaying(book, plan, projection, zone)
        self._place_of = place_of
        self._zone = zone
        self._place_ids = list(book.places)
        self._numbers = {key: number for number, key in enumerate(book.places)}
        air = schedules(book, zone)
        now_h = projection.at_h
        # What waits for nothing keeps longest in the cold.
        self._cold_first = sorted(
            (self._numbers[key] for key, place in book.places.items() if place.is_destination),
            key=lambda number: air[self._place_ids[number]].set_point_at(now_h),
        )
        self._holds = [
            math.inf if place.capacity_crates is None else float(place.capacity_crates)
            for place in book.places.values()
        ]
        self.crates: dict[PlannedItinerary, int] = {}
        self._place: dict[PlannedItinerary, str] = {}
        self._settled: set[PlannedItinerary] = set()
        self._told: set[PlannedItinerary] = set()
        """Lines of crates that are carried out of the way, as they stand afterwards."""
        self._given_up_in: dict[PlannedItinerary, PlannedItinerary] = {}

    def put(self, done: "Set[PlannedItinerary]") -> None:
        """Put every line's crates where they are by the records: they may have been moved since
        the plan was made."""
        for line in self._lines:
            place: str | None = line.from_place_id
            if line in done and (line.steps or line.market_day_id is None):
                place = line.next_step().to_place_id if line.steps else None
            elif line.batch_id:
                there = line.batch_id in self._book.batches
                place = self._place_of(line.batch_id) if there else None
            if place not in self._numbers:
                continue
            self.crates[line] = line.crates
            self._place[line] = place
            if line in done or place != line.from_place_id:
                self._settled.add(line)
        for line in done - set(self._lines):
            self._put_aside(line)

    def _put_aside(self, done: "PlannedItinerary") -> None:
        """Crates of a line that was given up were carried out of the way since."""
        for line in list(self.crates):
            same = line.batch_id == done.batch_id and line.from_place_id == done.from_place_id
            if same and line.to_place_id is None and line not in self._settled:
                crates = min(done.crates, self.crates[line])
                self._take(line, crates)
                self.crates[done], self._place[done] = crates, done.steps[0].place_id
                self._settled.add(done)
                return

    def days(self, last: date) -> list[date]:
        """Days up to the ``last`` on which anything leaves its place."""
        days = {on for line in self.crates if (on := self._leaves_on(line)) is not None}
        return sorted(on for on in days if on <= last)

    def evening(self, on: date) -> Evening:
        """What is done on a day; afterwards crates stand where that brings them."""
        evening_at = evening_of(on, self._zone)
        moves = [line for line in self.crates if self._leaves_on(line) == on]
        moves.sort(key=lambda line: line.next_step().pull_at or evening_at)
        targets = [self._target(line) for line in moves]
        carries = [
            Carry(line.crates, self._numbers[self._place[line]], target)
            for line, target in zip(moves, targets, strict=True)
        ]
        free = self._free(evening_at)
        asked = len(moves)
        clear = self._make_room(moves, carries, free, evening_at)
        order, forced = self._in_order(moves, carries, free)
        while stuck := [number for number in order.no_room if number >= asked]:
            # What leaves the place that it would go to cannot leave: there is no room after all.
            back, crates = self._put_back(moves.pop(stuck[0])), carries[stuck[0]].crates
            free[carries.pop(stuck[0]).source] += crates
            clear += self._clear([(None, back)], crates)
            order, forced = self._in_order(moves, carries, free)
        while spared := self._instead_of_a_swap(moves, carries, free, order, evening_at):
            past, count, place = spared
            clear += self._clear(past, count)
            free[place] += count
            order, forced = self._in_order(moves, carries, free)
        steps = [
            Carrying(tuple(moves[number] for number in step), room=step[0] not in forced)
            for step in order.steps
        ]
        for line in [line for step in steps for line in step.lines]:
            self._carry(line)
        steps += [Carrying((moves[number],), room=False) for number in order.no_room]
        self._settled.update(moves[:asked])
        for line in moves[asked:]:
            self._stand_aside(line)
        return Evening(on, tuple(_in_one(clear)), tuple(_together(steps)))

    def _in_order(
        self, moves: "Sequence[PlannedItinerary]", carries: Sequence[Carry], free: Sequence[float]
    ) -> tuple[CarryOrder, set[int]]:
        """The order of the evening, and what comes without room: what is decided already does so
        whether there is any or not, and the plan counts on the room that it leaves."""
        carries, free, forced = list(carries), list(free), set[int]()
        due = (line.next_step().pull_at for line in moves)
        due_h = [math.inf if at is None else to_hours(at) for at in due]
        while True:
            order = in_order(carries, free, due_h)
            decided = [number for number in order.no_room if self._is_decided(moves[number])]
            if not decided:
                return order, forced
            carry = carries[decided[0]]
            free[carry.target] -= carry.crates
            carries[decided[0]] = Carry(carry.crates, carry.source, NOWHERE)
            forced.add(decided[0])

    def _instead_of_a_swap(
        self,
        moves: "Sequence[PlannedItinerary]",
        carries: Sequence[Carry],
        free: Sequence[float],
        order: CarryOrder,
        at: datetime,
    ) -> "tuple[list[tuple[datetime | None, PlannedItinerary]], int, int] | None":
        """The fewest past crates, in which lines and in which place, without which less must be
        swapped: past fruit is easier cleared than good fruit put on the floor. None if there are
        none."""
        swapped = [number for step in order.steps if len(step) > 1 for number in step]
        places = sorted({carries[number].target for number in swapped} - {NOWHERE})
        past: dict[int, list[tuple[datetime | None, PlannedItinerary]]] = {n: [] for n in places}
        for since, line in self._given_up(at):
            place = self._numbers[self._place[line]]
            if since is not None and place in past:
                past[place].append((since, line))
        held = {place: sum(self.crates[line] for _, line in past[place]) for place in places}
        most = min(max(held.values(), default=0), sum(carries[n].crates for n in swapped))
        for count in range(1, most + 1):
            for place in places:
                if held[place] < count:
                    continue
                roomier = list(free)
                roomier[place] += count
                found, _ = self._in_order(moves, carries, roomier)
                if sum(len(step) for step in found.steps if len(step) > 1) < len(swapped):
                    return past[place], count, place
        return None

    def _is_decided(self, line: "PlannedItinerary") -> bool:
        """Whether the next move is pinned or written down."""
        return line.pin_id is not None or is_written(line, self._moves.get(line.batch_id, ()))

    def staying(self, last: date) -> "Iterator[Staying]":
        """Crates of batches that stay beyond the evening of the ``last`` day."""
        evening_at = evening_of(last, self._zone)
        stay = [
            line
            for line in self.crates
            if line.batch_id
            and line not in self._settled
            and line not in self._told
            and not line.packed
            and not self._is_sold_by(line, evening_at)
        ]
        places, batches = self._book.places, self._book.batches
        stay.sort(key=lambda n: (places[self._place[n]].name.casefold(), batches[n.batch_id].code))
        for line in stay:
            yield self._why.stays(line, self.crates[line])

    def _leaves_on(self, line: "PlannedItinerary") -> date | None:
        """The day on which crates of a line leave their place by the plan; None if never, or if
        they did already."""
        step = line.next_step()
        if step.pull_at is None or line.packed or line in self._settled:
            return None
        # It may be written down that they are moved to where they are.
        stays = step.to_place_id == self._place[line]
        return None if stays else local_day(step.pull_at, self._zone)

    def _carry(self, line: "PlannedItinerary") -> None:
        to = line.next_step().to_place_id
        if to is None:
            del self.crates[line], self._place[line]
        else:
            self._place[line] = to

    def _target(self, line: "PlannedItinerary") -> int:
        to = line.next_step().to_place_id
        return NOWHERE if to is None else self._numbers[to]

    def _free(self, at: datetime) -> list[float]:
        free = list(self._holds)
        for line, crates in self.crates.items():
            if self._is_there(line, at) and not self._is_sold_by(line, at):
                free[self._numbers[self._place[line]]] -= crates
        return free

    def _is_there(self, line: "PlannedItinerary", at: datetime) -> bool:
        """Whether fruit is picked by a time; what is expected by then counts."""
        if line.batch_id:
            return True
        pick = self._picks.get(line.expected_pick_id or "")
        return pick is not None and pick.on <= at.date()

    def _is_sold_by(self, line: "PlannedItinerary", at: datetime) -> bool:
        day = self._book.market_days.get(line.market_day_id or "")
        return day is not None and day.starts_at <= at

    def _make_room(
        self,
        moves: "list[PlannedItinerary]",
        carries: list[Carry],
        free: list[float],
        at: datetime,
    ) -> list[Clearing]:
        """Room for what comes: past crates are cleared, as many as must go. Those that the plan
        gives up are carried where there is room, which is added to ``moves`` and ``carries``; if
        there is none anywhere they are cleared too. ``free`` gets back what is cleared."""
        short = [-room for room in free]
        for carry in carries:
            short[carry.source] -= carry.crates
            if carry.target != NOWHERE:
                short[carry.target] += carry.crates
        given_up = self._given_up(at)
        idle = [
            Idle(
                self._numbers[self._place[line]],
                self.crates[line],
                since is not None or self._is_rest(line),
            )
            for since, line in given_up
        ]
        comes = {carry.target for carry in carries} - {NOWHERE}
        clear: list[Clearing] = []
        for number, crates, target in make_way(idle, short, comes, self._cold_first):
            since, line = given_up[number]
            if target == NOWHERE:
                free[idle[number].place] += crates
                clear += self._clear([(since, line)], crates)
            else:
                moves.append(self._aside(line, target, crates, at))
                carries.append(Carry(crates, idle[number].place, target))
        return clear

    def _aside(
        self, line: "PlannedItinerary", place: int, crates: int, at: datetime
    ) -> "PlannedItinerary":
        """Some crates of a line as one of its own that is carried to a place."""
        to = self._place_ids[place]
        moved = replace(
            line,
            crates=crates,
            fruit=line.fruit * crates / line.crates,
            pull_at=at,
            to_place_id=to,
            steps=(PlannedMove(at, to),),
        )
        self.crates[moved], self._place[moved] = crates, self._place[line]
        self._given_up_in[moved] = line
        self._take(line, crates)
        return moved

    def _put_back(self, moved: "PlannedItinerary") -> "PlannedItinerary":
        """The line whose crates were to be carried out of the way, with them."""
        line = self._given_up_in[moved]
        self._place[line] = self._place.pop(moved)
        self.crates[line] = self.crates.get(line, 0) + self.crates.pop(moved)
        return line

    def _stand_aside(self, line: "PlannedItinerary") -> None:
        """Crates that were carried out of the way are as little planned for as before."""
        place = self._place.pop(line)
        there = replace(line, from_place_id=place, pull_at=None, to_place_id=None, steps=())
        self.crates[there] = self.crates.pop(line)
        self._place[there] = place
        self._told.add(there)

    def _take(self, line: "PlannedItinerary", crates: int) -> None:
        self.crates[line] -= crates
        if not self.crates[line]:
            del self.crates[line], self._place[line]

    def _clear(
        self, lines: "Sequence[tuple[datetime | None, PlannedItinerary]]", count: int
    ) -> Iterator[Clearing]:
        """Clear so many crates of lines, of the first of them first."""
        for since, line in lines:
            crates = min(count, self.crates[line])
            if not crates:
                return
            count -= crates
            self._take(line, crates)
            yield Clearing((line,), crates, since, since is None and self._is_rest(line))

    def _is_rest(self, line: "PlannedItinerary") -> bool:
        return is_rest(self._book, self._crops, line.batch_id)

    def _given_up(self, at: datetime) -> "list[tuple[datetime | None, PlannedItinerary]]":
        """Lines that go nowhere, and since when they are past by a time; or given up by the plan,
        and None."""
        found = []
        for line in self.crates:
            ends = line.market_day_id is None and not line.second_grade and not line.steps
            if line.batch_id and ends and not line.kept and line not in self._settled:
                closes = self._why.closes(line)
                since = closes if closes is not None and closes <= at else None
                if since is not None or line.to_place_id is None:
                    found.append((since, line))
        return found


def _in_one(clear: Sequence[Clearing]) -> Iterator[Clearing]:
    """Of each batch what is cleared of it in all, in the order in which it came first."""
    alike: dict[tuple[str, str, datetime | None], list[Clearing]] = {}
    for one in clear:
        key = one.lines[0].batch_id, one.lines[0].from_place_id, one.past_since
        alike.setdefault(key, []).append(one)
    for found in alike.values():
        lines = dict.fromkeys(line for one in found for line in one.lines)
        crates = sum(one.crates for one in found)
        yield Clearing(tuple(lines), crates, found[0].past_since, found[0].rest)


def _together(steps: Iterable[Carrying]) -> Iterator[Carrying]:
    """The steps, with crates of one batch that go the same way behind each other as one step."""
    for _, run in groupby(steps, _way):
        found = list(run)
        yield Carrying(tuple(line for step in found for line in step.lines), found[0].room)


def _way(step: Carrying) -> tuple[object, ...]:
    """What steps have in common that are one to whoever carries the crates."""
    line = step.lines[0]
    if step.is_swap or not line.batch_id:
        return (step.lines,)
    return line.batch_id, line.from_place_id, line.next_step().to_place_id, step.room
