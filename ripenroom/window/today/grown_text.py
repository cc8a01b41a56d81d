"""Rich text with links, as high as it needs to be: the page around it scrolls."""

from PySide6.QtCore import QEvent, QRect, QSize, Qt, Signal
from PySide6.QtGui import QFont, QResizeEvent
from PySide6.QtWidgets import QFrame, QSizePolicy, QTextBrowser, QWidget


class GrownText(QTextBrowser):
    """Tab goes from link to link, Enter follows; ``looked_at`` says where the keyboard is."""

    looked_at = Signal(QRect)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setOpenLinks(False)
        self.setAccessibleName(name)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.viewport().setAutoFillBackground(False)
        self.document().setDocumentMargin(0)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setSizePolicy(policy)
        self.cursorPositionChanged.connect(self._tell)
        self.selectionChanged.connect(self._tell)

    def write(self, html: str, font: QFont) -> None:
        """Show this text."""
        self.document().setDefaultFont(font)
        self.setHtml(html)
        self.document().setDocumentMargin(0)
        self._grow()

    def sizeHint(self) -> QSize:
        """As high as the text at its present width."""
        return QSize(0, self._height())

    def minimumSizeHint(self) -> QSize:
        """As high as the text at its present width."""
        return self.sizeHint()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another width breaks the lines elsewhere."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._grow()

    def wheelEvent(self, event: QEvent) -> None:
        """The wheel is the page's."""
        event.ignore()

    def _height(self) -> int:
        return int(self.document().size().height()) + 2

    def _grow(self) -> None:
        self.setFixedHeight(self._height())
        self.updateGeometry()

    def _tell(self) -> None:
        if self.hasFocus():
            self.looked_at.emit(self.cursorRect())
