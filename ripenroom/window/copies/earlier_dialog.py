"""Earlier copies of the season: what going back to one would change, and doing so."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QListWidget,
    QPlainTextEdit,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.book import put_and_deleted
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.season.copies import Backup, Difference, changes_back_to
from ripenroom.season.season import EXTENSION
from ripenroom.texts import tr
from ripenroom.window import season_files
from ripenroom.window.background.task import BackgroundTask
from ripenroom.window.dialogs import EnterDialog, proposed, room_for
from ripenroom.window.plain import PlainLabel, set_hint, within
from ripenroom.window.season_files import SeasonFileProblem
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import RefusalNote
from ripenroom.window.widgets.layouts import WrappedLabel, tab_as_laid_out
from ripenroom.wording.copies import told


class EarlierDialog(EnterDialog):
    """A list of copies; beside it what the chosen one would bring, take and change.

    ``openAsked`` carries the path of a copy that was put somewhere as a season of its own.
    """

    openAsked = Signal(object)  # noqa: N815 - named as Qt names signals

    def __init__(
        self, session: Session, copies: Sequence[Backup], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.session = session
        self.copies = tuple(copies)
        self._looking: BackgroundTask[tuple[Difference, ...]] | None = None
        self.finished.connect(self._stop_looking)
        self.setWindowTitle(tr("Earlier copies of this season"))
        about = WrappedLabel(
            tr(
                "Copies are kept automatically: one for every hour of today, one for every day of "
                "the last month. If you go back to one, Ctrl+Z undoes that."
            ),
            self,
        )
        self.list = QListWidget(self)
        self.list.setAccessibleName(tr("Copies, the latest first"))
        self.list.addItems([session.words.moment(copy.at) for copy in self.copies])
        self.text = QPlainTextEdit(self)
        self.text.setReadOnly(True)
        self.text.setAccessibleName(tr("What going back would change"))
        self.text.setTabChangesFocus(True)
        splitter = within(QSplitter(Qt.Orientation.Horizontal, self))
        splitter.setChildrenCollapsible(False)
        splitter.addWidget(self._headed(tr("&Copies"), self.list))
        splitter.addWidget(self._headed(tr("&What going back would change"), self.text))
        splitter.setStretchFactor(1, 2)
        self._note = RefusalNote(self)
        self.back_button = QPushButton(tr("&Go back to this copy"), self)
        self.open_button = QPushButton(tr("&Open it as a separate season…"), self)
        self.close_button = QPushButton(tr("Close"), self)
        foot = QHBoxLayout()
        foot.addWidget(self.open_button)
        foot.addStretch(1)
        foot.addWidget(self.close_button)
        foot.addWidget(self.back_button)
        for button in (self.back_button, self.open_button, self.close_button):
            button.setAutoDefault(False)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.addWidget(about)
        layout.addWidget(splitter, 1)
        layout.addWidget(self._note)
        layout.addLayout(foot)
        tab_as_laid_out(foot)
        self.list.currentRowChanged.connect(self._show)
        self.back_button.clicked.connect(self.go_back)
        self.open_button.clicked.connect(self.open_as_own)
        self.close_button.clicked.connect(self.reject)
        room, em = room_for(self), self.fontMetrics().horizontalAdvance("n")
        self.resize(min(em * 100, room.width()), min(em * 60, room.height()))
        if self.copies:
            self.list.setCurrentRow(0)
        else:
            self._show()
        self.list.setFocus()

    def _headed(self, text: str, widget: QWidget) -> QWidget:
        side = QWidget(self)
        label = PlainLabel(text, side)
        label.setBuddy(widget)
        layout = QVBoxLayout(side)
        layout.setContentsMargins(0, 4, 0, 0)
        layout.addWidget(label)
        layout.addWidget(widget, 1)
        return side

    def chosen(self) -> Backup | None:
        """The copy that is chosen."""
        row = self.list.currentRow()
        return self.copies[row] if 0 <= row < len(self.copies) else None

    def _show(self) -> None:
        self._note.clear()
        self._stop_looking()
        copy, season = self.chosen(), self.session.season
        self.open_button.setEnabled(copy is not None)
        self.back_button.setEnabled(False)
        if copy is None:
            self.text.setPlainText(tr("No copy yet. The first is kept after your next change."))
            return
        self.text.setPlainText(tr("Looking…"))
        book = season.book
        self._looking = self.session.run_beside(
            "",
            lambda: changes_back_to(book, copy.path),
            lambda found: self._show_changes(copy, found),
            self._show_refusal,
        )
        self._looking.ended.connect(self._forget)

    def _forget(self) -> None:
        self._looking = None  # it is let go of, now that it has ended

    def _stop_looking(self) -> None:
        if self._looking is not None:
            self._looking.drop()
            self._looking = None

    def _show_refusal(self, refusal: Refusal) -> bool:
        self.text.setPlainText(refusal.message)
        return True

    def _show_changes(self, copy: Backup, found: tuple[Difference, ...]) -> None:
        season = self.session.season
        if copy is not self.chosen():
            return
        after = season.book.with_changes(*put_and_deleted(found))
        self.text.setPlainText(told(found, season.book, after, self.session.words).text)
        self.back_button.setEnabled(bool(found) and season.read_only_because is None)
        set_hint(self.back_button, season.read_only_because or "")

    def go_back(self) -> None:
        """Make the season what it was in the chosen copy."""
        copy = self.chosen()
        if copy is None:
            return
        when = self.session.words.moment(copy.at)
        done = tr("The season is as it was on {when}. Ctrl+Z takes that back.")
        if self.session.run(
            done.format(when=when),
            lambda: self.session.season.do(actions.season.go_back_to, copy.path, copy.at),
            self._tell,
        ):
            self.accept()

    def open_as_own(self) -> None:
        """Put the chosen copy where the user says, and open it."""
        copy = self.chosen()
        if copy is None:
            return
        source = self.session.season.path
        name, _ = QFileDialog.getSaveFileName(
            self,
            tr("Open a copy as"),
            proposed(source.parent, f"{source.stem} {copy.at:%Y-%m-%d %H%M}", EXTENSION),
            season_files.file_filter(),
        )
        if not name:
            return
        target = season_files.with_suffix(Path(name))
        try:
            season_files.copy_season(copy.path, target)
        except SeasonFileProblem as problem:
            self._note.tell(str(problem))
            return
        self.accept()
        self.openAsked.emit(target)

    def _tell(self, refusal: Refusal) -> bool:
        self._note.tell(refusal.message)
        return True
