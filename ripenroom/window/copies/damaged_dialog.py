"""A file that cannot be opened: an earlier copy of it, what can be read of it, or another one."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from PySide6.QtCore import QTimeZone
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QListWidget,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from ripenroom.days import full_moment
from ripenroom.records.season import SeasonDetails
from ripenroom.season.copies import Backup
from ripenroom.season.season import EXTENSION, FileRefusal
from ripenroom.texts import tr
from ripenroom.window import season_files
from ripenroom.window.background.task import BackgroundTask
from ripenroom.window.dialogs import EnterDialog, ask, proposed, room_for
from ripenroom.window.plain import PlainLabel
from ripenroom.window.season_files import SeasonFileProblem
from ripenroom.window.widgets.field import RefusalNote
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.wording.copies import detail_words, kind_words

if TYPE_CHECKING:
    from ripenroom.season.copies import Rescued

Instead = Literal["another", "new"]
"""Another file, or a new season."""


class DamagedDialog(EnterDialog):
    """Ways on from a file that cannot be opened, which is left as it is.

    It is ``damaged``, ``missing``, or (neither) no season at all. ``opened`` is the file to open
    instead, once a way was taken; ``asked_for`` is what was chosen without one.
    """

    def __init__(
        self,
        path: Path,
        why: str,
        copies: Sequence[Backup],
        parent: QWidget | None = None,
        *,
        damaged: bool = True,
        missing: bool = False,
    ) -> None:
        super().__init__(parent)
        self.asked_for: Instead | None = None
        self.path = path
        self.copies = tuple(copies)
        self.opened: Path | None = None
        self._rescue: BackgroundTask[Rescued] | None = None
        if missing:
            self.setWindowTitle(tr("This season file is not there"))
        elif damaged:
            self.setWindowTitle(tr("This season file is damaged"))
        else:
            self.setWindowTitle(tr("This file cannot be opened"))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.setSpacing(10)
        layout.addWidget(WrappedLabel(why, self))
        if not missing:
            layout.addWidget(
                WrappedLabel(
                    tr("This file stays as it is: what you save goes to a new file."), self
                )
            )
        self.list = QListWidget(self)
        self.list.setAccessibleName(tr("Earlier copies, the latest first"))
        self.list.addItems([_when(copy.at) for copy in self.copies])
        label = PlainLabel(tr("&Earlier copies"), self)
        label.setBuddy(self.list)
        self.open_button = QPushButton(tr("&Save this copy as a new file and open it…"), self)
        for widget in (label, self.list, self.open_button):
            widget.setVisible(bool(self.copies))
            layout.addWidget(widget)
        if not self.copies:
            layout.addWidget(WrappedLabel(tr("This computer has no earlier copy of it."), self))
            layout.addStretch(1)
        self.rescue_button = QPushButton(tr("&Rescue what can be read…"), self)
        # Of nothing, nothing can be read; a file whose beginning is lost may hold all the rest.
        self.rescue_button.setVisible(not missing and path.is_file() and path.stat().st_size > 0)
        self.another_button = QPushButton(tr("&Open another file…"), self)
        self.new_button = QPushButton(tr("&New season…"), self)
        self._note = RefusalNote(self)
        self.close_button = QPushButton(tr("Close"), self)
        foot = QHBoxLayout()
        foot.addWidget(self.rescue_button)
        foot.addWidget(self.another_button)
        foot.addWidget(self.new_button)
        foot.addStretch(1)
        foot.addWidget(self.close_button)
        layout.addWidget(self._note)
        layout.addLayout(foot)
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(False)
        self.another_button.clicked.connect(lambda: self._ask_for("another"))
        self.new_button.clicked.connect(lambda: self._ask_for("new"))
        self.open_button.clicked.connect(self.open_copy)
        self.rescue_button.clicked.connect(self.rescue)
        self.close_button.clicked.connect(self.reject)
        if self.copies:
            self.list.setCurrentRow(0)
        room, em = room_for(self), self.fontMetrics().horizontalAdvance("n")
        self.resize(min(em * 72, room.width()), min(em * 44, room.height()))

    def _ask_for(self, instead: "Instead") -> None:
        self.asked_for = instead
        self.accept()

    def open_copy(self) -> None:
        """Save the chosen copy where the user says, to be opened."""
        row = self.list.currentRow()
        if not 0 <= row < len(self.copies):
            return
        target = self._target(f"{_when(self.copies[row].at).replace(':', '')}")
        if target is None:
            return
        try:
            season_files.copy_season(self.copies[row].path, target)
        except SeasonFileProblem as problem:
            self._note.tell(str(problem))
            return
        self.opened = target
        self.accept()

    def rescue(self) -> None:
        """Put what can be read into a new file, say what that is, and open it."""
        from ripenroom.season.copies import rescue_season

        target = self._target(tr("rescued"))
        if target is None:
            return
        zone = bytes(QTimeZone.systemTimeZoneId().data()).decode() or "UTC"
        path, today = self.path, datetime.now().astimezone().date()
        self._note.tell(tr("Looking for what can be read…"))
        self.setEnabled(False)
        self._rescue = BackgroundTask(
            lambda _cancel, _tell: rescue_season(path, target, zone, today), self
        )
        self._rescue.ended.connect(lambda: self._take(target))
        self._rescue.start()

    def _take(self, target: Path) -> None:
        task, self._rescue = self._rescue, None
        self.setEnabled(True)
        self._note.clear()
        if task is None:
            return
        if isinstance(task.error, FileRefusal):
            self._note.tell(task.error.message)
        elif not task.report_error() and task.result is not None:
            self.opened = target
            self.accept()
            ask(RescuedDialog(task.result, target, self.parentWidget()))

    def done(self, result: int) -> None:
        """Close, after what is being rescued is written."""
        if self._rescue is not None:
            self._rescue.wait()
        super().done(result)

    def _target(self, what: str) -> Path | None:
        name, _ = QFileDialog.getSaveFileName(
            self,
            tr("Save as a new season file"),
            proposed(self.path.parent, f"{self.path.stem} ({what})", EXTENSION),
            season_files.file_filter(),
        )
        if not name:
            return None
        target = season_files.with_suffix(Path(name))
        if target.exists():
            self._note.tell(
                tr("{name} is there already and stays as it is. Choose another name.").format(
                    name=target.name
                )
            )
            return None
        return target


class RescuedDialog(EnterDialog):
    """What came back from a damaged file, and what did not."""

    def __init__(self, found: "Rescued", target: Path, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Rescued"))
        self.text = WrappedLabel(rescued_text(found, target), self)
        close = QPushButton(tr("Continue"), self)
        close.clicked.connect(self.accept)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.addWidget(self.text)
        layout.addStretch(1)
        layout.addWidget(close)
        em = self.fontMetrics().horizontalAdvance("n")
        self.resize(min(em * 60, room_for(self).width()), em * 30)


def rescued_text(found: "Rescued", target: Path) -> str:
    """What came back from a damaged file, and what did not, in words."""
    counts: dict[type, int] = {}
    for record in found.book.records():
        counts[type(record)] = counts.get(type(record), 0) + 1
    back = ", ".join(f"{kind_words(kind)}: {count}" for kind, count in counts.items())
    said = [
        tr("Saved in {file}:").format(file=target.name),
        back or tr("only the season details"),
    ]
    if lost := ", ".join(
        f"{kind_words(kind)}: {count}"
        for kind, count in found.lost.items()
        if kind is not SeasonDetails
    ):
        said += [tr("Lost:"), lost]
    if found.season_is_lost and not found.all_details_are_lost:
        said.append(
            tr(
                "These season details were lost and filled in again: {details}. Look at them "
                "under File, Season details."
            ).format(details=", ".join(detail_words(name) for name in found.lost_details))
        )
    elif found.season_is_lost:
        said.append(
            tr(
                "The season details were lost. Look at its name, time zone, units and currency "
                "under File, Season details."
            )
        )
    if found.torn:
        said.append(
            tr(
                "Parts of the file were read piece by piece: what you had deleted may be back, "
                "and more may be missing. Compare it with your notes."
            )
        )
    return "\n\n".join(said)


def _when(at: datetime) -> str:
    return full_moment(at.astimezone())
