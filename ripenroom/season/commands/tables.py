"""Rows of tables written down in one action."""

from collections.abc import Sequence

from ripenroom.season.changes.importing import Imported, RowIn, RowKind, Usual, import_rows
from ripenroom.season.commands.acting import Acting

__all__ = ["Imported", "RowIn", "RowKind", "TableCommands", "Usual"]


class TableCommands:
    """Commands that take many records in at once."""

    def __init__(self, season: Acting) -> None:
        self._season = season

    def look_over(self, kind: RowKind, rows: Sequence[RowIn], usual: Usual, name: str) -> Imported:
        """What would become of the rows of a table called ``name``; nothing is written."""
        season = self._season
        return import_rows(season.book, season.crops, kind, rows, usual, season.now(), name)

    def take_in(self, kind: RowKind, rows: Sequence[RowIn], usual: Usual, name: str) -> Imported:
        """Write down every row that is right, as one action; what became of them."""
        found = self.look_over(kind, rows, usual, name)
        if found.taken:
            self._season.act(found.change)
        return found
