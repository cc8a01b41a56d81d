"""What grows on a farm: one search field, and below it a chip for each crop or cultivar."""

from collections.abc import Collection, Mapping, Sequence

from PySide6.QtCore import QSettings, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from ripenroom.records.book import Book
from ripenroom.records.crop.crop_names import called, names_of
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.well_known import cultivars_of, grown_around, kinds_of
from ripenroom.texts import tr
from ripenroom.window.plain import set_hint
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.layouts import FlowLayout
from ripenroom.window.widgets.search_choices import SearchChoices, matches, named_in
from ripenroom.window.widgets.typed_day import folded

_LETTERS_OF_A_CULTIVAR = 3
_MOST_KNOWN = 4
FIRST = "pawpaw"
"""The crop that is offered before all others, and meant where nothing else is."""


def own_first(
    crops: Mapping[str, CropProfile], grown: Collection[str], around: Sequence[str] = ()
) -> list[str]:
    """Keys of crops: those that are ``grown`` before the others, in each the first of all, then
    those of ``around`` in their order, then by their names."""
    place = {key: n for n, key in enumerate(around)}
    return sorted(
        crops,
        key=lambda key: (
            key not in grown,
            key != FIRST,
            place.get(key, len(place)),
            called(crops[key]),
        ),
    )


def grown_in(book: Book, settings: QSettings) -> set[str]:
    """Keys of the crops that a season grows: those it was begun with, as far as this computer
    knows, and those of its cultivars and of its picks."""
    begun_with = str(settings.value(_begun_key(book), "")).split()
    used = {c.crop for c in book.cultivars.values()} | {b.crop for b in book.batches.values()}
    return used.union(begun_with)


def remember_grown(settings: QSettings, book: Book, crops: Sequence[str]) -> None:
    """Keep which crops a season was begun with: without a cultivar or a pick, no record names them.

    They stand in the window's settings and not in the season, as the draft of the first pick does:
    they say in which order crops are offered until the first pick or cultivar of each says it. On
    another computer only that order is lost. For that alone no file of seasons should be of a
    version that programs of before refuse to open.
    """
    settings.setValue(_begun_key(book), " ".join(crops))


def _begun_key(book: Book) -> str:
    return f"crops/{book.season.id}"


class GrowsInput(QWidget):
    """Type ``pawpaw`` or ``pawpaw Sunflower`` and press Enter; a click on a chip takes it away.

    A name that is no crop is a cultivar of the crop named beside it, of the one that is known for
    it, else of one that has a chip: the last one is offered first. Crops that are grown in the
    ``territory`` (``"US"``) go before the others.
    """

    changed = Signal()

    def __init__(
        self,
        crops: Mapping[str, CropProfile],
        territory: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._crops = crops
        self._chips: dict[tuple[str, str], QPushButton] = {}
        self.search = SearchChoices(24, self._new_lines, self)
        others: dict[object, Sequence[str]] = {
            key: (*names_of(crop)[1:], *kinds_of(key)) for key, crop in crops.items()
        }
        around = [key for key in grown_around(territory) if key in crops]
        self._order = own_first(crops, (), around)
        self.search.set_choices(
            [(key, called(crops[key])) for key in self._order], 1 + len(around), others
        )
        self._known = [(key, name) for key in self._order for name in cultivars_of(key)]
        self.field = Field(
            tr("What &grows: type a crop or a cultivar, then Enter"), self.search, parent=self
        )
        self._flow = FlowLayout(spacing=6)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.field)
        layout.addLayout(self._flow)
        self.search.activated.connect(self._on_crop)
        self.search.newAsked.connect(self._on_cultivar)
        self._empty_search()

    @property
    def crops(self) -> tuple[str, ...]:
        """Keys of the crops that have chips, in the order in which they came."""
        return tuple(dict.fromkeys(crop for crop, _ in self._chips))

    def cultivars(self) -> dict[str, Sequence[str]]:
        """Names of cultivars by crop."""
        named = [(crop, name) for crop, name in self._chips if name]
        return {crop: [name for of, name in named if of == crop] for crop, _ in named}

    def add(self, crop: str, cultivar: str = "") -> None:
        """Another chip, if it is not there; without a cultivar it is the crop as such."""
        if (crop, cultivar) not in self._chips:
            name = called(self._crops[crop])
            text = f"{name} · {cultivar}" if cultivar else name
            chip = QPushButton(f"{text}  ×".replace("&", "&&"), self)
            chip.setAutoDefault(False)
            chip.setAccessibleName(tr("Remove {name}").format(name=text))
            set_hint(chip, chip.accessibleName())
            chip.clicked.connect(lambda: self._take_away(crop, cultivar))
            self._chips[crop, cultivar] = chip
            self._flow.addWidget(chip)
            chip.show()
        self._empty_search()
        self.changed.emit()

    def _take_away(self, crop: str, cultivar: str) -> None:
        chip = self._chips.pop((crop, cultivar))
        self._flow.removeWidget(chip)
        chip.hide()
        chip.deleteLater()
        self.search.setFocus()
        self.changed.emit()

    def _on_crop(self) -> None:
        crop = self.search.value()
        if isinstance(crop, str):
            self.add(crop)

    def _new_lines(self, typed: str) -> list[tuple[str, object]]:
        """Lines that say of which crop a new cultivar will be, before it is: first those that are
        known."""
        known = [
            (f"{called(self._crops[crop])} · {name}", (crop, name))
            for crop, name in self._known_by(typed)
        ]
        lines: list[tuple[str, object]] = [*known]
        if any(folded(name) == folded(typed) for _, (_, name) in known):
            return lines
        names = {key: (*names_of(crop), *kinds_of(key)) for key, crop in self._crops.items()}
        named, name = named_in(typed, names)
        crops = (named,) if named else self.crops[::-1] or (FIRST,)
        text = tr("Add “{cultivar}”, a cultivar of {crop}")
        there = {(crop, folded(of_it)) for _, (crop, of_it) in known}
        lines += [
            (text.format(cultivar=name, crop=called(self._crops[crop])), (crop, name))
            for crop in crops
            if (crop, folded(name)) not in there
        ]
        return lines

    def _known_by(self, typed: str) -> list[tuple[str, str]]:
        """Crop and name of the well-known cultivars that a text begins, beside words of a crop."""
        words = folded(typed).split()
        if len(max(words, key=len, default="")) < _LETTERS_OF_A_CULTIVAR:
            return []
        own = [names_of(self._crops[crop]) for crop, _ in self._known]
        told = [
            " ".join((*names, *kinds_of(crop), name))
            for names, (crop, name) in zip(own, self._known, strict=True)
        ]
        found = [self._known[place] for place in matches(typed, told)]
        by_name = [pair for pair in found if any(matches(word, [pair[1]]) for word in words)]
        by_name.sort(key=lambda pair: folded(pair[1]) != folded(typed))
        return by_name[:_MOST_KNOWN]

    def _on_cultivar(self, asked: tuple[str, str]) -> None:
        self.add(*asked)

    def _empty_search(self) -> None:
        self.search.setCurrentIndex(-1)
        self.search.clearEditText()
