"""Keeps lines of the day sheet in their places while they are ticked and planned anew."""

from collections.abc import Sequence

from ripenroom.records.book import Book
from ripenroom.season.parts import harvest_of
from ripenroom.window.today.deeds import Deed, DeedKind


class SteadyOrder:
    """Within its kind a deed stands where it, or what it was before it was done, stood first."""

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
        return tuple(sorted([*deeds], key=place))
