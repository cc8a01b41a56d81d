"""Copying a crop: the start of an own one from a crop that is like it."""

import re
import unicodedata

from PySide6.QtWidgets import QWidget

from ripenroom.records.crop.crop_names import called
from ripenroom.records.crop.document import CropDocument
from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr
from ripenroom.window.crops.figure_source import save
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine


class CopyCropDialog(FormDialog):
    """Name, batch letter and key of the copy; :attr:`made` is its key once it is made."""

    def __init__(self, session: Session, crop_key: str, parent: QWidget | None = None) -> None:
        crop = session.season.crops[crop_key]
        super().__init__(session, parent)
        self.setWindowTitle(tr("Copy {crop}").format(crop=called(crop)))
        self.action_button.setText(tr("Copy"))
        self._key = crop_key
        self.made: str | None = None
        self.name = TypedLine(22)
        self.name.setText(tr("{crop}, own").format(crop=called(crop)))
        self.letter = RecordChoice(4)
        self.letter.set_choices([(one, one) for one in session.season.free_crop_letters()])
        self.key = TypedLine(22)
        self.add("name", Field(tr("&Name"), self.name))
        self.add(
            "letter",
            Field(
                tr("&Letter its batch codes start with"),
                self.letter,
                hint=tr("Letters of crops that this season uses are taken"),
            ),
        )
        self.add(
            "key",
            Field(
                tr("&Key used in files"),
                self.key,
                hint=tr("Small letters, digits and _; it cannot be changed later"),
            ),
        )
        self.name.textEdited.connect(self._follow_name)
        self._follow_name()
        self.fit()
        self.name.selectAll()

    def _follow_name(self) -> None:
        # A key that was typed is meant.
        if not self.key.isModified():
            self.key.setText(key_of(self.name.text()))

    def carry_out(self) -> None:
        """Make the copy, as a crop of the season's own."""
        season, key = self.session.season, self.key.text().strip()
        if key in season.crops:
            raise Refusal("key", "There is a crop “{key}” already; choose another.", key=key)
        document = CropDocument(season.crop_text(self._key))
        for name, text in (
            ("name", self.name.text().strip()),
            ("letter", str(self.letter.value() or "")),
            ("key", key),
        ):
            document.put((name,), text)
        fields = {name: name for name in self.board.fields}
        self.made = save(season, document, fields, "name").key


def key_of(name: str) -> str:
    """A key that a crop of that name may have: ``"Pawpaw, own"`` gives ``"pawpaw_own"``."""
    plain = unicodedata.normalize("NFKD", name.casefold()).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "_", plain).strip("_").lstrip("0123456789_")[:40]
