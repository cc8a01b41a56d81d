"""Keeps lines of the day sheet in their places while they are ticked and planned anew."""

from collections.abc import Sequence

from ripenroom.records.book import Book
from ripenroom.season.day_sheet import Deed, DeedKind
from ripenroom.season.whereabouts import harvest_of


class SteadyOrder:
    """Within its kind a deed stands where it, or what it was before it was done, stood first.

    Moves that are still to be made keep the order in which they fit among themselves.
    """

    def __init__(self) -> None:
        self._ranks: dict[tuple[DeedKind, str, str | None], int] = {}

    def of(self, deeds: Sequence[Deed], book: Book) -> tuple[Deed, ...]:
        """The deeds in their order; new ones come last."""
        kinds = list(DeedKind)

        def place(deed: Deed) -> tuple[int, int]:
            # Crates that were moved are a batch of their own now, and keep their line; others of
            # the same batch may go elsewhere.
            key = deed.kind, harvest_of(deed.record_id, book.batches), _goes_to(deed, book)
            return kinds.index(deed.kind), self._ranks.setdefault(key, len(self._ranks))

        # In the order given first, so that what is seen for the first time gets ranks by it.
        ranked = sorted([*deeds], key=place)
        to_move = iter([deed for deed in deeds if _is_to_move(deed)])
        return tuple(next(to_move) if _is_to_move(deed) else deed for deed in ranked)


def _goes_to(deed: Deed, book: Book) -> str | None:
    """Where a deed moves crates to, or did; None if it moves none."""
    if deed.kind is not DeedKind.MOVE:
        return None
    if deed.done:
        move = book.moves.get(deed.done_record_id)
        return None if move is None else move.place_id
    return deed.line.steps[0].place_id if deed.line is not None and deed.line.steps else None


def _is_to_move(deed: Deed) -> bool:
    return deed.kind is DeedKind.MOVE and not deed.done
