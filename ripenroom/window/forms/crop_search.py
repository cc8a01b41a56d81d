"""One search field for a crop and its cultivar: the farm's own cultivars first."""

from PySide6.QtWidgets import QWidget

from ripenroom.records.crop.called import names_of
from ripenroom.texts import tr
from ripenroom.window.forms.cultivar import CultivarDialog
from ripenroom.window.forms.grows import grown_in
from ripenroom.window.forms.pick_layout import crop_choices, other_crop_names
from ripenroom.window.session import Session
from ripenroom.window.widgets.search_choices import SearchChoices, named_in


class CropSearch(SearchChoices):
    """Its values are pairs of a crop's key and a cultivar's id, None for the crop as such.

    A cultivar that is not there yet is added from here, and is then the choice.
    """

    def __init__(self, session: Session, letters: int = 11, parent: QWidget | None = None) -> None:
        self._session = session
        super().__init__(letters, tr("Add “{typed}” as a new cultivar…"), parent)
        self.newAsked.connect(self._add)
        self.refresh()

    def refresh(self) -> None:
        """Offer the season's cultivars and crops as they are now."""
        book, crops = self._session.season.book, self._session.season.crops
        grown = grown_in(book, self._session.settings)
        choices, others = crop_choices(book, crops, grown), other_crop_names(book, crops)
        self.set_choices(choices, len(book.cultivars), others)

    def chosen(self) -> tuple[str, str | None] | None:
        """The crop's key and the cultivar's id, None where nothing is chosen."""
        value = self.value()
        return (value[0], value[1]) if isinstance(value, tuple) else None

    def _add(self, typed: str) -> None:
        """Ask for the rest of a cultivar; words of a crop's name say which crop it is of."""
        crop, name = self._split(typed)
        dialog = CultivarDialog(self._session, None, self.window(), name=name, crop=crop)
        dialog.accepted.connect(lambda: self._choose_new(dialog))
        dialog.open()

    def _choose_new(self, dialog: CultivarDialog) -> None:
        self.refresh()
        saved = dialog.saved
        if saved is not None:
            self.choose((saved.crop, saved.id))
            self.activated.emit(self.currentIndex())
            self.setFocus()

    def _split(self, typed: str) -> tuple[str | None, str]:
        """The crop that is named in a text, else the one that was chosen last; and the rest."""
        names = {key: names_of(crop) for key, crop in self._session.season.crops.items()}
        key, name = named_in(typed, names)
        if key is not None:
            return key, name
        last = self._values[self.currentIndex()] if self.currentIndex() >= 0 else None
        return (last[0] if isinstance(last, tuple) else None), typed
