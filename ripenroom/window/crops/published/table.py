"""Statements as a table: headings with the axis of their group, and a row per statement."""

from collections.abc import Sequence
from enum import IntEnum

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from ripenroom.window.crops.published.claims import Claim, ClaimGroup
from ripenroom.window.headings import heading
from ripenroom.window.plain import plain_hint

Index = QModelIndex | QPersistentModelIndex


class Column(IntEnum):
    """Columns in their order."""

    CASE = 0
    PICTURE = 1
    NUMBERS = 2


class ClaimTable(QAbstractTableModel):
    """Rows are headings, which the keyboard passes over, and the statements below them."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._groups: Sequence[ClaimGroup] = ()
        self._only_missed = False
        self._rows: list[tuple[ClaimGroup, Claim | None]] = []

    def show_groups(self, groups: Sequence[ClaimGroup], *, only_missed: bool) -> None:
        """Show all of these, or only what is missed of them."""
        self.beginResetModel()
        shown = [group.missed for group in groups] if only_missed else groups
        self._rows = [
            (group, claim) for group in shown if group.claims for claim in (None, *group.claims)
        ]
        self.endResetModel()

    def group(self, row: int) -> ClaimGroup:
        """The group that a row belongs to."""
        return self._rows[row][0]

    def claim(self, row: int) -> Claim | None:
        """The statement in a row; None for a heading, and where there is no such row."""
        return self._rows[row][1] if 0 <= row < len(self._rows) else None

    def row_of(self, claim: Claim | None) -> int:
        """The row of a statement, or of the first one where that is not there; -1 for none."""
        rows = [row for row, (_, there) in enumerate(self._rows) if there is not None]
        return next((row for row in rows if self._rows[row][1] == claim), rows[0] if rows else -1)

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """Headings and statements."""
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """As many as :class:`Column` has."""
        return 0 if parent.isValid() else len(Column)

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Statements can be chosen, headings cannot."""
        if self.claim(index.row()) is None:
            return Qt.ItemFlag.NoItemFlags
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> object:
        """The columns' headings."""
        return heading(section, orientation, role, self._headings)

    def _headings(self) -> tuple[str, ...]:
        return (
            self.tr("Fruit and source"),
            self.tr("Published, and the program"),
            self.tr("In numbers"),
        )

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Words for the eye, and all of a statement in sentences for a listener."""
        group, claim = self._rows[index.row()]
        if claim is None:
            heard = role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole)
            return group.title if heard and index.column() == Column.CASE else None
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return claim.told
        if role == Qt.ItemDataRole.ToolTipRole:
            return plain_hint(claim.told)
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        if index.column() == Column.CASE:
            return f"{claim.case}\n{claim.source}" if claim.case else claim.source
        if index.column() == Column.NUMBERS:
            return self.tr("{published}\nprogram: {answer}").format(
                published=claim.published, answer=claim.answer
            )
        return None
