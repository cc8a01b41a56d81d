"""Opening, beginning and copying season files, with every problem turned into one plain line.

A large season is read, checked and worked out beside the window, with how far that is and a way
to cancel.

Meanwhile nothing else of the window can be reached, and the season that was open stays so: the new
one is there whole, or not at all.
"""

import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QProgressBar, QVBoxLayout, QWidget

from ripenroom.paths import data_folder
from ripenroom.private_file import with_ending
from ripenroom.records.season import usual_territory, usual_units
from ripenroom.season.copies import copy_file
from ripenroom.season.season import EXTENSION, FileRefusal, Season
from ripenroom.texts import tr
from ripenroom.window.background.task import BackgroundTask
from ripenroom.window.dialogs import ask
from ripenroom.window.widgets.layouts import WrappedLabel

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from ripenroom.records.season import SeasonDetails


BESIDE_FROM_BYTES = 300_000
"""A season file of so many bytes is opened beside the window: one of some 300 batches, of which
the dates alone take a tenth of a second. Smaller ones are there before a dialog would be."""

Opening = Callable[[Path, Callable[[float], None]], Season]
"""Opens a season, telling the share that is done; what that raises ends it."""


class OpeningCancelled(Exception):  # noqa: N818 - the user wanted it
    """The opening of a season was cancelled; nothing is open of it."""


def is_large(path: Path) -> bool:
    """Whether a file is opened beside the window."""
    try:
        return path.stat().st_size >= BESIDE_FROM_BYTES
    except OSError:  # it is refused in words when it is opened
        return False


def open_beside(path: Path, opening: Opening, parent: QWidget) -> Season:
    """Open a season beside the window; raises :class:`OpeningCancelled`, or what opening raised."""
    dialog = OpeningDialog(path, opening, parent)
    ask(dialog)
    if dialog.task.error is not None:
        raise dialog.task.error
    if dialog.task.result is None:
        raise OpeningCancelled
    return dialog.task.result


class OpeningDialog(QDialog):
    """How far the opening of a season is. Escape or Cancel ends it."""

    def __init__(self, path: Path, opening: Opening, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Opening {file}").format(file=path.name))
        self.progress = QProgressBar(self)
        self.progress.setRange(0, 100)
        self.progress.setAccessibleName(tr("Opening {file}").format(file=path.name))
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel, self)
        self.buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(WrappedLabel(tr("Reading every record and working out every date."), self))
        layout.addWidget(self.progress)
        layout.addWidget(self.buttons)

        def work(cancel: threading.Event, tell: Callable[[float], None]) -> Season:
            def heed(share: float) -> None:
                if cancel.is_set():
                    raise OpeningCancelled
                tell(share)

            season = opening(path, heed)
            if cancel.is_set():  # after the last look
                season.close()
                raise OpeningCancelled
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


Result = TypeVar("Result")


class SeasonFileProblem(Exception):  # noqa: N818 - the file has a problem, the program has not
    """A season file could not be opened, begun or copied; the message is for the user.

    ``file_at_fault`` is True where the file itself is damaged, newer or no season at all, and
    ``damaged`` where it was a season once. ``missing`` where there is no such file.
    """

    def __init__(
        self,
        message: str,
        *,
        file_at_fault: bool = False,
        damaged: bool = False,
        missing: bool = False,
    ) -> None:
        super().__init__(message)
        self.file_at_fault = file_at_fault
        self.damaged = damaged
        self.missing = missing


def file_filter() -> str:
    """The filter of file dialogs."""
    return tr("Season files (*{suffix})").format(suffix=EXTENSION)


def open_season(path: Path, beside: "QWidget | None" = None) -> Season:
    """Open the season file at ``path``; raises :class:`SeasonFileProblem`.

    A large one is opened ``beside`` a window, if given, and what the window will ask first is
    worked out there too; raises :class:`OpeningCancelled` if cancelled.
    """
    if beside is None or not is_large(path):
        return _plainly(lambda: Season.open(path))

    def opening(path: Path, heed: Callable[[float], None]) -> Season:
        season = Season.open(path, heed=heed)
        try:
            season.look_ahead(lambda: heed(1.0))
        except BaseException:
            season.close()
            raise
        return season

    return _plainly(lambda: open_beside(path, opening, beside))


def begin_season(path: Path, season: "SeasonDetails") -> Season:
    """Begin a season file at ``path``; raises :class:`SeasonFileProblem`."""
    return _plainly(lambda: Season.create(path, season))


def practice_season() -> Season:
    """Open the user's practice season, writing it first if there is none."""
    folder = data_folder()
    path = folder / f"practice season{EXTENSION}"

    def opened() -> Season:
        # Writing a practice season takes longer than all the rest of this module.
        from ripenroom.season.practice import write_demo

        if not path.exists():
            folder.mkdir(parents=True, exist_ok=True)
            name = QLocale().name()
            write_demo(path, usual_units(name), usual_territory(name))
        return Season.open(path)

    return _plainly(opened)


def with_suffix(path: Path) -> Path:
    """``path`` with the ending of season files."""
    return with_ending(path, EXTENSION)


def copy_season(source: Path, target: Path) -> None:
    """Copy a season file; the target is whole or unchanged. Raises :class:`SeasonFileProblem`."""
    _plainly(lambda: copy_file(source, target))


def write_anew(season: Season, target: Path) -> None:
    """Write what an open season holds to a new file, as its own is gone.

    Raises :class:`SeasonFileProblem`, also rather than write over another file.
    """

    _plainly(lambda: season.copies.write_anew(target))


def _plainly(opened: Callable[[], Result]) -> Result:
    try:
        return opened()
    except FileRefusal as refusal:
        raise SeasonFileProblem(
            str(refusal),
            file_at_fault=refusal.file_at_fault,
            damaged=refusal.kind == "damaged",
            missing=refusal.kind == "missing",
        ) from refusal
    except OSError as error:
        raise SeasonFileProblem(_of_system(error, None)) from error


def _of_system(error: OSError, path: Path | None) -> str:
    where = error.filename or path or ""
    return tr("{file}: {reason}.").format(file=where, reason=error.strerror or error)
