"""Which squeeze of a batch was the last, for every page, paper and table that says how it feels.

A part that was split off was squeezed with the whole: until it is squeezed itself it feels as that
did, as long as both stood together. What was picked over is no longer like the rest.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

from ripenroom.records.batch import Move
from ripenroom.records.book import Book
from ripenroom.records.check import Check
from ripenroom.season.moments import to_hours
from ripenroom.season.whereabouts import line_of_descent, moves_by_batch, moves_of

Squeezes = Callable[[str], Iterable[Check]]
Moves = Callable[[str], Sequence[Move]]


def last_squeeze(batch_id: str, book: Book) -> Check | None:
    """The last check by hand that tells of a batch; None where it was felt at the pick at most."""
    every = [check for check in book.checks.values() if any(check.feel_counts or ())]

    def squeezes(key: str) -> Iterable[Check]:
        return (check for check in every if check.batch_id == key)

    return _last(batch_id, book, squeezes, lambda key: moves_of(book, key))


def last_squeezes(book: Book) -> dict[str, Check]:
    """:func:`last_squeeze` of every batch that has one."""
    own: dict[str, list[Check]] = {}
    for check in book.checks.values():
        if any(check.feel_counts or ()):
            own.setdefault(check.batch_id, []).append(check)
    moves = moves_by_batch(book)
    found = {
        key: _last(key, book, lambda one: own.get(one, ()), lambda one: moves.get(one, ()))
        for key in book.batches
    }
    return {key: check for key, check in found.items() if check is not None}


def _last(batch_id: str, book: Book, squeezes: Squeezes, moves: Moves) -> Check | None:
    together_h = math.inf
    line = list(line_of_descent(batch_id, book.batches))
    for key, whole in pairwise([*line, ""]):
        told = [check for check in squeezes(key) if to_hours(check.at) <= together_h]
        if told:
            return max(told, key=lambda check: check.at)
        batch = book.batches.get(key)
        if batch is None or batch.picked_over is not None:
            return None
        together_h = min(together_h, _parted_h(moves(key), moves(whole)))
    return None


def _parted_h(part: Sequence[Move], whole: Sequence[Move]) -> float:
    """When a part first went another way than what it was parted from (h); inf if it never did."""
    one, other = ({(to_hours(move.at), move.place_id) for move in own} for own in (part, whole))
    return min((at for at, _ in one ^ other), default=math.inf)
