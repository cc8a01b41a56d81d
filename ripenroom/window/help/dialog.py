"""Help in one window: topics on the left, what is said of them on the right."""

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from html import escape

from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QTextDocument
from PySide6.QtWidgets import (
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from ripenroom.texts import tr
from ripenroom.window.dialogs import EnterDialog, room_for
from ripenroom.window.help import texts, topics
from ripenroom.window.help.pictures import HEIGHT_PX, WIDTH_PX, drawing
from ripenroom.window.theme import ink

FIRST_STEPS, WORDS, KEYBOARD, CAUTIONS, ABOUT = "steps", "words", "keyboard", "cautions", "about"
"""Names of topics besides the pages of the window, which go by their own."""


class HelpDialog(EnterDialog):
    """Opens at a topic: the name of a page, or one of those above. Esc closes it.

    ``pages`` are the window's by name and title; ``cautions`` those of crops, by their names.
    """

    def __init__(
        self,
        topic: str,
        pages: Sequence[tuple[str, str]],
        cautions: Sequence[tuple[str, str]],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Help"))
        self._topics: dict[str, tuple[str, Callable[[], str]]] = {
            FIRST_STEPS: (tr("First steps"), self._first_steps),
            **{name: (title, partial(_page, name)) for name, title in pages},
            WORDS: (tr("Words"), lambda: _table(topics.words())),
            KEYBOARD: (tr("Keyboard"), lambda: _groups(texts.keyboard())),
            CAUTIONS: (tr("Cautions"), lambda: _paragraphs(texts.cautions(cautions))),
            ABOUT: (tr("About"), lambda: _paragraphs(texts.about())),
        }
        self.list = QListWidget(self)
        self.list.setAccessibleName(tr("Topics"))
        for name, (title, _) in self._topics.items():
            item = QListWidgetItem(title, self.list)
            item.setData(Qt.ItemDataRole.UserRole, name)
        em = self.fontMetrics().horizontalAdvance("n")
        self.list.setFixedWidth(18 * em)
        self.text = QTextBrowser(self)
        self.text.setFrameShape(QTextBrowser.Shape.NoFrame)
        self.text.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        close = QPushButton(tr("Close"), self)
        close.setDefault(True)
        close.clicked.connect(self.accept)
        both = QHBoxLayout()
        both.setSpacing(14)
        both.addWidget(self.list)
        both.addWidget(self.text, 1)
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(close)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.addLayout(both, 1)
        layout.addLayout(foot)
        room = room_for(self)
        self.resize(min(100 * em, room.width()), min(66 * em, room.height()))
        self.list.currentItemChanged.connect(self._show)
        self.show_topic(topic)
        self.list.setFocus()

    def show_topic(self, name: str) -> None:
        """Turn to a topic."""
        self.list.setCurrentRow(list(self._topics).index(name))

    def _show(self, item: QListWidgetItem) -> None:
        title, written = self._topics[item.data(Qt.ItemDataRole.UserRole)]
        self.text.setAccessibleName(title)
        self.text.setHtml(f"<h2>{escape(title)}</h2>{written()}")

    def _first_steps(self) -> str:
        document, colours = self.text.document(), ink(self)
        parts = ["<table cellpadding='6'>"]
        for step in topics.first_steps():
            url = QUrl(f"drawing:{step.picture}")
            kind = QTextDocument.ResourceType.ImageResource.value
            document.addResource(kind, url, drawing(step.picture, colours))
            parts.append(
                f"<tr><td><img src='{url.toString()}' width='{WIDTH_PX}' height='{HEIGHT_PX}'>"
                f"</td><td valign='middle'><b>{escape(step.heading)}</b>"
                f"<br>{escape(step.text)}</td></tr>"
            )
        return "".join([*parts, "</table>"])


def _page(name: str) -> str:
    return "".join(f"<p>{escape(text)}</p>" for text in topics.page_help(name))


def _paragraphs(paragraphs: Iterable[tuple[str, str]]) -> str:
    return "".join(
        f"<h3>{escape(heading)}</h3><p>{escape(text)}</p>" for heading, text in paragraphs
    )


def _groups(groups: Iterable[tuple[str, Iterable[tuple[str, str]]]]) -> str:
    return "".join(f"<h3>{escape(heading)}</h3>{_table(lines)}" for heading, lines in groups)


def _table(lines: Iterable[tuple[str, str]]) -> str:
    cells = (
        f"<tr><td><b>{escape(left)}</b></td><td>{escape(right)}</td></tr>" for left, right in lines
    )
    return f"<table cellpadding='4'>{''.join(cells)}</table>"
