"""A scroll area that is as high as what it holds, as long as there is room."""

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QScrollArea, QSizePolicy, QWidget


class SnugScroll(QScrollArea):
    """Takes its content's height when it can get it, and scrolls when it cannot."""

    def __init__(self, content: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.setWidget(content)
        content.installEventFilter(self)

    def sizeHint(self) -> QSize:
        """What the content would like."""
        content = self.widget()
        if content is None:
            return super().sizeHint()
        hint = content.sizeHint()
        if content.hasHeightForWidth() and self.width() > 0:
            hint.setHeight(content.heightForWidth(self.width()))
        return hint

    def minimumSizeHint(self) -> QSize:
        """A few lines: the rest is reached by scrolling."""
        return QSize(200, 4 * self.fontMetrics().height())

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
