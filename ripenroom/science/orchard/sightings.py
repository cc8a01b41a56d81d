"""What was seen of the rows, laid out by row and in order of time."""

from dataclasses import dataclass, fields, replace

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.orchard.tree_clock import FEELS
from ripenroom.science.softening import Floats


@dataclass(frozen=True, slots=True)
class Sightings:
    """One line for each look at a row, in any order; :meth:`table` puts them in theirs.

    ``row`` (n,) and ``tree_days`` (n,), on the row's own clock. ``squeezed`` (n, feels) counts
    fruit on the tree by feel, hardest first, none where none was squeezed; ``picked`` (n, feels)
    fruit taken off after that, by feel, and ``picked_unfelt`` (n,) fruit taken off of which no feel
    was noted: it is thought to have been chosen for its give. ``dropped`` (n,) is fruit found on
    the ground since the last such look, nan where nobody looked. ``hanging`` (n,) is how many were
    counted or estimated on the row's trees before the pick, off by ``hanging_log_sd`` (n,) in its
    log, nan where nobody did.
    """

    row: Indices
    tree_days: Floats
    squeezed: Floats
    picked: Floats
    picked_unfelt: Floats
    dropped: Floats
    hanging: Floats
    hanging_log_sd: Floats

    @classmethod
    def nothing(cls, row: Indices, tree_days: Floats) -> "Sightings":
        """Looks that saw nothing, to be filled by :func:`dataclasses.replace`."""
        none, unknown = np.zeros(row.size), np.full(row.size, np.nan)
        by_feel = np.zeros((row.size, FEELS))
        return cls(row, tree_days, by_feel, by_feel, none, unknown, unknown, np.full(row.size, 0.2))

    def of(self, lines: Indices) -> "Sightings":
        """Some of them."""
        return Sightings(*(getattr(self, f.name)[lines] for f in fields(Sightings)))

    def same_of(self, rows: Indices, other: "Sightings") -> bool:
        """Whether another table has the same of these rows."""
        one, two = self.of_rows(rows), other.of_rows(rows)
        return all(
            np.array_equal(getattr(one, f.name), getattr(two, f.name), equal_nan=True)
            for f in fields(Sightings)
        )

    def of_rows(self, rows: Indices) -> "Sightings":
        """Those of some rows, which are numbered anew in this order."""
        number = np.full(int(max(self.row.max(initial=-1), rows.max(initial=-1))) + 1, -1)
        number[rows] = np.arange(rows.size)
        some = self.of(np.flatnonzero(number[self.row] >= 0))
        return replace(some, row=number[some.row])

    def gone(self, rows: int) -> Floats:
        """All fruit that was picked off each row or found under it, (rows,)."""
        fruit = self.picked.sum(axis=1) + self.picked_unfelt + np.nan_to_num(self.dropped)
        return np.bincount(self.row, fruit, rows).astype(float)

    def table(self, rows: int) -> "SightingTable":
        """All of them by row, in order of time; looks of one row at one moment in the order that
        they have here."""
        order = np.lexsort((np.arange(self.row.size), self.tree_days, self.row))
        of_row = np.bincount(self.row, minlength=rows)
        place = np.arange(order.size) - np.repeat(np.cumsum(of_row) - of_row, of_row)
        most = int(of_row.max(initial=0))
        line = np.full((rows, most), -1)
        line[self.row[order], place] = order
        return SightingTable(line, self)


@dataclass(frozen=True, slots=True)
class SightingTable:
    """Sightings of each row in order of time: ``line`` (rows, looks) is the number of each, -1
    after a row's last."""

    line: Indices
    sightings: Sightings

    @property
    def looks(self) -> int:
        """The most that any row has."""
        return int(self.line.shape[1])

    def step(self, look: int) -> tuple[Indices, Sightings]:
        """The rows that have such a look, and what was seen then."""
        rows = np.flatnonzero(self.line[:, look] >= 0)
        return rows, self.sightings.of(self.line[rows, look])
