"""Shares the width of a table among its columns, and leaves some out where it is too narrow."""

from collections.abc import Callable, Collection, Mapping, Sequence

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHeaderView, QTableView

_MEASURED_ROWS = 60
"""Measuring every line is slow where there are thousands; the first ones tell enough."""
_AIR_LETTERS = 3
"""Letters of air between columns at most, where there is room to spare."""


class ColumnWidths(QObject):
    """Keeps a table from being wider than it is seen, as far as that can be.

    ``letters_at_least`` are the columns that may be cut short, and the letters that each keeps
    then; all others are whole. Where even that is too wide, columns are left out, in the order of
    ``hidden_first``: what is left reads better whole than all of it cut short. Where there is room,
    columns get a little air, and the last takes the rest. ``unused`` says which columns are empty,
    and take no room from the others. ``gives_first``, if it is given, is cut short before others
    are. ``fitted`` is called after the widths have changed.
    """

    def __init__(
        self,
        table: QTableView,
        letters_at_least: Mapping[int, int],
        hidden_first: Sequence[int],
        unused: Callable[[], Collection[int]] = frozenset,
        gives_first: int | None = None,
        fitted: Callable[[], None] | None = None,
    ) -> None:
        super().__init__(table)
        self._table = table
        self._letters_at_least = letters_at_least
        self._hidden_first = hidden_first
        self._unused = unused
        self._gives_first = gives_first
        self._fitted = fitted
        header = table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setResizeContentsPrecision(_MEASURED_ROWS)
        table.viewport().installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Fit again where there is more or less width, also as the scroll bar comes."""
        if isinstance(event, QResizeEvent) and event.size().width() != event.oldSize().width():
            self.fit()
        return super().eventFilter(watched, event)

    def fit(self) -> None:
        """Give every column its width; called after the table's content or font changed."""
        table, header = self._table, self._table.horizontalHeader()
        room = table.viewport().width()
        unused = self._unused()
        # A hidden column is measured as nothing.
        for column in range(header.count()):
            table.setColumnHidden(column, column in unused)
        natural = {
            column: max(table.sizeHintForColumn(column), header.sectionSizeHint(column))
            for column in range(header.count())
            if column not in unused
        }
        letter = table.fontMetrics().horizontalAdvance("n")
        least = {
            column: min(width, letter * self._letters_at_least.get(column, width))
            for column, width in natural.items()
        }
        for column in self._hidden_first:
            if sum(least.values()) <= room:
                break
            if column not in unused:
                table.setColumnHidden(column, True)
                del natural[column], least[column]
        if (first := self._gives_first) in natural and first is not None:
            spare = max(0, sum(natural.values()) - room)
            natural[first] -= min(spare, natural[first] - least[first])
        self._share(natural, least, room, _AIR_LETTERS * letter)
        if self._fitted is not None:
            self._fitted()

    def _share(
        self, natural: Mapping[int, int], least: Mapping[int, int], room: int, most_air: int
    ) -> None:
        header = self._table.horizontalHeader()
        missing = sum(natural.values()) - room
        slack = sum(natural.values()) - sum(least.values())
        share = min(1.0, missing / slack) if missing > 0 and slack > 0 else 0.0
        air = min(max(0, -missing) // len(natural), most_air)
        for column, width in natural.items():
            header.resizeSection(column, int(width - (width - least[column]) * share) + air)
        last = max(natural)
        rest = room - sum(header.sectionSize(column) for column in natural)
        header.resizeSection(last, header.sectionSize(last) + max(0, rest))
