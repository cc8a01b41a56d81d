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
        self._ranks: dict[tuple[DeedKind, str], int] = {}

    def of(self, deeds: Sequence[Deed], book: Book) -> tuple[Deed, ...]:
        """The deeds in their order; new ones come last."""
        kinds = list(DeedKind)

        def place(deed: Deed) -> tuple[int, int]:
            # Crates that were moved are a batch of their own now, and keep their line.
            key = deed.kind, harvest_of(deed.record_id, book.batches)
            return kinds.index(deed.kind), self._ranks.setdefault(key, len(self._ranks))

        # In the order given first, so that what is seen for the first time gets ranks by it.
        ranked = sorted([*deeds], key=place)
        to_move = iter([deed for deed in deeds if _is_to_move(deed)])
        return tuple(next(to_move) if _is_to_move(deed) else deed for deed in ranked)


def _is_to_move(deed: Deed) -> bool:
    return deed.kind is DeedKind.MOVE and not deed.done
