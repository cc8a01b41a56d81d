"""A large season is read, checked and worked out beside the window, with how far that is and a way
to cancel.

Meanwhile nothing else of the window can be reached, and the season that was open stays so: the new
one is there whole, or not at all.
"""

import threading
from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QProgressBar, QVBoxLayout, QWidget

from ripenroom.season.season import Season
from ripenroom.window.background.task import BackgroundTask
from ripenroom.window.dialogs import ask
from ripenroom.window.forms.wrapped_label import WrappedLabel

BESIDE_FROM_BYTES = 300_000
"""A season file of so many bytes is opened beside the window: one of some 300 batches, of which
the dates alone take a tenth of a second. Smaller ones are there before a dialog would be."""

Opening = Callable[[Path, Callable[[float], None]], Season]
"""Opens a season, telling the share that is done; what that raises ends it."""


class CalledOff(Exception):  # noqa: N818 - the user wanted it
    """The opening of a season was cancelled; nothing is open of it."""


def is_large(path: Path) -> bool:
    """Whether a file is opened beside the window."""
    try:
        return path.stat().st_size >= BESIDE_FROM_BYTES
    except OSError:  # it is refused in words when it is opened
        return False


def open_beside(path: Path, opening: Opening, parent: QWidget) -> Season:
    """Open a season beside the window; raises :class:`CalledOff`, or what opening raised."""
    dialog = OpeningDialog(path, opening, parent)
    ask(dialog)
    if dialog.task.error is not None:
        raise dialog.task.error
    if dialog.task.result is None:
        raise CalledOff
    return dialog.task.result


class OpeningDialog(QDialog):
    """How far the opening of a season is. Escape or Cancel ends it."""

    def __init__(self, path: Path, opening: Opening, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Opening {file}").format(file=path.name))
        self.progress = QProgressBar(self)
        self.progress.setRange(0, 100)
        self.progress.setAccessibleName(self.tr("Opening {file}").format(file=path.name))
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel, self)
        self.buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(
            WrappedLabel(self.tr("Every record is read and checked, every date worked out."), self)
        )
        layout.addWidget(self.progress)
        layout.addWidget(self.buttons)

        def work(cancel: threading.Event, tell: Callable[[float], None]) -> Season:
            def heed(share: float) -> None:
                if cancel.is_set():
                    raise CalledOff
                tell(share)

            season = opening(path, heed)
            if cancel.is_set():  # after the last look
                season.close()
                raise CalledOff
            return season

        self.task = BackgroundTask(work, self)
        self.task.progressed.connect(lambda share: self.progress.setValue(round(share * 100)))
        self.task.ended.connect(self._end)
        self.task.start()

    def reject(self) -> None:
        """Cancel; the dialog goes once the work has let go of the file."""
        self.buttons.setEnabled(False)
        self.task.call_off()

    def _end(self) -> None:
        super().reject()
