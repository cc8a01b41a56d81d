"""The cells of a table on its way in, and beside each row what is wrong with it."""

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
    Signal,
)

from ripenroom.texts import tr
from ripenroom.window.import_table.corrections import meaning_name
from ripenroom.window.import_table.state import RowTrouble, TableState
from ripenroom.window.palette import Palette
from ripenroom.window.plain import plain_hint

Index = QModelIndex | QPersistentModelIndex

_ROLE = Qt.ItemDataRole


class TableInModel(QAbstractTableModel):
    """First column: what is wrong. Then the table's own, whose cells can be mended."""

    mended = Signal(int, int, str)  # row and column of the grid, and the new text

    def __init__(self, ink: Palette, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.ink = ink
        self.state: TableState | None = None
        self.shown: list[int] = []

    def show_state(self, state: TableState, only_wrong: bool) -> None:
        """Show a table as it is now."""
        self.beginResetModel()
        self.state = state
        numbers = state.grid.numbers
        self.shown = [
            n for n, number in enumerate(numbers) if not only_wrong or number in state.troubles
        ]
        self.endResetModel()

    def trouble_of(self, row: int) -> RowTrouble | None:
        """What is wrong with a shown row, if anything."""
        if self.state is None or not 0 <= row < len(self.shown):
            return None
        return self.state.troubles.get(self.state.grid.numbers[self.shown[row]])

    def number_of(self, row: int) -> int:
        """The line number of a shown row in its table."""
        assert self.state is not None
        return self.state.grid.numbers[self.shown[row]]

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """Rows that are shown."""
        return 0 if parent.isValid() else len(self.shown)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        """The table's columns and the one that tells what is wrong."""
        return 0 if parent.isValid() or self.state is None else len(self.state.grid.heads) + 1

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = _ROLE.DisplayRole
    ) -> object:
        """Heads with their meaning; line numbers at the side."""
        if self.state is None or role not in (_ROLE.DisplayRole, _ROLE.ToolTipRole):
            return None
        if orientation == Qt.Orientation.Vertical:
            return str(self.number_of(section)) if section < len(self.shown) else None
        if section == 0:
            return tr("To fix")
        head = self.state.grid.heads[section - 1] or tr("(no heading)")
        key = self.state.mapping.meaning_of[section - 1]
        meaning = meaning_name(key) if key else tr("left out")
        text = f"{head}\n{meaning}"
        return plain_hint(text) if role == _ROLE.ToolTipRole else text

    def data(self, index: Index, role: int = _ROLE.DisplayRole) -> object:
        """Texts of cells; a cell at fault has another ground, and its row says why."""
        if self.state is None or not index.isValid():
            return None
        trouble = self.trouble_of(index.row())
        if index.column() == 0:
            return self._about(trouble, role)
        column = index.column() - 1
        if role in (_ROLE.DisplayRole, _ROLE.EditRole):
            return self.state.grid.rows[self.shown[index.row()]][column]
        key = self.state.mapping.meaning_of[column]
        if role == _ROLE.ForegroundRole and key is None:
            return self.ink.faint
        why = trouble.why_of(key) if trouble is not None and key is not None else None
        if why is not None:
            if role == _ROLE.BackgroundRole:
                return self.ink.warning_paper
            if role == _ROLE.ToolTipRole:
                return plain_hint(why)
            if role == _ROLE.AccessibleDescriptionRole:
                return why
        return None

    def _about(self, trouble: RowTrouble | None, role: int) -> object:
        if trouble is None:
            return "✓" if role == _ROLE.DisplayRole else None
        if role in (_ROLE.DisplayRole, _ROLE.ToolTipRole):
            text = f"{'?' if trouble.asks else '!'} {self.words_of(trouble)}"
            return plain_hint(text) if role == _ROLE.ToolTipRole else text
        if role == _ROLE.ForegroundRole:
            return self.ink.warning
        return None

    def words_of(self, trouble: RowTrouble) -> str:
        """All that keeps a row from being taken, each with the column that it is about."""
        said = []
        for key, why in ((trouble.key, trouble.why), *trouble.also):
            # A reason such as "is needed" says nothing by itself; a whole sentence does.
            said.append(f"{meaning_name(key)}: {why}" if key and not why[:1].isupper() else why)
        return "; ".join(said)

    def cell_at_fault(self, row: int) -> int | None:
        """The first column of a shown row that has to be fixed, None where none is at fault."""
        trouble = self.trouble_of(row)
        if trouble is None or self.state is None:
            return None
        meant = enumerate(self.state.mapping.meaning_of, start=1)
        wrong = (column for column, key in meant if key and trouble.why_of(key) is not None)
        return next(wrong, None)

    def flags(self, index: Index) -> Qt.ItemFlag:
        """The table's own cells can be mended."""
        flags = super().flags(index)
        return flags | Qt.ItemFlag.ItemIsEditable if index.column() > 0 else flags

    def setData(self, index: Index, value: object, role: int = _ROLE.EditRole) -> bool:
        """Hand a mended cell on; the table is looked over anew and shown again."""
        if role != _ROLE.EditRole or index.column() == 0 or self.state is None:
            return False
        text = str(value)
        row, column = self.shown[index.row()], index.column() - 1
        if text == self.state.grid.rows[row][column]:
            return False
        self.mended.emit(row, column, text)
        return True
