"""The Places page: every place with its set point, and the queue beside them."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import QLabel, QPushButton, QScrollArea, QSplitter, QVBoxLayout, QWidget

from ripenroom.records.place import Place
from ripenroom.window.dialogs import ask
from ripenroom.window.page import Page
from ripenroom.window.places.place_dialog import PlaceDialog
from ripenroom.window.places.place_line import PlaceLine
from ripenroom.window.queue.strip import QueueStrip
from ripenroom.window.session import Session
from ripenroom.window.whereabouts import Held, held_at


class PlacesPage(Page):
    """Sliders on the left; the queue on the right moves while one is dragged."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(session, parent)
        self.lines: dict[str, PlaceLine] = {}
        self._shown_as: object = None
        self.add_button = QPushButton(self.tr("&Add a place…"), self)
        self.add_button.clicked.connect(lambda: self._edit(None))
        self.empty = QLabel(
            self.tr(
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
        self.strip = QueueStrip(session, self)
        left = QWidget(self)
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.empty)
        column.addWidget(self.scroller, 1)
        column.addWidget(self.add_button, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch()  # while there is no place, what to do stands on top
        splitter = QSplitter(Qt.Orientation.Horizontal, self)
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
        return self.tr("Places")

    def refresh(self) -> None:
        """Show the places as they are now."""
        book = self.session.season.book
        places = sorted(book.places.values(), key=lambda place: place.name.casefold())
        self._make_lines(places)
        held = held_at(book, self.session.projection(), self.session.season.now())
        for place in places:
            self.lines[place.id].show_place(place, *held.get(place.id, Held(0, 0.0)))
        self.empty.setVisible(not places)
        self.scroller.setVisible(bool(places))
        self.strip.setVisible(bool(places))
        self.add_button.setEnabled(self.session.season.read_only_because is None)
        self.strip.refresh()

    def show_record(self, record_id: str) -> None:
        """Bring a place's line into view, its slider ready."""
        line = self.lines.get(record_id)
        if line is not None:
            self.scroller.ensureWidgetVisible(line)
            line.control.slider.setFocus(Qt.FocusReason.OtherFocusReason)

    def hideEvent(self, event: QHideEvent) -> None:
        """Another page in front shows the season as it is."""
        for line in self.lines.values():
            line.control.drop()
        super().hideEvent(event)

    def _make_lines(self, places: list[Place]) -> None:
        # Lines are made anew only when another place or unit is shown: a slider must not be
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
            line = PlaceLine(self.session, place, self)
            line.editAsked.connect(self._edit)
            self._list.insertWidget(index, line)
            self.lines[place.id] = line

    def _edit(self, place_id: str | None) -> None:
        ask(PlaceDialog(self.session, place_id, self))
