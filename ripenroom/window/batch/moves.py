"""The moves of a batch, with a button to delete each but the first."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QWidget

from ripenroom.records.batch import Move
from ripenroom.window.session import Session


class MoveTable(QWidget):
    """One line per move: since when, and where."""

    def __init__(self, session: Session, batch_id: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._batch_id = batch_id
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(2)
        self._grid.setColumnStretch(1, 1)
        self.delete_buttons: list[QPushButton] = []

    def refresh(self) -> None:
        """Show the moves as they are now."""
        while (item := self._grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self.delete_buttons = []
        season, words = self._session.season, self._session.words
        moves = sorted(
            (move for move in season.book.moves.values() if move.batch_id == self._batch_id),
            key=lambda move: move.at,
        )
        for line, move in enumerate(moves):
            place = season.book.places.get(move.place_id)
            ahead = move.at > season.now()
            when = words.moment(move.at)
            if ahead:
                when = self.tr("{moment} (ahead)").format(moment=when)
            self._grid.addWidget(_plain(when), line, 0)
            name = _plain(place.name if place else "")
            name.setWordWrap(True)
            self._grid.addWidget(name, line, 1)
            # The first move says where the pick was put; without it the batch would be nowhere.
            if line > 0:
                self._grid.addWidget(self._delete_button(move, when), line, 2)

    def _delete_button(self, move: Move, when: str) -> QPushButton:
        button = QPushButton(self.tr("Delete"), self)
        button.setAutoDefault(False)
        button.setAccessibleName(self.tr("Delete move of {moment}").format(moment=when))
        button.setEnabled(self._session.season.read_only_because is None)
        button.clicked.connect(
            lambda: self._session.run(
                self.tr("Move deleted. Ctrl+Z brings it back."),
                lambda: self._session.season.delete_move(move.id),
            )
        )
        self.delete_buttons.append(button)
        return button


def _plain(text: str) -> QLabel:
    label = QLabel(text)
    label.setTextFormat(Qt.TextFormat.PlainText)
    return label
