"""Beginning a season: its details, what grows, and where fruit waits."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from PySide6.QtCore import QLocale, QStandardPaths, Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QFileDialog,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from ripenroom.records.book import new_id
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.orchard import Cultivar
from ripenroom.records.place import USUAL_PLACES, Place, PlaceKind
from ripenroom.records.refusal import Refusal
from ripenroom.records.season import usual_territory
from ripenroom.season import actions
from ripenroom.season.season import EXTENSION, Season
from ripenroom.texts import tr
from ripenroom.units import TemperatureUnit, celsius, temperature_in
from ripenroom.window.dialogs import EnterDialog, proposed, room_for
from ripenroom.window.forms.grows import GrowsInput
from ripenroom.window.forms.season_details import SeasonDetailsFields
from ripenroom.window.plain import PlainLabel
from ripenroom.window.season_files import (
    SeasonFileProblem,
    begin_season,
    file_filter,
    with_suffix,
)
from ripenroom.window.widgets.field import RefusalNote
from ripenroom.window.widgets.form_dialog import RefusalBoard
from ripenroom.window.widgets.typed_texts import TypedTexts, close_or_ask
from ripenroom.wording.names import place_kind_name


@dataclass(frozen=True, slots=True)
class Beginning:
    """Cultivar names by crop, and kinds of places with the name each gets."""

    cultivars: Mapping[str, Sequence[str]]
    places: Mapping[PlaceKind, str]


def furnish(season: Season, beginning: Beginning) -> None:
    """Put cultivars and places into a season that was just begun, as one action.

    Raises ``Refusal``; then none of them is in it.
    """
    cultivars = [
        cultivar
        for crop, names in beginning.cultivars.items()
        for cultivar in _cultivars(crop, names)
    ]
    unit: TemperatureUnit = "F" if season.book.season.units == "us" else "C"
    places = [_place(kind, name, unit) for kind, name in beginning.places.items()]
    if cultivars or places:
        season.do(actions.season.furnish, cultivars, places)


def _place(kind: PlaceKind, name: str, unit: TemperatureUnit) -> tuple[Place, float]:
    """A place of a kind with what is usual for it, and its set point (C): whole degrees of the
    season's unit, as the dialog said and as a thermostat is turned."""
    usual = USUAL_PLACES[kind]
    place = Place(
        id=new_id(),
        name=name,
        kind=kind,
        half_cooling_h=usual.half_cooling_h,
        daily_swing_k=usual.daily_swing_k,
    )
    return place, celsius(round(temperature_in(usual.set_point_c, unit)), unit)


def _cultivars(crop: str, names: Iterable[str]) -> list[Cultivar]:
    return [Cultivar(id=new_id(), crop=crop, name=name) for name in names]


class NewSeasonDialog(EnterDialog):
    """After it was accepted, :attr:`season` is open and furnished."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Start a new season"))
        self.season: Season | None = None
        self.details = SeasonDetailsFields(QLocale())
        self.details.fill_from_system(datetime.now(UTC).astimezone().date())
        self.grows = GrowsInput(shipped_profiles(), usual_territory(QLocale().name()), self)
        self.places: dict[PlaceKind, QCheckBox] = {}
        self._typed_texts = TypedTexts(self)
        self.note = RefusalNote(self)
        self._board = RefusalBoard(self.details.fields, self.note, self.begin)
        inner = QWidget(self)
        left, right = QVBoxLayout(), QVBoxLayout()
        left.setSpacing(8)
        right.setSpacing(8)
        left.addWidget(self.grows)
        left.addSpacing(10)
        left.addWidget(self._heading(tr("Where fruit waits; all can be changed later")))
        for kind in USUAL_PLACES:
            left.addWidget(self._place_box(kind))
        self._name_places()
        self.details.units.currentIndexChanged.connect(self._name_places)
        left.addStretch(1)
        right.addWidget(
            self._heading(tr("From your computer’s settings; change what is not right"))
        )
        for field in self.details.fields.values():
            right.addWidget(field)
        right.addStretch(1)
        columns = QHBoxLayout(inner)
        columns.setSpacing(28)
        columns.addLayout(left, 3)
        columns.addLayout(right, 2)
        scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(inner)
        self.begin_button = QPushButton(tr("Choose a file and start…"), self)
        self.begin_button.setDefault(True)
        self.begin_button.clicked.connect(self.begin)
        cancel = self._cancel = QPushButton(tr("Cancel"), self)
        cancel.setAutoDefault(False)
        cancel.clicked.connect(self.reject)
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(cancel)
        foot.addWidget(self.begin_button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 14, 18, 14)
        layout.setSpacing(12)
        layout.addWidget(scroll, 1)
        layout.addWidget(self.note)
        layout.addLayout(foot)
        room = room_for(self)
        letter = self.fontMetrics().horizontalAdvance("n")
        self.resize(min(letter * 100, room.width()), min(letter * 82, room.height()))
        self.grows.search.setFocus()

    def _heading(self, text: str) -> PlainLabel:
        label = PlainLabel(text, self)
        label.setObjectName("sectionTitle")
        label.setWordWrap(True)
        return label

    def _place_box(self, kind: PlaceKind) -> QCheckBox:
        box = QCheckBox(self)
        box.setChecked(kind in ("cold room", "counter"))
        self.places[kind] = box
        return box

    def _name_places(self) -> None:
        """Say each place's usual set point in the units that are chosen."""
        unit: TemperatureUnit = "F" if self.details.units.value() == "us" else "C"
        for kind, box in self.places.items():
            shown = temperature_in(USUAL_PLACES[kind].set_point_c, unit)
            box.setText(
                tr("{place}, at {temperature} °{unit}").format(
                    place=place_kind_name(kind).capitalize(),
                    temperature=QLocale().toString(shown, "f", 0),
                    unit=unit,
                )
            )

    def reject(self) -> None:
        """Close; where something typed or chosen would be lost, only when asked once more."""
        loses = self._typed_texts.any() or bool(self.grows.crops)
        if close_or_ask(self.note, loses, self._cancel.text()):
            super().reject()

    def begin(self) -> None:
        """Ask where to keep the season file, and begin it."""
        self._board.clear()
        try:
            season = self.details.season(new_id())
        except Refusal as refusal:
            self._board.show(refusal)
            return
        folder = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.DocumentsLocation)
        name, _ = QFileDialog.getSaveFileName(
            self,
            tr("Where to keep the season"),
            proposed(Path(folder), season.name, EXTENSION),
            file_filter(),
        )
        if not name:
            return
        self.begin_at(with_suffix(Path(name)))

    def begin_at(self, path: Path) -> None:
        """Begin the season in the file at ``path``."""
        try:
            season = begin_season(path, self.details.season(new_id()))
        except Refusal as refusal:
            self._board.show(refusal)
            return
        except SeasonFileProblem as problem:
            self.note.tell(str(problem))
            return
        try:
            furnish(season, self.beginning())
        except Refusal as refusal:
            # The season is begun and whole; only cultivars and places are missing from it.
            self._board.show(refusal)
        self.season = season
        self.accept()

    def beginning(self) -> Beginning:
        """What the season begins with, as filled in."""
        return Beginning(
            cultivars=self.grows.cultivars(),
            places={
                kind: place_kind_name(kind).capitalize()
                for kind, box in self.places.items()
                if box.isChecked()
            },
        )
