"""How the fields of a pick stand: two lines and a third of rarer ones, or more where narrow."""

from collections.abc import Collection, Mapping, Sequence
from typing import Final

from PySide6.QtWidgets import QGridLayout, QWidget

from ripenroom.records.book import Book
from ripenroom.records.crop.crop_names import called, names_of
from ripenroom.records.crop.profile import CropProfile
from ripenroom.window.forms.grows import own_first
from ripenroom.window.widgets.field import Field
from ripenroom.wording.names import by_name, crop_name

_COLUMNS: Final = 12
_Lines = tuple[tuple[tuple[str, int], ...], ...]
_WIDE: Final[_Lines] = (
    (("picked_at", 5), ("crop", 4), ("place_id", 3)),
    (("feel_counts", 8), ("count", 2), ("weight_kg", 2)),
    (("row_id", 2), ("readings", 5), ("pulp_c", 2), ("note", 3)),
)
_NARROW: Final[_Lines] = (
    (("picked_at", 12),),
    (("crop", 6), ("place_id", 6)),
    (("feel_counts", 12),),
    (("count", 6), ("weight_kg", 6)),
    (("row_id", 12),),
    (("readings", 12),),
    (("pulp_c", 5), ("note", 7)),
)
"""In the same order, so that Tab goes from left to right and down in both."""


class PickGrid(QGridLayout):
    """The fields, and beneath each what was refused of it unless that is ``told_elsewhere``;
    ``unfelt`` stands where the hand feel would."""

    def __init__(
        self,
        fields: Mapping[str, Field],
        unfelt: QWidget,
        parent: QWidget,
        *,
        told_elsewhere: bool = False,
    ) -> None:
        super().__init__(parent)
        self._fields, self._unfelt, self._notes = fields, unfelt, not told_elsewhere
        self._wide_px = 0
        self.setContentsMargins(0, 0, 0, 0)
        self.setHorizontalSpacing(10)
        self.setVerticalSpacing(4)
        for column in range(_COLUMNS):
            self.setColumnStretch(column, 1)
        self._set(_WIDE)

    @property
    def narrow(self) -> bool:
        """Whether the fields stand in more lines than usual."""
        return self._lines is _NARROW

    def forget_width(self) -> None:
        """Measure again: letters have another size."""
        self._wide_px = 0
        self.invalidate()

    def fit(self, room_px: int) -> None:
        """Take the usual lines where they fit into so many pixels."""
        if self.narrow and room_px >= self._wide_px:
            self._set(_WIDE)
        if not self.narrow:
            needed = self.minimumSize().width()
            if needed > room_px:
                self._wide_px = needed
                self._set(_NARROW)

    def _set(self, lines: _Lines) -> None:
        self._lines = lines
        # Removed, not taken: an item that lives on keeps its widget's news from the next one.
        for field in {*self._fields.values()}:
            self.removeWidget(field)
            if self._notes:
                self.removeWidget(field.note)
        self.removeWidget(self._unfelt)
        for line, cells in enumerate(lines):
            column = 0
            for name, span in cells:
                field = self._fields[name]
                self.addWidget(field, 2 * line, column, 1, span)
                if self._notes:
                    # Refusals of narrow fields get the room of their neighbours: they are read,
                    # and there is only one at a time.
                    begin = min(column, _COLUMNS // 2)
                    self.addWidget(field.note, 2 * line + 1, begin, 1, _COLUMNS - begin)
                if name == "feel_counts":
                    self.addWidget(self._unfelt, 2 * line, column, 1, span)
                column += span


Offer = list[tuple[object, str]]


def row_choices(book: Book, none: str) -> Offer:
    """Rows by name, after the choice of no row."""
    rows = sorted(book.rows.values(), key=lambda row: by_name(row.name))
    return [(None, none), *((row.id, row.name) for row in rows)]


def crop_choices(book: Book, crops: Mapping[str, CropProfile], grown: Collection[str]) -> Offer:
    """``(crop, cultivar id)`` pairs: the season's cultivars first, then every crop as such, of
    which those that are ``grown`` come first."""
    place = {key: n for n, key in enumerate(own_first(crops, grown))}
    cultivars = sorted(
        book.cultivars.values(),
        key=lambda c: (place.get(c.crop, len(place)), by_name(c.name)),
    )
    named: Offer = [
        ((cultivar.crop, cultivar.id), f"{crop_name(crops, cultivar.crop)} · {cultivar.name}")
        for cultivar in cultivars
    ]
    return named + [((key, None), called(crops[key])) for key in place]


def other_crop_names(book: Book, crops: Mapping[str, CropProfile]) -> dict[object, Sequence[str]]:
    """By what else :func:`crop_choices` are found: the names that profiles have, where the reader's
    language has others."""
    other = {key: names_of(crop)[1:] for key, crop in crops.items()}
    others: dict[object, Sequence[str]] = {(key, None): names for key, names in other.items()}
    for cultivar in book.cultivars.values():
        others[cultivar.crop, cultivar.id] = [
            f"{name} · {cultivar.name}" for name in other.get(cultivar.crop, ())
        ]
    return others


def place_choices(book: Book) -> Offer:
    """Places by name."""
    places = sorted(book.places.values(), key=lambda place: by_name(place.name))
    return [(place.id, place.name) for place in places]
