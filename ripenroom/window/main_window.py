"""The window: one open season at a time, or the ways to begin."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QEvent, QSettings, Qt
from PySide6.QtGui import QCloseEvent, QKeyEvent
from PySide6.QtWidgets import QDialog, QFileDialog, QMainWindow, QVBoxLayout, QWidget

from ripenroom.records.season import UnitSystem
from ripenroom.season import actions
from ripenroom.season.season import EXTENSION, Season
from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window import season_files
from ripenroom.window.copies import keeper
from ripenroom.window.copies.keeper import CopyKeeper, put_aside
from ripenroom.window.dialogs import ask, pressed_by_enter, proposed
from ripenroom.window.season_files import OpeningCancelled, SeasonFileProblem
from ripenroom.window.session import Session
from ripenroom.window.shell.file_actions import FileActions
from ripenroom.window.shell.language import choose_language
from ripenroom.window.shell.menus import Appearance, Menus
from ripenroom.window.shell.message_bar import Banner, MessageBar
from ripenroom.window.shell.navigation import Recent, Welcome, as_list
from ripenroom.window.shell.page_stack import PageStack, page_titles
from ripenroom.wording.crops import cautions_of

if TYPE_CHECKING:
    from ripenroom.season.copies import Backup


class MainWindow(QMainWindow):
    """Menus, banner, the desk with its pages (or a welcome), and the line at the foot.

    ``problem`` is why the last season that was to be opened was not.
    """

    def __init__(self, settings: QSettings, appearance: Appearance) -> None:
        super().__init__()
        self.settings = settings
        self.appearance = appearance
        self.recent = Recent(settings)
        self.session: Session | None = None
        self.desk: PageStack | None = None
        self.copies: CopyKeeper | None = None
        self.files = FileActions(self)
        self.files.openAsked.connect(self.open_path)
        self.problem: SeasonFileProblem | None = None
        self.banner = Banner(self)
        self.banner.againAsked.connect(self.open_again)
        self.banner.copyAsked.connect(self.save_copy)
        centre = QWidget(self)
        self.voice = MessageBar(centre)
        self.welcome = Welcome(self)
        self.welcome.newSeason.connect(self.new_season)
        self.welcome.openSeason.connect(self.choose_season)
        self.welcome.openPractice.connect(self.open_practice)
        self._layout = QVBoxLayout(centre)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setSpacing(0)
        self._layout.addWidget(self.banner)
        self._layout.addWidget(self.welcome, 1)
        self._layout.addWidget(self.voice.place)
        self.setCentralWidget(centre)
        self.menus = Menus(self.menuBar(), self)
        self._show_season()
        self.resize(1180, 780)
        geometry = settings.value("geometry")
        if isinstance(geometry, QByteArray):
            self.restoreGeometry(geometry)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter presses the button that has the keyboard, on every page; Escape takes away what
        is said at the foot."""
        if event.key() == Qt.Key.Key_Escape and not self.voice.rests:
            self.voice.fall_silent()
        elif not pressed_by_enter(event):
            super().keyPressEvent(event)

    # Opening and closing seasons

    def open_path(self, path: Path) -> bool:
        """Open a season file; says why and keeps what is open if that fails.

        For a damaged or lost one it offers ways on.
        """
        self.problem = None
        if self._take(lambda: season_files.open_season(path, self)):
            return True
        if self.isVisible():
            self.offer_ways_on(path)
        return False

    def offer_ways_on(self, path: Path) -> None:
        """Offer ways on from a file that could not be opened, where the file is why."""
        problem = self.problem
        # A window that was closed meanwhile asks nothing any more.
        if problem is None or not self.isVisible():
            return
        if problem.file_at_fault or problem.missing:
            self.show_ways_on(path, str(problem))

    def _copies_of(self, path: Path) -> "tuple[Backup, ...]":
        from ripenroom.season.copies import copies_in

        folder = keeper.folder_of(self.settings, path)
        return copies_in(folder) if folder else ()

    def show_ways_on(self, path: Path, why: str) -> None:
        """Offer an earlier copy of a file, or what can be read of it."""
        from ripenroom.window.copies.damaged_dialog import DamagedDialog

        missing = self.problem is not None and self.problem.missing
        damaged = self.problem is not None and self.problem.damaged
        dialog = DamagedDialog(
            path, why, self._copies_of(path), self, damaged=damaged, missing=missing
        )
        ask(dialog)
        # It said why; left at the foot, that would cover the page that one goes back to.
        self.voice.fall_silent()
        if dialog.opened is not None:
            self.open_path(dialog.opened)
        elif dialog.asked_for == "another":
            self.choose_season()
        elif dialog.asked_for == "new":
            self.new_season()

    def open_again(self) -> None:
        """Open the season that can only be read for changes, if nothing is in the way any more."""
        if self.session is None:
            return
        try:
            season = season_files.open_season(self.session.season.path, self)
        except OpeningCancelled:
            return
        except SeasonFileProblem as problem:
            self.voice.warn(str(problem))
            return
        if season.read_only_because is not None:
            self.voice.warn(season.read_only_because)
            season.close()
            return
        self.show_season(season)
        self.voice.say(tr("You can change the season now."))

    def open_practice(self) -> bool:
        """Open the practice season."""
        return self._take(season_files.practice_season)

    def choose_season(self) -> None:
        """Ask for a season file and open it."""
        name, _ = QFileDialog.getOpenFileName(
            self, tr("Open a season file"), "", season_files.file_filter()
        )
        if name:
            self.open_path(Path(name))

    def new_season(self) -> None:
        """Ask for the details of a new season, begin its file and open it."""
        from ripenroom.window.forms.grows import remember_grown
        from ripenroom.window.forms.new_season import NewSeasonDialog
        from ripenroom.window.forms.pick_fields import draft_key

        dialog = NewSeasonDialog(self)
        if ask(dialog) == QDialog.DialogCode.Accepted and dialog.season is not None:
            begun = dialog.season
            remember_grown(self.settings, begun.book, dialog.grows.crops)
            if dialog.grows.crops:
                # The first pick is of what grows, though it may have no cultivar yet.
                start = {"crop": f"{dialog.grows.crops[0]}\t"}
                key = draft_key(begun.book.season.id)
                self.settings.setValue(key, json.dumps(start))
            self._take(lambda: begun)

    def show_season(self, season: Season) -> None:
        """Take an open season to the desk, and close the one that lay there."""
        self._close_season()
        session = Session(season, self.settings, parent=self)
        self.session = session
        self.copies = CopyKeeper(session)
        self.files.work_on(session, self.copies)
        keeper.remember(self.settings, season.path, season.book.season.id)
        desk = PageStack(session, self)
        self.desk = desk
        desk.openBatch.connect(self.open_batch)
        desk.helpAsked.connect(self.show_help)
        desk.undoAsked.connect(self.undo)
        desk.redoAsked.connect(self.redo)
        session.changed.connect(self._on_changed)
        session.said.connect(self.voice.say)
        session.refused.connect(self.voice.refuse)
        session.refused.connect(lambda _refusal: self.banner.show_season(session))
        self.welcome.hide()
        self._layout.insertWidget(1, desk, 1)
        # A layout shows what it is given only when events are handled next.
        desk.show()
        self.voice.fall_silent()
        self._show_season()
        desk.go_to(str(self.settings.value("page", "today")))
        self._mention_copies_put_aside(season.path)

    def _mention_copies_put_aside(self, path: Path) -> None:
        """Say once of each copy that a sync program put aside how its changes come in."""
        told = {str(name) for name in as_list(self.settings.value("told_of_copies"))}
        new = [other for other in put_aside(path) if str(other) not in told]
        if not new:
            return
        self.settings.setValue("told_of_copies", [*sorted(told), *map(str, new)])
        self.voice.say(
            tr(
                "Next to this file is another copy, {name}. To bring in its changes: File, Bring "
                "in changes from another copy."
            ).format(name=new[0].name)
        )

    def _take(self, opened: Callable[[], Season]) -> bool:
        try:
            season = opened()
        except OpeningCancelled:
            return False
        except SeasonFileProblem as problem:
            self.problem = problem
            self.voice.warn(str(problem))
            return False
        self.recent.remember(season.path)
        held_here = self.session is not None and self.session.season.path == season.path
        self.show_season(season)
        if held_here and season.read_only_because is not None:
            self.open_again()  # it was this window itself that had it
        return True

    def _close_season(self) -> None:
        if self.session is None or self.desk is None:
            return
        self.desk.keep_drafts()
        self.settings.setValue("page", self.desk.current)
        self._layout.removeWidget(self.desk)
        self.desk.hide()
        self.desk.deleteLater()
        self.desk = None
        self.files.let_go()
        if self.copies is not None:
            self.copies.close()
            self.copies = None
        self.session.close()
        self.session.deleteLater()
        self.session = None

    def _on_changed(self, changed: Changed) -> None:
        # By the clock it is looked whether the file is still there.
        if changed.records or changed.clock:
            self._show_season()
        if changed.records:
            self.voice.fall_silent()  # whatever it says is of something before this

    def _show_season(self) -> None:
        self.banner.show_season(self.session)
        self.menus.show_season(self.session)
        self.welcome.setVisible(self.session is None)
        self.voice.rest_on(self._where_saved())
        name = self.session.season.book.season.name if self.session else ""
        self.setWindowTitle(f"{name} – ripenroom" if name else "ripenroom")

    def _where_saved(self) -> str:
        season = self.session.season if self.session else None
        if season is None or season.read_only_because or not season.file_is_here:
            return ""
        return tr("Saved in {file}").format(file=season.path)

    # What the menus do

    def undo(self) -> None:
        """Take the last change back."""
        self._travel(back=True)

    def redo(self) -> None:
        """Do again what was undone."""
        self._travel(back=False)

    def _travel(self, *, back: bool) -> None:
        if self.session is None:
            return
        session = self.session
        if session.is_previewing:
            # What is seen goes first: the change before it would be taken back unseen.
            session.end_preview()
            return
        done = tr("Undone: {what}") if back else tr("Redone: {what}")

        def go() -> None:
            label = session.season.undo() if back else session.season.redo()
            if label:
                session.say(done.format(what=label))

        session.run("", go)

    def set_units(self, units: UnitSystem) -> None:
        """Read the season in other units; what is kept stays as it is."""
        if self.session is None:
            return
        season = self.session.season
        if season.book.season.units != units:
            self.session.do("", actions.season.save, replace(season.book.season, units=units))
        # A refused choice must not stay ticked.
        self.menus.show_season(self.session)

    def set_language(self, code: str) -> None:
        """Keep a language for the next start: what is shown already was said in this one."""
        choose_language(self.settings, code)
        self.voice.say(tr("The language changes when ripenroom is started again."))

    def save_copy(self) -> None:
        """Ask for a name and copy the season file there."""
        if self.session is None:
            return
        source = self.session.season.path
        name, _ = QFileDialog.getSaveFileName(
            self,
            tr("Save a copy as"),
            proposed(source.parent, f"{source.stem} copy", EXTENSION),
            season_files.file_filter(),
        )
        if not name:
            return
        target = season_files.with_suffix(Path(name))
        season = self.session.season
        here = season.file_is_here
        try:
            if here:
                season_files.copy_season(source, target)
            else:
                season_files.write_anew(season, target)
        except SeasonFileProblem as problem:
            self.voice.warn(str(problem))
            return
        # Where its own file is gone, work goes on in the new one.
        if here or self.open_path(target):
            self.voice.say(tr("Saved in {file}").format(file=target))

    def edit_season(self) -> None:
        """Change the season's name, zone, first day, units and currency."""
        if self.session is not None:
            from ripenroom.window.forms.season_details import EditSeasonDialog

            ask(EditSeasonDialog(self.session, self))

    def edit_orchard(self) -> None:
        """Change rows and cultivars."""
        if self.session is not None:
            from ripenroom.window.forms.orchard import OrchardDialog

            ask(OrchardDialog(self.session, self))

    def open_batch(self, batch_id: str) -> None:
        """Open the panel of a batch."""
        if self.session is not None and batch_id in self.session.season.book.batches:
            from ripenroom.window.batch.panel import BatchDialog

            ask(BatchDialog(self.session, batch_id, self))

    def show_help(self, topic: str = "") -> None:
        """Show help on a topic: on the page that is in front, if none is named."""
        from ripenroom.window.help.dialog import FIRST_STEPS, HelpDialog

        here = self.desk.current if self.desk is not None else FIRST_STEPS
        ask(HelpDialog(topic or here, page_titles(), self._cautions(), self))

    def _cautions(self) -> list[tuple[str, str]]:
        """The season's crops that need care, each with what to take care of."""
        if self.session is None:
            return []
        return cautions_of(self.session.season.crops.values(), self.session.words)

    def changeEvent(self, event: QEvent) -> None:
        """Look whether the season's file is still there when the user comes back to the window."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.ActivationChange and self.isActiveWindow():
            self.banner.show_season(self.session)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Keep drafts, size and page; the season itself is saved already."""
        self.settings.setValue("geometry", self.saveGeometry())
        self._close_season()
        self.settings.sync()
        super().closeEvent(event)
