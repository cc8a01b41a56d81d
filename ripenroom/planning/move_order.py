"""In which order crates are carried on one evening, so that every room has space for what comes.

What goes out of a full room goes first, so that free places are passed on from room to room. Seen
backwards, each free place goes along moves, as one draws a figure without lifting the pen: it is
never stuck as long as no circle of full rooms is left over by itself. Only such a circle has to be
swapped, crate against crate.
"""

from collections.abc import Sequence
from dataclasses import dataclass

NOWHERE = -1
"""The target of crates that leave the farm."""


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


def in_order(carries: Sequence[Carry], free: Sequence[float]) -> CarryOrder:
    """An order in which all fits, as far as it can; ``free`` are the crates that each place has
    room for before the first of them: below 0 if too many stand there, inf if any number can.

    Of equals, what is carried between the same two places goes on, else the first comes first.
    """
    evening = _Evening(carries, free)
    while evening.pending:
        if not evening.carry_next():
            evening.swap_or_give_up()
    return CarryOrder(tuple(evening.steps), tuple(sorted(evening.no_room)))


class _Evening:
    def __init__(self, carries: Sequence[Carry], free: Sequence[float]) -> None:
        self._carries = carries
        self._free = list(free)
        self.pending = list(range(len(carries)))
        self.steps: list[tuple[int, ...]] = []
        self.no_room: list[int] = []

    def carry_next(self) -> bool:
        """Carry what fits now and leaves the others the best chance; whether anything does."""
        fits = [number for number in self.pending if self._fits(number, self._free)]
        if fits:
            self._do((min(fits, key=self._rank),))
        return bool(fits)

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
        stuck = 0
        for group in self._linked([n for n in self.pending if n != number]):
            if not any(self._fits(n, free) for n in group):
                stuck += len(group)
        return stuck

    def _linked(self, numbers: Sequence[int]) -> list[list[int]]:
        """Carries in groups that have no place in common."""
        groups: list[tuple[set[int], list[int]]] = []
        for number in numbers:
            carry = self._carries[number]
            places, own = {carry.source, carry.target} - {NOWHERE}, [number]
            apart = []
            for group in groups:
                if group[0] & places:
                    places, own = places | group[0], group[1] + own
                else:
                    apart.append(group)
            groups = [*apart, (places, own)]
        return [own for _, own in groups]

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
        free = list(self._free)
        for number in group:
            carry = self._carries[number]
            free[carry.source] += carry.crates
            if carry.target != NOWHERE:
                free[carry.target] -= carry.crates
        return free

    def _do(self, group: tuple[int, ...]) -> None:
        self._free = self._after(group)
        self.steps.append(group)
        self.pending = [number for number in self.pending if number not in group]

    def _give_up(self, number: int) -> None:
        self.no_room.append(number)
        self.pending.remove(number)
