"""The lines of the plan as a table: one row for all crates that go one way."""

import math
from enum import IntEnum
from typing import TYPE_CHECKING

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from ripenroom.texts import tr
from ripenroom.window.plain import heading
from ripenroom.window.session import Session
from ripenroom.wording.plan.itineraries import fruit_of, fruit_words, market_words, place_words

if TYPE_CHECKING:
    from ripenroom.season.plans.plan import PlannedItinerary


Index = QModelIndex | QPersistentModelIndex

SORT_ROLE = Qt.ItemDataRole.UserRole + 1
"""What rows are sorted by: numbers and times as such, words without regard to capitals."""


class Column(IntEnum):
    """The columns from the left."""

    BATCH = 0
    FRUIT = 1
    CRATES = 2
    FROM = 3
    PULL = 4
    TO = 5
    MARKET = 6
    READY = 7
    WORTH = 8
    FIXED = 9


_NUMBERS = (Column.CRATES, Column.READY, Column.WORTH)


class LineTable(QAbstractTableModel):
    """Rows are the plan's lines whose records are all still there."""

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.lines: list[PlannedItinerary] = []

    def refresh(self) -> None:
        """Read the plan anew."""
        plan = self._session.plans.plan
        self.beginResetModel()
        self.lines = [line for line in plan.lines if self._is_there(line)] if plan else []
        self.endResetModel()

    def _is_there(self, line: "PlannedItinerary") -> bool:
        book = self._session.season.book
        there = line.batch_id in book.batches or line.expected_pick_id in book.expected_picks
        places = (line.from_place_id, *(step.place_id for step in line.steps))
        sold = line.market_day_id is None or line.market_day_id in book.market_days
        return there and sold and all(place in book.places for place in places)

    @property
    def any_decided(self) -> bool:
        """Whether any line is packed or pinned."""
        return any(line.packed or line.pin_id for line in self.lines)

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """One row per line."""
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """As many as :class:`Column` has."""
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
            tr("Batch"),
            tr("Fruit"),
            tr("Crates"),
            tr("From"),
            tr("Moved"),
            tr("To"),
            tr("Market day"),
            tr("Ready then"),
            tr("Worth"),
            tr("Decided"),
        )

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Words, and what to sort by."""
        line, column = self.lines[index.row()], index.column()
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _alignment(column)
        if role == SORT_ROLE:
            return self._sorted_by(line, column)
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return self.text(line, column)
        return None

    def text(self, line: "PlannedItinerary", column: int) -> str:
        """What a cell says."""
        session, words = self._session, self._session.words
        sold = line.market_day_id is not None
        if column == Column.BATCH:
            pick = session.season.book.expected_picks.get(line.expected_pick_id or "")
            if pick is not None:
                return tr("expected {day}").format(day=words.day(pick.on))
            return fruit_of(line, session)
        if column == Column.FRUIT:
            return fruit_words(line, session)
        if column == Column.CRATES:
            return words.number(line.crates)
        if column == Column.FROM:
            return place_words(line.from_place_id, session)
        if column == Column.PULL:
            times = [step.at for step in line.steps]
            if line.second_grade and line.pull_at is not None:
                times = [line.pull_at]
            return "\n".join(words.moment(at) for at in times)
        if column == Column.TO:
            return "\n".join(place_words(step.place_id, session) for step in line.steps)
        if column == Column.MARKET:
            return market_words(line.market_day_id, session) if sold else self._fate(line)
        if column == Column.READY:
            return words.share(line.expected_ready_share) if sold or line.second_grade else ""
        if column == Column.WORTH:
            worth = line.expected_value_minor
            return words.money(round(worth)) if sold or line.second_grade else ""
        return self._decided(line)

    def _fate(self, line: "PlannedItinerary") -> str:
        """What becomes of crates that go to no market day."""
        if line.second_grade:
            return tr("second grade")
        if line.kept:
            return tr("kept for later")
        return tr("cleared away") if line.to_place_id is None else tr("left to itself")

    def _decided(self, line: "PlannedItinerary") -> str:
        if line.packed:
            return tr("packed")
        return tr("pinned") if line.pin_id else ""

    def _sorted_by(self, line: "PlannedItinerary", column: int) -> object:
        day = self._session.season.book.market_days.get(line.market_day_id or "")
        if column == Column.PULL:
            first = line.steps[0].at if line.steps else line.pull_at
            return first.timestamp() if first else math.inf
        if column == Column.MARKET:
            return day.starts_at.timestamp() if day else math.inf
        if column in _NUMBERS:
            return {
                Column.CRATES: float(line.crates),
                Column.READY: line.expected_ready_share,
                Column.WORTH: line.expected_value_minor,
            }[Column(column)]
        return self.text(line, column).casefold()


def _alignment(column: int) -> Qt.AlignmentFlag:
    side = Qt.AlignmentFlag.AlignRight if column in _NUMBERS else Qt.AlignmentFlag.AlignLeft
    return side | Qt.AlignmentFlag.AlignVCenter
