"""Which idle crates make way on an evening for those that come into full places.

Past ones are cleared, as many as must go; so are rests that are not worth carrying. Good ones that
nobody has a use for go where there is room, or else where past ones can be cleared for them; they
are cleared only if there is room nowhere.
"""

from collections.abc import Sequence, Set
from typing import NamedTuple

from ripenroom.planning.move_order import NOWHERE


class Idle(NamedTuple):
    """So many ``crates`` in a ``place`` that stay whatever else is done, and nobody needs; as
    ``past`` counts too what is not worth carrying."""

    place: int
    crates: int
    past: bool


class IdleMove(NamedTuple):
    """So many crates of the idle ones of this ``number`` go to a place, or are cleared: to
    ``NOWHERE``."""

    number: int
    crates: int
    target: int


def make_way(
    idle: Sequence[Idle], short: Sequence[float], comes: Set[int], to: Sequence[int]
) -> list[IdleMove]:
    """How idle crates make way; past ones in the order given, good ones too.

    ``short`` says by how many crates each place would be too full in the end if all of them stay:
    below 0 if it has room, -inf if it holds any number. Nothing need make way but where something
    ``comes``. Good ones may go ``to`` these places, rather to the first of them.
    """
    made = _Made(idle, short)
    past = [number for number, one in enumerate(idle) if one.past]
    good = [number for number, one in enumerate(idle) if not one.past and one.place in comes]
    for number in past:
        if idle[number].place in comes:
            made.go(number, made.in_the_way(number), NOWHERE)
    for clearing in (False, True):
        for number in good:
            for place in to:
                if not made.in_the_way(number):
                    break
                if place != idle[number].place:
                    there = [one for one in past if idle[one].place == place] if clearing else []
                    made.go_aside(number, place, there)
    for number in good:
        made.go(number, made.in_the_way(number), NOWHERE)
    return [IdleMove(number, crates, to) for (number, to), crates in made.ways.items()]


class _Made:
    """How much is left of what, and by how much each place is still too full."""

    def __init__(self, idle: Sequence[Idle], short: Sequence[float]) -> None:
        self._idle, self._short = idle, list(short)
        self._left = [one.crates for one in idle]
        self.ways: dict[tuple[int, int], int] = {}

    def in_the_way(self, number: int) -> int:
        """How many crates of these have to go from their place."""
        return int(max(0, min(self._short[self._idle[number].place], self._left[number])))

    def go(self, number: int, crates: int, target: int) -> None:
        """So many of them go."""
        if crates < 1:
            return
        self._left[number] -= crates
        self._short[self._idle[number].place] -= crates
        if target != NOWHERE:
            self._short[target] += crates
        self.ways[number, target] = self.ways.get((number, target), 0) + crates

    def go_aside(self, number: int, place: int, past: Sequence[int]) -> None:
        """As many go to a place as have room there once ``past`` ones in it are cleared."""
        room = sum(self._left[one] for one in past) - self._short[place]
        crates = int(max(0, min(self.in_the_way(number), room)))
        for one in past if crates else ():
            self.go(one, int(max(0, min(crates + self._short[place], self._left[one]))), NOWHERE)
        self.go(number, crates, place)
