"""What would have to change for one book of a season to become another."""

from dataclasses import dataclass

from ripenroom.records.book import SHELF_OF, Book, Record


@dataclass(frozen=True, slots=True)
class Difference:
    """The records that differ; each is as it is in the one book and as it is in the other.

    ``before`` is None for a record that only the second book has, ``after`` for one that only the
    first has.
    """

    before: Record | None
    after: Record | None

    @property
    def record(self) -> Record:
        """The record as it is afterwards or, if it is gone then, as it was."""
        found = self.before if self.after is None else self.after
        assert found is not None
        return found


def differences(before: Book, after: Book) -> tuple[Difference, ...]:
    """Every record in which two books differ: the season first, then kind by kind."""
    found: list[Difference] = []
    if before.season != after.season:
        found.append(Difference(before.season, after.season))
    for shelf in SHELF_OF.values():
        ours, theirs = getattr(before, shelf), getattr(after, shelf)
        if ours is theirs:
            continue
        for key in ours.keys() | theirs.keys():
            old, new = ours.get(key), theirs.get(key)
            if old != new:
                found.append(Difference(old, new))
    return tuple(found)


def put_and_deleted(
    found: tuple[Difference, ...],
) -> tuple[tuple[Record, ...], tuple[Record, ...]]:
    """What to put in and what to take out to get from the one book to the other."""
    put = tuple(d.after for d in found if d.after is not None)
    return put, tuple(d.before for d in found if d.after is None and d.before is not None)
