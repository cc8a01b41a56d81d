"""The Places page: every place with its temperature, and the queue beside them."""

from pathlib import Path

from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QHideEvent
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.place import Place
from ripenroom.season.state import Changed
from ripenroom.season.whereabouts import PlaceContents, held_at
from ripenroom.texts import tr
from ripenroom.window.dialogs import ask
from ripenroom.window.forms.place import PlaceDialog
from ripenroom.window.page import Page, SeasonView
from ripenroom.window.places.logs.import_dialog import ImportLogDialog
from ripenroom.window.places.logs.list_dialog import LogListDialog
from ripenroom.window.places.place_panel import PlacePanel
from ripenroom.window.plain import PlainLabel, set_hint, within
from ripenroom.window.session import Session
from ripenroom.window.widgets.layouts import tab_as_laid_out


class PlacesPage(Page):
    """Sliders on the left; ``strip``, on the right, shows what becomes of the fruit while one is
    dragged.

    A thermometer's file can be dropped on a place, or anywhere on the page.
    """

    def __init__(self, session: Session, strip: SeasonView) -> None:
        super().__init__(session)
        self.lines: dict[str, PlacePanel] = {}
        self._shown_as: object = None
        self.add_button = QPushButton(tr("&Add a place…"), self)
        self.add_button.clicked.connect(lambda: self._edit(None))
        self.log_button = QPushButton(tr("Temperature &log…"), self)
        set_hint(
            self.log_button,
            tr("Import what a thermometer recorded; you can also drop the file here"),
        )
        self.log_button.clicked.connect(lambda: self._choose_log(None))
        self.setAcceptDrops(True)
        self.empty = PlainLabel(
            tr(
                "No places yet. Add where fruit waits: a cold room, a shelf in the cellar, the "
                "kitchen counter."
            ),
            self,
        )
        self.empty.setWordWrap(True)
        inner = QWidget(self)
        self._list = QVBoxLayout(inner)
        self._list.setContentsMargins(0, 0, 0, 0)
        self._list.setSpacing(0)
        self._list.addStretch(1)
        self.scroller = QScrollArea(self)
        self.scroller.setWidgetResizable(True)
        self.scroller.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.scroller.setWidget(inner)
        self.strip = strip
        left = QWidget(self)
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.empty)
        column.addWidget(self.scroller, 1)
        buttons = QHBoxLayout()
        buttons.addWidget(self.add_button)
        buttons.addWidget(self.log_button)
        buttons.addStretch(1)
        column.addLayout(buttons)
        column.addStretch()  # while there is no place, what to do stands on top
        splitter = within(QSplitter(Qt.Orientation.Horizontal, self))
        splitter.setChildrenCollapsible(False)
        splitter.setHandleWidth(1)
        splitter.addWidget(left)
        splitter.addWidget(self.strip)
        splitter.setStretchFactor(0, 2)
        splitter.setStretchFactor(1, 3)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 6, 20, 12)
        layout.addWidget(splitter)
        session.previewed.connect(self.strip.setProjection)

    @property
    def title(self) -> str:
        """The page's name."""
        return tr("Places")

    def touched_by(self, changed: Changed) -> bool:
        """Fruit that hangs is in no place; of the weather only places that follow it tell."""
        return changed.beyond_trees

    def refresh(self) -> None:
        """Show the places as they are now."""
        book = self.session.season.book
        places = sorted(book.places.values(), key=lambda place: place.name.casefold())
        self._make_lines(places)
        held = held_at(book, self.session.projection(), self.session.season.now())
        for place in places:
            self.lines[place.id].show_place(place, *held.get(place.id, PlaceContents(0, 0.0)))
        self.empty.setVisible(not places)
        self.scroller.setVisible(bool(places))
        self.strip.setVisible(bool(places))
        writable = self.session.season.read_only_because is None
        self.add_button.setEnabled(writable)
        self.log_button.setVisible(bool(places))
        self.log_button.setEnabled(writable)
        self.strip.refresh()
        if (laid_out := self.layout()) is not None:
            tab_as_laid_out(laid_out)

    def begins_at(self) -> QWidget:
        """The first place's slider, or what it has instead."""
        first = next(iter(self.lines.values()), None)
        writable = self.session.season.read_only_because is None
        return first.begins_at() if first is not None and writable else self.add_button

    def show_record(self, record_id: str) -> None:
        """Bring a place's line into view, the keyboard on it."""
        line = self.lines.get(record_id)
        if line is not None:
            self.scroller.ensureWidgetVisible(line)
            line.begins_at().setFocus(Qt.FocusReason.OtherFocusReason)

    def hideEvent(self, event: QHideEvent) -> None:
        """Another page in front shows the season as it is."""
        for line in self.lines.values():
            line.control.drop()
        super().hideEvent(event)

    def _make_lines(self, places: list[Place]) -> None:
        # Lines are made again only when another place or unit is shown: a slider must not be
        # taken from the hand that holds it.
        shown_as = ([(place.id, place.name) for place in places],
                    self.session.words.temperature_unit)  # fmt: skip
        if shown_as == self._shown_as:
            return
        self._shown_as = shown_as
        for line in self.lines.values():
            self._list.removeWidget(line)
            line.hide()
            line.deleteLater()
        self.lines = {}
        for index, place in enumerate(places):
            line = PlacePanel(self.session, place, self.strip.in_sight, self)
            line.editAsked.connect(self._edit)
            line.logsAsked.connect(self._show_logs)
            self._list.insertWidget(index, line)
            self.lines[place.id] = line

    def _edit(self, place_id: str | None) -> None:
        ask(PlaceDialog(self.session, place_id, self))

    # Temperature logs

    def _show_logs(self, place_id: str) -> None:
        """The logs of a place; where there are none yet, a file to take in is asked for."""
        if self.session.season.ask.logs_of_place(place_id):
            dialog = LogListDialog(self.session, place_id, self)
            ask(dialog)
            if not dialog.add_asked:
                return
        self._choose_log(place_id)

    def _choose_log(self, place_id: str | None) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self,
            tr("Temperature log"),
            "",
            tr("Tables of a thermometer ({patterns});;All files (*)").format(
                patterns="*.csv *.txt *.tsv *.xlsx *.log *.dat"
            ),
        )
        if name:
            self.import_log(Path(name), place_id)

    def import_log(self, path: Path, place_id: str | None = None) -> None:
        """Show what a thermometer's file holds, to be taken in (for a place, if it is known)."""
        ask(ImportLogDialog(self.session, path, place_id, self))

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Take files, while the season can be changed and there is a place for them."""
        if self.log_button.isEnabled() and self.lines and _files(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Look at what is dropped, one file after the other."""
        event.acceptProposedAction()
        place_id = self._place_at(event.position().toPoint())
        for path in _files(event):
            # Whoever dragged the file waits until the drop has ended; a dialog must not hold it.
            QTimer.singleShot(0, self, lambda path=path: self.import_log(path, place_id))

    def _place_at(self, spot: QPoint) -> str | None:
        for place_id, line in self.lines.items():
            if line.isVisible() and line.rect().contains(line.mapFrom(self, spot)):
                return place_id
        return None


def _files(event: QDropEvent) -> list[Path]:
    urls = event.mimeData().urls()
    return [Path(url.toLocalFile()) for url in urls if url.isLocalFile()]
