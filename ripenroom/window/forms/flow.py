"""A layout that puts widgets side by side and breaks the line where the width ends."""

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget


class FlowLayout(QLayout):
    """As text flows: a narrow window or large letters give more rows, never a wider window."""

    def __init__(self, parent: QWidget | None = None, spacing: int = 8) -> None:
        super().__init__(parent)
        self._items: list[QLayoutItem] = []
        self.setSpacing(spacing)
        self.setContentsMargins(0, 0, 0, 0)

    def addItem(self, item: QLayoutItem) -> None:
        """Take an item in, as Qt asks of every layout."""
        self._items.append(item)

    def count(self) -> int:
        """How many items there are."""
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        """The item at an index, None beyond the last."""
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        """Give an item back."""
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        """None: the rows take what they need."""
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        """More width, fewer rows."""
        return True

    def heightForWidth(self, width: int) -> int:
        """The height of all rows at this width."""
        return self._flow(QRect(0, 0, width, 0), place=False)

    def setGeometry(self, rect: QRect) -> None:
        """Put the items where they belong."""
        super().setGeometry(rect)
        self._flow(rect, place=True)

    def sizeHint(self) -> QSize:
        """One row if there is room."""
        hints = [item.sizeHint() for item in self._items]
        wide = sum(hint.width() + self.spacing() for hint in hints)
        return QSize(wide, max((hint.height() for hint in hints), default=0))

    def minimumSize(self) -> QSize:
        """The largest item."""
        size = QSize()
        for item in self._items:
            size = size.expandedTo(item.minimumSize())
        return size

    def _flow(self, rect: QRect, place: bool) -> int:
        x, y, row_px = rect.x(), rect.y(), 0
        for item in self._items:
            if item.isEmpty():
                continue
            hint = item.sizeHint()
            if x > rect.x() and x + hint.width() > rect.right() + 1:
                x, y, row_px = rect.x(), y + row_px + self.spacing(), 0
            if place:
                item.setGeometry(QRect(QPoint(x, y), hint))
            x += hint.width() + self.spacing()
            row_px = max(row_px, hint.height())
        return y + row_px - rect.y()
