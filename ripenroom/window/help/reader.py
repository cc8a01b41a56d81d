"""A plain dialog to read a text in."""

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QHBoxLayout, QPushButton, QTextBrowser, QVBoxLayout, QWidget

from ripenroom.texts import tr
from ripenroom.window.dialogs import room_for


class Reader(QDialog):
    """Shows headed paragraphs or a table of two columns; closes with Esc."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.text = QTextBrowser(self)
        self.text.setFrameShape(QTextBrowser.Shape.NoFrame)
        self.text.setAccessibleName(title)
        self.text.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        close = QPushButton(tr("Close"), self)
        close.setDefault(True)
        close.clicked.connect(self.accept)
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(close)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.addWidget(self.text, 1)
        layout.addLayout(foot)
        em = self.fontMetrics().horizontalAdvance("n")
        room = room_for(self)
        self.resize(min(76 * em, room.width()), min(64 * em, room.height()))

    def show_paragraphs(self, paragraphs: list[tuple[str, str]]) -> None:
        """Show ``(heading, text)`` pairs."""
        self.text.setHtml(
            "".join(
                f"<h3>{escape(heading)}</h3><p>{escape(text)}</p>" for heading, text in paragraphs
            )
        )

    def show_groups(self, groups: list[tuple[str, list[tuple[str, str]]]]) -> None:
        """Show ``(heading, [(left, right), …])`` as tables of two columns."""
        parts: list[str] = []
        for heading, lines in groups:
            parts.append(f"<h3>{escape(heading)}</h3><table cellpadding='4'>")
            parts += [
                f"<tr><td><b>{escape(left)}</b></td><td>{escape(right)}</td></tr>"
                for left, right in lines
            ]
            parts.append("</table>")
        self.text.setHtml("".join(parts))
