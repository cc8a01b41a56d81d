"""The list of crops: name, how it is judged, whose figures, and a word where to be careful."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import (
    QModelIndex,
    QPersistentModelIndex,
    QSignalBlocker,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QFont, QFontMetrics, QPainter, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.crop.well_known import also_found_by
from ripenroom.texts import tr
from ripenroom.window.plain import set_hint
from ripenroom.window.style_sheet import target_height
from ripenroom.window.theme import ink
from ripenroom.window.widgets.inputs import TypedLine

_KEY = Qt.ItemDataRole.UserRole
_FACTS = Qt.ItemDataRole.UserRole + 1
_PADDING = 6


@dataclass(frozen=True, slots=True)
class CropEntry:
    """One line of the list; ``facts`` stand below the name, a line each."""

    key: str
    name: str
    facts: tuple[str, ...]


class CropList(QWidget):
    """Filtered by typing; ``chosen`` carries the key of the crop to show."""

    chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.finder = TypedLine(10, tr("Find a crop …"), self)
        self.finder.setClearButtonEnabled(True)
        self.finder.setAccessibleName(tr("Find a crop"))
        self.list = QListWidget(self)
        self.list.setAccessibleName(tr("Crops"))
        self.list.setItemDelegate(_Lines(self.list))
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._entries: Sequence[CropEntry] = ()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(self.finder)
        layout.addWidget(self.list, 1)
        self.finder.textChanged.connect(self._filter)
        self.finder.returnPressed.connect(self.list.setFocus)
        self.list.currentItemChanged.connect(self._on_current)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the chosen crop in sight."""
        super().resizeEvent(event)
        item = self.list.currentItem()
        if item is not None:
            self.list.scrollToItem(item, QAbstractItemView.ScrollHint.PositionAtCenter)

    def natural_width(self) -> int:
        """Pixels in which no line is cut short."""
        heavy = QFont(self.list.font())
        heavy.setBold(True)
        names, facts = QFontMetrics(heavy), self.list.fontMetrics()
        widest = max(
            (
                max(names.horizontalAdvance(one.name), *map(facts.horizontalAdvance, one.facts))
                for one in self._entries
            ),
            default=0,
        )
        bar = self.list.verticalScrollBar().sizeHint().width()
        return widest + 2 * _PADDING + bar + 2 * self.list.frameWidth() + 2

    def show_entries(self, entries: Sequence[CropEntry]) -> None:
        """Show these crops; the present choice stays if it is among them."""
        kept = self.current()
        self._entries = entries
        with QSignalBlocker(self.list):
            self.list.clear()
            for entry in entries:
                item = QListWidgetItem(entry.name)
                item.setData(_KEY, entry.key)
                item.setData(_FACTS, entry.facts)
                told = ", ".join([entry.name, *entry.facts])
                item.setData(Qt.ItemDataRole.AccessibleTextRole, told)
                set_hint(item, told)
                self.list.addItem(item)
            self._hide_unwanted()
            self.choose(kept)

    def current(self) -> str | None:
        """The key of the chosen crop."""
        item = self.list.currentItem()
        return None if item is None else str(item.data(_KEY))

    def choose(self, key: str | None) -> None:
        """Choose a crop, dropping a filter that hides it; the first one where it is not there."""
        keys = [entry.key for entry in self._entries]
        if not keys:
            return
        row = keys.index(key) if key in keys else 0
        if self.list.item(row).isHidden():
            self.finder.clear()
        self.list.setCurrentRow(row)

    def _filter(self) -> None:
        self._hide_unwanted()
        current = self.list.currentItem()
        if current is None or current.isHidden():
            seen = [row for row in range(self.list.count()) if not self.list.item(row).isHidden()]
            if seen:
                self.list.setCurrentRow(seen[0])

    def _hide_unwanted(self) -> None:
        words = self.finder.text().casefold().split()
        for row, entry in enumerate(self._entries):
            told = " ".join([entry.name, *entry.facts, *also_found_by(entry.key)]).casefold()
            self.list.item(row).setHidden(not all(word in told for word in words))

    def _on_current(self) -> None:
        current = self.current()
        if current is not None:
            self.chosen.emit(current)


class _Lines(QStyledItemDelegate):
    """A name, and its facts below it in fainter ink."""

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """As high as its lines, and high enough to be hit."""
        lines = 1 + len(index.data(_FACTS) or ())
        high = lines * option.fontMetrics.height() + 2 * _PADDING
        return QSize(0, max(high, target_height(option.font)))

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """The line, marked where it is chosen or has the keyboard."""
        view = option.widget
        colours = ink(view) if isinstance(view, QWidget) else ink()
        painter.save()
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        if chosen:
            painter.fillRect(option.rect, colours.chosen)
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(colours.accent if not chosen else colours.on_chosen)
            painter.drawRect(option.rect.adjusted(0, 0, -1, -1))
        area = option.rect.adjusted(_PADDING, _PADDING, -_PADDING, -_PADDING)
        high = option.fontMetrics.height()
        font = QFont(option.font)
        lines = [str(index.data()), *(index.data(_FACTS) or ())]
        for number, text in enumerate(lines):
            font.setBold(number == 0)
            painter.setFont(font)
            faint = colours.text if number == 0 else colours.faint
            painter.setPen(colours.on_chosen if chosen else faint)
            line = area.adjusted(0, number * high, 0, 0)
            line.setHeight(high)
            shown = painter.fontMetrics().elidedText(
                text, Qt.TextElideMode.ElideRight, line.width()
            )
            painter.drawText(
                line, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, shown
            )
        painter.restore()
