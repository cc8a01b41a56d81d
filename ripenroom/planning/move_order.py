"""In which order crates are carried on one evening, so that every room has space for what comes.

What goes out of a full room goes first, so that free places are passed on from room to room. That
can only be stuck where rooms that are full give crates to each other in a circle: those have to be
swapped, crate against crate.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice

NOWHERE = -1
"""The target of crates that leave the farm."""

_MOST_TRIED = 200
"""So many steps are tried in an evening before something is swapped that perhaps need not be;
mostly the first way goes well to its end."""

_MOST_WEIGHED = 40
"""Where more carries than this stand in each other's way, any that fits is carried first, until
only so many are left."""


@dataclass(frozen=True, slots=True)
class Carry:
    """So many ``crates`` go from one place to another, or ``NOWHERE``."""

    crates: int
    source: int
    target: int


@dataclass(frozen=True, slots=True)
class CarryOrder:
    """Numbers of carries: ``steps`` one after the other, in each either one carry or several that
    are swapped; and those for which there is ``no_room`` however they are turned."""

    steps: tuple[tuple[int, ...], ...]
    no_room: tuple[int, ...]


def in_order(
    carries: Sequence[Carry], free: Sequence[float], due_h: Sequence[float] = ()
) -> CarryOrder:
    """An order in which all fits, as far as it can; ``free`` are the crates that each place has
    room for before the first of them: below 0 if too many stand there, inf if any number can.

    What is due earlier (``due_h`` of each carry; none: all at once) goes first where it has room
    by then. Of equals, what is carried between the same two places goes on, else the first comes
    first.
    """
    evening = _Evening(carries, free)
    evening.carry_what_always_fits()
    for group in linked(carries, evening.pending):
        evening.pending = group
        while evening.pending:
            if not evening.carry_one_by_one():
                evening.carry_next()
    steps = together(carries, earlier_first(carries, evening.steps, free, due_h), free)
    return CarryOrder(tuple(steps), tuple(sorted(evening.no_room)))


def earlier_first(
    carries: Sequence[Carry],
    steps: Sequence[tuple[int, ...]],
    free: Sequence[float],
    due_h: Sequence[float],
) -> list[tuple[int, ...]]:
    """The steps with those that are due earlier before the others, as far as they fit there.

    Of two neighbours the later is done first where there is room for both in that order too; what
    comes after them finds the rooms as before.
    """
    found = list(steps)
    if len(set(due_h)) < 2:
        return found

    def due(step: tuple[int, ...]) -> float:
        return min(due_h[number] for number in step)

    def fits(step: tuple[int, ...], after: Sequence[float]) -> bool:
        targets = {carries[number].target for number in step} - {NOWHERE}
        return all(after[place] >= 0 for place in targets)

    swapped = True
    while swapped:
        swapped, room = False, list(free)
        for n in range(len(found) - 1):
            one, other = found[n], found[n + 1]
            if due(other) < due(one):
                first = _after(carries, other, room)
                if fits(other, first) and fits(one, _after(carries, one, first)):
                    found[n], found[n + 1], swapped = other, one, True
            room = _after(carries, found[n], room)
    return found


def together(
    carries: Sequence[Carry], steps: Sequence[tuple[int, ...]], free: Sequence[float]
) -> list[tuple[int, ...]]:
    """The steps with those that go to one place behind each other, as far as they fit there.

    To each place they keep their order, so that none is kept waiting by one that went ahead.
    """
    room, ahead, found = list(free), list(steps), list[tuple[int, ...]]()
    while ahead:
        step = ahead[0]
        if found and len(found[-1]) == 1:
            target = carries[found[-1][0]].target
            there = (n for n in ahead if any(carries[one].target == target for one in n))
            on = next(there, step)
            if len(on) == 1 and (target == NOWHERE or room[target] >= carries[on[0]].crates):
                step = on
        room = _after(carries, step, room)
        ahead.remove(step)
        found.append(step)
    return found


def _after(carries: Sequence[Carry], step: Sequence[int], free: Sequence[float]) -> list[float]:
    """The room that is free once some carries are done, where so much was ``free`` before."""
    room = list(free)
    for carry in (carries[number] for number in step):
        room[carry.source] += carry.crates
        if carry.target != NOWHERE:
            room[carry.target] -= carry.crates
    return room


def linked(carries: Sequence[Carry], numbers: Sequence[int]) -> list[list[int]]:
    """Numbers of some carries in groups that have no place in common."""
    groups: list[tuple[set[int], list[int]]] = []
    for number in numbers:
        places = {carries[number].source, carries[number].target} - {NOWHERE}
        own, apart = [number], []
        for group in groups:
            if group[0] & places:
                places, own = places | group[0], group[1] + own
            else:
                apart.append(group)
        groups = [*apart, (places, own)]
    return sorted(sorted(own) for _, own in groups)


class _Evening:
    """What was carried so far, and what is ``pending`` of the carries that are looked at."""

    def __init__(self, carries: Sequence[Carry], free: Sequence[float]) -> None:
        self._carries = carries
        self._free = list(free)
        self._met: dict[int, int] = {}
        for place in (place for carry in carries for place in (carry.source, carry.target)):
            self._met.setdefault(place, len(self._met))
        self._tried = 0
        self.pending = list(range(len(carries)))
        self.steps: list[tuple[int, ...]] = []
        self.no_room: list[int] = []

    def carry_what_always_fits(self) -> None:
        """Carry all that goes where there is room for everything that comes, place after place: it
        stands in nobody's way, and makes room where it was."""
        while True:
            comes: dict[int, int] = {}
            for number in self.pending:
                carry = self._carries[number]
                comes[carry.target] = comes.get(carry.target, 0) + carry.crates
            roomy = {p for p, crates in comes.items() if p == NOWHERE or self._free[p] >= crates}
            fits = [n for n in self.pending if self._carries[n].target in roomy]
            if not fits:
                return
            for number in sorted(fits, key=self._place_after_place):
                self._do((number,))

    def _place_after_place(self, number: int) -> tuple[bool, int, int, int]:
        carry = self._carries[number]
        leaves = carry.target == NOWHERE
        return not leaves, self._met[carry.source], self._met[carry.target], number

    def carry_one_by_one(self) -> bool:
        """Carry all that is pending without any swap; whether an order for that was found. If not,
        nothing is carried."""
        if len(self.pending) > _MOST_WEIGHED:
            return False
        before, begin = (list(self._free), list(self.pending)), len(self.steps)
        dead_ends: set[frozenset[int]] = set()
        ahead = [iter(self._that_fit())]
        while self.pending and self._tried < _MOST_TRIED:
            number = next(ahead[-1], None)
            if number is not None:
                self._tried += 1
                self._do((number,))
                ahead.append(iter([] if frozenset(self.pending) in dead_ends else self._that_fit()))
                continue
            dead_ends.add(frozenset(self.pending))
            ahead.pop()
            if not ahead:
                break
            self._take_back()
        if self.pending:
            self._free, self.pending = before
            del self.steps[begin:]
        return not self.pending

    def carry_next(self) -> None:
        """Carry one thing that fits; where nothing does, swap or leave something out."""
        fits = self._that_fit()
        if fits:
            self._do((fits[0],))
        else:
            self.swap_or_give_up()

    def _that_fit(self) -> list[int]:
        """Carries for which there is room now, the best first; of very many just one."""
        fits = (n for n in self.pending if self._fits(n, self._free))
        if len(self.pending) > _MOST_WEIGHED:
            return list(islice(fits, 1))
        return sorted(fits, key=self._rank)

    def _rank(self, number: int) -> tuple[int, bool, bool, bool, int]:
        carry = self._carries[number]
        last = self._carries[self.steps[-1][-1]] if self.steps else None
        on = last is not None and (last.source, last.target) == (carry.source, carry.target)
        near = last is not None and last.source == carry.source
        leaves = carry.target == NOWHERE
        return self._stuck_after(number), not leaves, not on, not near, number

    def _stuck_after(self, number: int) -> int:
        """How many carries would be left among places that have no room for any of them."""
        free = self._after((number,))
        groups = linked(self._carries, [n for n in self.pending if n != number])
        stuck = (group for group in groups if not any(self._fits(n, free) for n in group))
        return sum(len(group) for group in stuck)

    def _take_back(self) -> None:
        (number,) = self.steps.pop()
        carry = self._carries[number]
        self._free[carry.source] -= carry.crates
        if carry.target != NOWHERE:
            self._free[carry.target] += carry.crates
        self.pending = sorted([*self.pending, number])

    def swap_or_give_up(self) -> None:
        """Where nothing fits alone: swap what stands in each other's way, or leave out a carry
        for which nobody makes room."""
        group = self._circle()
        while group:
            free = self._after(group)
            full = next((p for p in self._targets(group) if free[p] < 0), None)
            if full is None:
                self._do(tuple(group))
                return
            more = [n for n in self._out_of(full) if n not in group]
            if not more:
                coming = [n for n in group if self._carries[n].target == full]
                self._give_up(coming[-1])
                return
            group.append(more[0])

    def _circle(self) -> list[int]:
        """Carries each of which waits for the next one, the last of them for the first; where one
        waits for nobody, it is given up and there are none."""
        path = [self.pending[0]]
        while True:
            been = [self._carries[number].source for number in path]
            ahead = self._out_of(self._carries[path[-1]].target)
            if not ahead:
                self._give_up(path[-1])
                return []
            # The shortest way back makes the smallest swap.
            back = [number for number in ahead if self._carries[number].target in been]
            step = max(back, key=lambda n: been.index(self._carries[n].target), default=ahead[0])
            path.append(step)
            if back:
                return path[been.index(self._carries[step].target) :]

    def _out_of(self, place: int) -> list[int]:
        return [number for number in self.pending if self._carries[number].source == place]

    def _targets(self, group: Sequence[int]) -> list[int]:
        return [self._carries[number].target for number in group]

    def _fits(self, number: int, free: Sequence[float]) -> bool:
        carry = self._carries[number]
        return carry.target == NOWHERE or free[carry.target] >= carry.crates

    def _after(self, group: Sequence[int]) -> list[float]:
        """The room that is free once a group of carries is done."""
        return _after(self._carries, group, self._free)

    def _do(self, group: tuple[int, ...]) -> None:
        self._free = self._after(group)
        self.steps.append(group)
        self.pending = [number for number in self.pending if number not in group]

    def _give_up(self, number: int) -> None:
        self.no_room.append(number)
        self.pending.remove(number)
