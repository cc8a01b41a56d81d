"""The figures of a crop as a list in groups, and beneath it all that is known of one of them."""

from collections.abc import Sequence

from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QSignalBlocker,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.crop.document import Path
from ripenroom.texts import tr
from ripenroom.units import NEWTONS_PER
from ripenroom.window.crops.figures import FigureGroup, FigureRow
from ripenroom.window.plain import PlainLabel, plain_hint, set_hint
from ripenroom.window.style_sheet import row_height
from ripenroom.window.widgets.inputs import RecordChoice
from ripenroom.window.widgets.layouts import FlowLayout, WrappedLabel
from ripenroom.wording.formats import in_percent

_LINES = 3


class ToldArea(QScrollArea):
    """As high as a few lines; where there is no room one has to do, and the others are scrolled."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.label = WrappedLabel(parent=self)
        self.label.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.setWidgetResizable(True)
        self.setAccessibleName(name)
        self.setWidget(self.label)

    def sizeHint(self) -> QSize:
        """A few lines."""
        return QSize(0, _LINES * self.fontMetrics().lineSpacing() + 6)

    def minimumSizeHint(self) -> QSize:
        """One line."""
        return QSize(0, self.fontMetrics().lineSpacing() + 6)


_SHARES = (0.42, 0.4)
"""Of the width, what names and what values may take at most."""


class FigureList(QWidget):
    """``editAsked`` carries the :class:`FigureRow` to change; ``unitChosen`` the gauge's unit."""

    editAsked = Signal(object)  # noqa: N815 - named as Qt names signals
    unitChosen = Signal(str)  # noqa: N815

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines: list[FigureRow] = []
        self._writable = True
        self.tree = QTreeWidget(self)
        self.tree.setAccessibleName(tr("Figures"))
        value = tr("Value ({sure} range)").format(sure=in_percent(80))
        self.tree.setHeaderLabels([tr("What"), value, tr("From")])
        self.tree.setRootIsDecorated(False)
        self.tree.setItemsExpandable(False)
        self.tree.setIndentation(0)
        self.tree.setItemDelegate(_Lines(self.tree))
        self.tree.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.tree.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.tree.itemDoubleClicked.connect(self._edit)
        self.tree.currentItemChanged.connect(self._tell)
        for key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            shortcut = QShortcut(QKeySequence(key), self.tree)
            shortcut.setContext(Qt.ShortcutContext.WidgetShortcut)
            shortcut.activated.connect(self._edit)
        self._room = ToldArea(tr("More about this figure"), self)
        self.told = self._room.label
        self.edit_button = QPushButton(tr("Ed&it figure…"), self)
        set_hint(self.edit_button, tr("Edit the selected figure (Enter in the list)"))
        self.edit_button.clicked.connect(self._edit)
        self.unit = RecordChoice(4, self)
        self.unit.set_choices([(unit, unit) for unit in NEWTONS_PER])
        self.unit.setAccessibleName(tr("Unit of firmness"))
        self.unit.setMaximumWidth(self.fontMetrics().horizontalAdvance("n") * 12)
        self.unit.activated.connect(lambda: self.unitChosen.emit(str(self.unit.value())))
        self._unit_label = PlainLabel(tr("Firmness i&n"), self)
        self._unit_label.setBuddy(self.unit)
        in_unit = QWidget(self)
        beside = QHBoxLayout(in_unit)
        beside.setContentsMargins(0, 0, 0, 0)
        beside.addWidget(self._unit_label)
        beside.addWidget(self.unit)
        foot = FlowLayout(spacing=16)
        foot.addWidget(self.edit_button)
        foot.addWidget(in_unit)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 6, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(self.tree, 1)
        layout.addWidget(self._room)
        layout.addLayout(foot)
        self._size()

    def changeEvent(self, event: QEvent) -> None:
        """More room for larger text."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._size()

    def _size(self) -> None:
        self._room.setMaximumHeight(self._room.sizeHint().height())
        self.tree.setMinimumHeight(2 * row_height(self.font()))  # the headings and one line

    def show_groups(
        self, groups: Sequence[FigureGroup], unit: str, *, by_gauge: bool, writable: bool
    ) -> None:
        """Show these; the selected line and the scroll stay where they were."""
        line, scrolled = self.current(), self.tree.verticalScrollBar().value()
        self._writable = writable
        self._lines = []
        with QSignalBlocker(self.tree):
            self.tree.clear()
            for group in groups:
                self._add_heading(group.title)
                for entry in group.lines:
                    self._add_line(entry)
        self.tree.expandAll()
        self.unit.choose(unit)
        self.unit.setVisible(by_gauge)
        self._unit_label.setVisible(by_gauge)
        self.fit_columns()
        self.select(line.path if line else None)
        self.tree.verticalScrollBar().setValue(scrolled)

    def current(self) -> FigureRow | None:
        """The selected line; None on a heading."""
        item = self.tree.currentItem()
        number = None if item is None else item.data(0, Qt.ItemDataRole.UserRole)
        return self._lines[number] if isinstance(number, int) else None

    def select(self, path: Path | None) -> None:
        """Select the line at a path, the first one where there is none."""
        wanted = next((n for n, line in enumerate(self._lines) if line.path == path), 0)
        for row in range(self.tree.topLevelItemCount()):
            item = self.tree.topLevelItem(row)
            if item is not None and item.data(0, Qt.ItemDataRole.UserRole) == wanted:
                self.tree.setCurrentItem(item)
        self._tell()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give the columns what they need of another width."""
        super().resizeEvent(event)
        self.fit_columns()

    def fit_columns(self) -> None:
        """Names and values whole where there is room; where a figure is from takes the rest."""
        header = self.tree.header()
        # The tree itself is resized only after this.
        room = self.width() - self.tree.verticalScrollBar().sizeHint().width()
        header.setStretchLastSection(True)
        header.setMinimumSectionSize(40)
        for column, share in enumerate(_SHARES):
            natural = self.tree.sizeHintForColumn(column) + 12
            self.tree.setColumnWidth(column, min(natural, round(room * share)))

    def _add_heading(self, title: str) -> None:
        item = QTreeWidgetItem([title])
        font = self.tree.font()
        font.setBold(True)
        item.setFont(0, font)
        item.setFlags(Qt.ItemFlag.ItemIsEnabled)
        self.tree.addTopLevelItem(item)
        item.setFirstColumnSpanned(True)

    def _add_line(self, line: FigureRow) -> None:
        item = QTreeWidgetItem([f"   {line.label}", line.text, line.origin])
        item.setData(0, Qt.ItemDataRole.UserRole, len(self._lines))
        item.setData(0, Qt.ItemDataRole.AccessibleTextRole, line.told)
        for column in range(3):
            item.setToolTip(column, plain_hint(line.told))
        self._lines.append(line)
        self.tree.addTopLevelItem(item)

    def _tell(self) -> None:
        line = self.current()
        self.told.setText(line.told if line else "")
        self.edit_button.setEnabled(self._writable and line is not None and line.kind != "words")

    def _edit(self) -> None:
        line = self.current()
        if line is not None and self.edit_button.isEnabled():
            self.editAsked.emit(line)


class _Lines(QStyledItemDelegate):
    """Lines that a cold hand can hit."""

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """As wide as the text, and high enough."""
        size = super().sizeHint(option, index)
        return QSize(size.width(), max(size.height(), row_height(option.font)))
