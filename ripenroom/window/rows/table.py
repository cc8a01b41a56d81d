"""The rows of trees as a table: what hung, was picked, fell and was sold, and what is to come."""

from enum import IntEnum

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from ripenroom.season.orchard.found import OrchardForecast, RowFacts, RowForecast
from ripenroom.texts import tr
from ripenroom.window.plain import heading
from ripenroom.window.session import Session
from ripenroom.wording.names import by_name
from ripenroom.wording.rows import (
    about_words,
    counted_words,
    to_pick_words,
    walk_words,
)

Index = QModelIndex | QPersistentModelIndex


class Column(IntEnum):
    """The columns from the left."""

    ROW = 0
    HANGING = 1
    PICKED = 2
    FALLEN = 3
    SOLD = 4
    TO_PICK = 5
    WALK = 6


_NUMBERS = (Column.HANGING, Column.PICKED, Column.FALLEN, Column.SOLD)


class RowsTable(QAbstractTableModel):
    """Lines are :class:`RowFacts`, by name; of each its forecast, where there is one."""

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.lines: list[RowFacts] = []
        self.forecast: OrchardForecast | None = None
        self._texts: dict[tuple[int, Column], object] = {}

    def refresh(self, forecast: OrchardForecast | None) -> None:
        """Read the season again."""
        self.beginResetModel()
        facts = self._session.season.ask.row_facts()
        self.lines = sorted(facts, key=lambda line: by_name(line.row.name))
        self.forecast = forecast
        self._texts.clear()
        self.endResetModel()

    def forecast_of(self, line: RowFacts) -> RowForecast | None:
        """What is expected of a row."""
        return self.forecast.of_row(line.row.id) if self.forecast else None

    def line_of(self, row_id: str) -> int | None:
        """The line of a row of trees."""
        lines = (n for n, line in enumerate(self.lines) if line.row.id == row_id)
        return next(lines, None)

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """One line per row of trees."""
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """What is known, what is to come, when to walk."""
        return 0 if parent.isValid() else len(Column)

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> object:
        """The columns' headings."""
        return heading(section, orientation, role, self._headings, _alignment(section))

    def _headings(self) -> tuple[str, ...]:
        return (
            tr("Row"),
            tr("Counted"),
            tr("Picked"),
            tr("Fallen"),
            tr("Sold"),
            tr("To pick"),
            tr("Walk"),
        )

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Words and numbers."""
        column = Column(index.column())
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _alignment(column)
        if role not in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return None
        # A view that measures its cells asks for each of them many times.
        place = index.row(), column
        if place not in self._texts:
            self._texts[place] = self._text(self.lines[index.row()], column)
        return self._texts[place]

    def _text(self, line: RowFacts, column: Column) -> object:
        words = self._session.words
        match column:
            case Column.ROW:
                return f"{line.row.name}\n{about_words(line, self._session)}"
            case Column.HANGING:
                return counted_words(line, words)
            case Column.PICKED:
                return words.number(line.tally.picked) if line.tally.picked else ""
            case Column.FALLEN:
                return words.number(line.on_ground) if line.walks else ""
            case Column.SOLD:
                sold = line.tally.sold + line.tally.second
                return words.number(sold) if sold else ""
            case Column.TO_PICK:
                return to_pick_words(line, self.forecast_of(line), self._session)
            case Column.WALK:
                return walk_words(line, self.forecast, self._session)


def _alignment(column: int) -> Qt.AlignmentFlag:
    side = Qt.AlignmentFlag.AlignRight if column in _NUMBERS else Qt.AlignmentFlag.AlignLeft
    return side | Qt.AlignmentFlag.AlignVCenter
