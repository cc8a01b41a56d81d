"""What was done with a batch, a line each, which can be taken back."""

from collections.abc import Callable
from datetime import datetime

from PySide6.QtWidgets import QGridLayout, QPushButton, QVBoxLayout, QWidget

from ripenroom.window.plain import PlainLabel
from ripenroom.window.session import Session


class DeedList(QWidget):
    """Subclasses say in :meth:`refresh` which lines there are."""

    def __init__(
        self, session: Session, batch_id: str, heading: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.session = session
        self.batch_id = batch_id
        self.delete_buttons: list[QPushButton] = []
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(1, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        if heading:
            title = PlainLabel(heading, self)
            title.setObjectName("sectionTitle")
            layout.addWidget(title)
        layout.addLayout(self._grid)

    def refresh(self) -> None:
        """Show the lines as they are now."""
        raise NotImplementedError

    def clear(self) -> None:
        """Take all lines away."""
        self.delete_buttons = []
        while (item := self._grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()

    def when(self, at: datetime) -> str:
        """A moment in words, marked where it lies ahead."""
        moment = self.session.words.moment(at)
        if at > self.session.season.now():
            return self.tr("{moment} (ahead)").format(moment=moment)
        return moment

    def add_line(self, line: int, when: str, what: str) -> None:
        """Show a line: since when, and what."""
        for column, text in enumerate((when, what)):
            label = PlainLabel(text, self)
            label.setWordWrap(column > 0)
            self._grid.addWidget(label, line, column)

    def add_delete(self, line: int, name: str, done: str, delete: Callable[[], None]) -> None:
        """Put a :meth:`delete_button` beside a line."""
        self._grid.addWidget(self.delete_button(name, done, delete), line, 2)

    def delete_button(self, name: str, done: str, delete: Callable[[], None]) -> QPushButton:
        """A button that deletes; ``name`` is what a listener hears, ``done`` is said after."""
        button = QPushButton(self.tr("Delete"), self)
        button.setAutoDefault(False)
        button.setAccessibleName(name)
        button.setEnabled(self.session.season.read_only_because is None)
        button.clicked.connect(lambda: self.session.run(done, delete))
        self.delete_buttons.append(button)
        return button
