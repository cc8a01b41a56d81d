"""Layouts that give way, and Tab, which goes through them as people read.

Broken lines of widgets, a snug scroll area, a label that wraps; Tab comes by what is laid out in
the order in which it lies.
"""

from collections.abc import Iterator
from itertools import pairwise

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QFrame,
    QLayout,
    QLayoutItem,
    QScrollArea,
    QSizePolicy,
    QSplitter,
    QStyle,
    QVBoxLayout,
    QWidget,
)

from ripenroom.window.plain import PlainLabel, reads_from_right


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
        widget = self.parentWidget()
        from_side = Qt.LayoutDirection.LeftToRight if widget is None else widget.layoutDirection()
        for item in self._items:
            if item.isEmpty():
                continue
            hint = item.sizeHint()
            if x > rect.x() and x + hint.width() > rect.right() + 1:
                x, y, row_px = rect.x(), y + row_px + self.spacing(), 0
            if place:
                item.setGeometry(QStyle.visualRect(from_side, rect, QRect(QPoint(x, y), hint)))
            x += hint.width() + self.spacing()
            row_px = max(row_px, hint.height())
        return y + row_px - rect.y()


class SnugScroll(QScrollArea):
    """Takes its content's height when it can get it, and scrolls when it cannot."""

    def __init__(self, content: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.setWidget(content)
        self._least_lines = 4
        self._most_lines: int | None = None
        content.installEventFilter(self)

    def keep_lines(self, least: int, most: int | None = None) -> None:
        """Never be lower than so many lines of text, nor, if that is given, higher."""
        self._least_lines, self._most_lines = least, most
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        """What the content would like."""
        content = self.widget()
        if content is None:
            return super().sizeHint()
        hint = content.sizeHint()
        if content.hasHeightForWidth() and self.width() > 0:
            hint.setHeight(content.heightForWidth(self.width()))
        if self._most_lines is not None:
            hint.setHeight(min(hint.height(), self._lines_px(self._most_lines)))
        return hint.expandedTo(QSize(0, self._lines_px(self._least_lines)))

    def minimumSizeHint(self) -> QSize:
        """A few lines: the rest is reached by scrolling."""
        return QSize(200, self._lines_px(self._least_lines))

    def _lines_px(self, lines: int) -> int:
        return lines * self.fontMetrics().lineSpacing()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another width may mean another height."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.updateGeometry()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Grow and shrink with the content."""
        if event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().eventFilter(watched, event)


class WrappedLabel(PlainLabel):
    """Plain text that asks for no width, and for as many lines as its width makes necessary.

    Qt's own label guesses a width when it says how high it is, and makes forms taller than they
    need to be.
    """

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setWordWrap(True)
        policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        if reads_from_right():
            # Qt hangs the blank at which it broke a line before it: the line is as much longer.
            self.setContentsMargins(self.fontMetrics().horizontalAdvance(" ") + 1, 0, 0, 0)

    def sizeHint(self) -> QSize:
        """One line; more come by height for width."""
        margins = self.contentsMargins()
        return QSize(0, self.fontMetrics().height() + margins.top() + margins.bottom())

    def minimumSizeHint(self) -> QSize:
        """One line."""
        return self.sizeHint()


def scrolling_column(page: QWidget, low: QWidget, lines: int) -> QVBoxLayout:
    """A column that fills a page, and scrolls where the window is too low for its letters.

    ``low`` is what gives way before that, down to so many ``lines``.
    """
    column = _Column(low, lines)
    area = QScrollArea(page)
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setWidget(column)
    # Qt gives what scrolls a ground of its own; the page's is to be seen.
    column.setAutoFillBackground(False)
    area.viewport().setAutoFillBackground(False)
    whole = QVBoxLayout(page)
    whole.setContentsMargins(0, 0, 0, 0)
    whole.addWidget(area)
    return QVBoxLayout(column)


class _Column(QWidget):
    """Keeps ``low`` from being lower than some lines, however large letters are."""

    def __init__(self, low: QWidget, lines: int) -> None:
        super().__init__()
        self._low, self._lines = low, lines
        self._fit()

    def changeEvent(self, event: QEvent) -> None:
        """Larger letters, higher lines."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._fit()

    def _fit(self) -> None:
        self._low.setMinimumHeight(self._lines * self.fontMetrics().lineSpacing())


def begin_with(whole: QWidget, part: QWidget) -> None:
    """Let one of its parts have the keyboard for the whole.

    The whole is a stop of Tab as well, which hands over to the part: it has to be moved where that
    is moved, and Qt moves only what can take the keyboard.
    """
    whole.setFocusPolicy(Qt.FocusPolicy.TabFocus)  # first: afterwards it would be the part's
    whole.setFocusProxy(part)


def tab_as_laid_out(layout: QLayout) -> None:
    """Let Tab come by the widgets of a layout one after the other.

    Qt lets it come by in the order in which they were made, so a line that is added later would
    come last. Where the layout begins and what follows it stays.
    """
    for before, after in pairwise(_stops(layout)):
        QWidget.setTabOrder(before, after)


def _stops(layout: QLayout) -> Iterator[QWidget]:
    for number in range(layout.count()):
        item = layout.itemAt(number)
        assert item is not None
        if (widget := item.widget()) is not None:
            yield from _stops_of(widget)
        elif (inner := item.layout()) is not None:
            yield from _stops(inner)


def _stops_of(widget: QWidget) -> Iterator[QWidget]:
    if isinstance(widget, QSplitter):
        for number in range(widget.count()):
            part = widget.widget(number)
            assert part is not None
            yield from _stops_of(part)
        return
    if widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
        yield widget
        if widget.focusProxy() is not None:
            return  # Qt moves all that is in it, in the order that it has in there
    inner = widget.widget() if isinstance(widget, QScrollArea) else widget
    if inner is not None and (layout := inner.layout()) is not None:
        yield from _stops(layout)
