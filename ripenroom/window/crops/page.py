"""The Crops page: every crop that the season knows, and all that is known of one."""

from collections import Counter
from pathlib import Path

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QResizeEvent
from PySide6.QtWidgets import QFileDialog, QPushButton, QSplitter, QVBoxLayout, QWidget

from ripenroom.private_file import private_file, with_ending
from ripenroom.records.crop.crop_names import called
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import ProfileRefusal
from ripenroom.records.crop.toml_profile import profile_text
from ripenroom.records.refusal import refused_by_system
from ripenroom.season import actions
from ripenroom.season.season import Season
from ripenroom.season.state import Changed
from ripenroom.texts import tr
from ripenroom.window.crops.copy_dialog import CopyCropDialog
from ripenroom.window.crops.crop_list import CropEntry, CropList
from ripenroom.window.crops.view import CropView
from ripenroom.window.dialogs import ask, proposed
from ripenroom.window.page import Page
from ripenroom.window.plain import set_hint, within
from ripenroom.window.session import Session
from ripenroom.wording.crops import doubt_words, judged_words, owner_words
from ripenroom.wording.names import crop_name

SUFFIX = ".toml"


def file_filter() -> str:
    """The filter of file dialogs."""
    return tr("Crop profiles (*{suffix})").format(suffix=SUFFIX)


def import_crop(season: Season, path: Path) -> CropProfile:
    """Take a profile file into the season; raises ``Refusal`` with file, key and reason."""
    text = profile_text(path)
    try:
        return season.do(actions.crops.save, text)
    except ProfileRefusal as refusal:
        raise ProfileRefusal(path, refusal.key, refusal.reason) from None


def export_crop(season: Season, key: str, path: Path) -> Path:
    """Write a crop's profile to a file, whole or not at all; where it is. Raises ``Refusal``."""
    path = with_ending(path, SUFFIX)
    try:
        with private_file(path) as unfinished:
            unfinished.write_text(season.crop_text(key), "utf-8")
    except OSError as error:
        raise refused_by_system(str(path), error) from error
    return path


class CropsPage(Page):
    """A list on the left, one crop on the right; profile files can be dropped anywhere."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._chosen_once = False
        self.setAcceptDrops(True)
        self.list = CropList(self)
        # A dropped file is a profile, not its name to search for.
        self.list.finder.setAcceptDrops(False)
        self.import_button = QPushButton(tr("I&mport…"), self)
        set_hint(
            self.import_button, tr("Import a crop from a file; you can also drop the file here")
        )
        self.import_button.clicked.connect(self._choose_file)
        self.view = CropView(session, self)
        self._left = left = QWidget(self)
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.list, 1)
        column.addWidget(self.import_button, 0, Qt.AlignmentFlag.AlignLeft)
        splitter = within(QSplitter(Qt.Orientation.Horizontal, self))
        splitter.setChildrenCollapsible(False)
        splitter.setHandleWidth(1)
        splitter.addWidget(left)
        splitter.addWidget(self.view)
        splitter.setStretchFactor(0, 1)
        splitter.setStretchFactor(1, 3)
        splitter.setSizes([100, 300])
        self._size_list()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 6, 20, 12)
        layout.addWidget(splitter)
        self.list.chosen.connect(self.view.show_crop)
        self.view.copyAsked.connect(self._copy)
        self.view.exportAsked.connect(self._choose_target)
        self.view.deleteAsked.connect(self._delete)

    def changeEvent(self, event: QEvent) -> None:
        """A wider list for larger letters."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._size_list()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A wider list in a wider window."""
        super().resizeEvent(event)
        self._size_list()

    def _size_list(self) -> None:
        """No name is cut short where that leaves two thirds of the page to the crop."""
        letter = self.fontMetrics().horizontalAdvance("n")
        whole = max(self.list.natural_width(), letter * 16)
        self._left.setMinimumWidth(min(whole, max(self.width() // 3, letter * 16)))
        self._left.setMaximumWidth(max(whole, letter * 28))

    @property
    def title(self) -> str:
        """The page's name."""
        return tr("Crops")

    def touched_by(self, changed: Changed) -> bool:
        """Crops, and cultivars that a crop is compared with; fruit and the clock change nothing."""
        return changed.figures

    def refresh(self) -> None:
        """Show the crops as they are now."""
        self.list.show_entries(self._entries())
        self._size_list()
        if not self._chosen_once:
            self._chosen_once = True
            self.list.choose(self._most_picked())
        self.import_button.setEnabled(self.session.season.read_only_because is None)
        current = self.list.current()
        if current is not None:
            self.view.show_crop(current)

    def _most_picked(self) -> str | None:
        """The crop that this season has most batches of."""
        picked = Counter(batch.crop for batch in self.session.season.book.batches.values())
        return picked.most_common(1)[0][0] if picked else None

    def show_record(self, record_id: str) -> None:
        """Choose a crop by its key."""
        self.list.choose(record_id)

    def _entries(self) -> list[CropEntry]:
        season = self.session.season
        entries = []
        for key, crop in season.crops.items():
            facts = [f"{judged_words(crop)} · {owner_words(key in season.own_crop_keys)}"]
            doubt = doubt_words(crop)
            entries.append(CropEntry(key, called(crop), (*facts, *([doubt] if doubt else []))))
        unread = {own.key for own in season.book.own_crops.values()} - set(season.crops)
        entries += [CropEntry(key, key, (tr("cannot be read"),)) for key in unread]
        return sorted(entries, key=lambda entry: (entry.name.casefold(), entry.key))

    # What can be done

    def _copy(self, key: str) -> None:
        dialog = CopyCropDialog(self.session, key, self)
        if ask(dialog) and dialog.made is not None:
            self.list.choose(dialog.made)

    def _delete(self, key: str) -> None:
        season = self.session.season
        name = crop_name(season.crops, key)
        done = tr("Your own figures for {crop} are deleted. Ctrl+Z brings them back.")
        self.session.do(done.format(crop=name), actions.crops.delete, key)

    def _choose_file(self) -> None:
        name, _ = QFileDialog.getOpenFileName(self, tr("Import a crop"), "", file_filter())
        if name:
            self.import_file(Path(name))

    def import_file(self, path: Path) -> None:
        """Take a profile from a file and show it; what is wrong with it is said at the foot."""
        season, made = self.session.season, []

        def command() -> None:
            made.append(import_crop(season, path))

        if self.session.run("", command):
            self.list.choose(made[0].key)
            self.session.say(tr("Imported {crop}. Ctrl+Z takes it back.").format(crop=made[0].name))

    def _choose_target(self, key: str) -> None:
        name, _ = QFileDialog.getSaveFileName(
            self,
            tr("Save the crop as"),
            proposed(self.session.season.path.parent, key, SUFFIX),
            file_filter(),
        )
        if name:
            self.export_file(key, Path(name))

    def export_file(self, key: str, path: Path) -> None:
        """Write a crop's profile to a file."""
        written: list[Path] = []

        def command() -> None:
            written.append(export_crop(self.session.season, key, path))

        if self.session.run("", command):
            self.session.say(tr("Saved in {file}").format(file=written[0]))

    # Files that are dropped

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Take profile files, while the season can be changed."""
        if self.import_button.isEnabled() and _profiles(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Import what is dropped."""
        event.acceptProposedAction()
        for path in _profiles(event):
            self.import_file(path)


def _profiles(event: QDropEvent) -> list[Path]:
    urls = event.mimeData().urls()
    paths = [Path(url.toLocalFile()) for url in urls if url.isLocalFile()]
    return [path for path in paths if path.suffix.casefold() == SUFFIX]
