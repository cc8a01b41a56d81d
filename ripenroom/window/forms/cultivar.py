"""Cultivars: the field that finds a crop and its cultivar; adding a cultivar, or changing one."""

from collections.abc import Sequence
from typing import get_args

from PySide6.QtWidgets import QWidget

from ripenroom.records.book import new_id
from ripenroom.records.crop.crop_names import as_called, called, names_of
from ripenroom.records.crop.well_known import also_found_by, cultivars_of
from ripenroom.records.orchard import Cultivar, RipeningGroup
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.texts import tr
from ripenroom.window.forms.grows import grown_in, own_first
from ripenroom.window.forms.pick_layout import crop_choices, other_crop_names
from ripenroom.window.plain import set_hint
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine, typed_number
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.window.widgets.search_choices import SearchChoices, named_in
from ripenroom.window.widgets.typed_day import folded
from ripenroom.wording.checks import evidence_words, pace_words


class CultivarDialog(FormDialog):
    """Name, crop, group of the crop, time of ripening and own pace of a cultivar.

    A new one may begin with a ``name`` and a ``crop``. Once saved, it is in ``saved``.
    """

    def __init__(
        self,
        session: Session,
        cultivar_id: str | None,
        parent: QWidget | None = None,
        *,
        name: str = "",
        crop: str | None = None,
    ) -> None:
        super().__init__(session, parent)
        self.saved: Cultivar | None = None
        self._cultivar = session.season.book.cultivars[cultivar_id] if cultivar_id else None
        kept = self._cultivar
        self.setWindowTitle(tr("Edit cultivar") if kept else tr("Add a cultivar"))
        self.action_button.setText(tr("Save") if kept else tr("Add"))
        self.name = TypedLine(18)
        self.crop = SearchChoices(14)
        crops, grown = session.season.crops, grown_in(session.season.book, session.settings)
        self.crop.set_choices(
            [(key, called(crops[key])) for key in own_first(crops, grown)],
            others={key: names_of(crop)[1:] for key, crop in crops.items()},
            hints={key: also_found_by(key) for key in crops},
        )
        self.crop_group = RecordChoice(14)
        self.group = RecordChoice(10)
        groups: tuple[RipeningGroup, ...] = get_args(RipeningGroup)
        self.group.set_choices(
            [(None, tr("not known")), *((group, group_name(group)) for group in groups)]
        )
        self.pace = TypedLine(6)
        self.pace.setText(session.words.number(1.0, 1))
        if kept is None:
            self.name.setText(name)
            self.crop.choose(crop)
        else:
            self.name.setText(kept.name)
            self.crop.choose(kept.crop)
            self.group.choose(kept.group)
            self.pace.setText(session.words.figures(kept.rate_factor, 6))
        self.add("name", Field(tr("&Name, as your farm calls it"), self.name))
        self.add("crop", Field(tr("&Crop"), self.crop))
        self.add("crop_group", Field(tr("&Group of the crop"), self.crop_group))
        self.crop.currentIndexChanged.connect(self._offer_groups)
        self._offer_groups()
        if kept is not None:
            self.crop_group.choose(kept.crop_group)
        self.add("group", Field(tr("&Ripens"), self.group))
        self.add(
            "rate_factor",
            Field(
                tr("&Softens … times as fast as its crop or group"),
                self.pace,
                hint=tr("1: just as fast; 2: ready in half the days"),
            ),
        )
        self.learned = WrappedLabel(self._learned_words(), self)
        self.learned.setObjectName("faint")
        self.learned.setVisible(bool(self.learned.text()))
        self.body.addWidget(self.learned)
        self.fit()

    def _offer_groups(self) -> None:
        """Offer the groups of the chosen crop that have figures of their own."""
        crop = self.session.season.crops.get(str(self.crop.value()))
        named = list(crop.of_groups) if crop is not None else []
        kept = self._cultivar
        # A name that the profile does not know (any more) stays until another is chosen.
        if kept is not None and kept.crop == self.crop.value() and kept.crop_group:
            named = list(dict.fromkeys([*named, kept.crop_group]))
        none = tr("the whole crop") if named else tr("this crop has none")
        self.crop_group.set_choices(
            [(None, none), *((name, as_called(crop, name) if crop else name) for name in named)]
        )
        self.crop_group.setEnabled(bool(named))
        set_hint(
            self.crop_group,
            tr("Its dates go by the figures of this group; they are on the page Crops")
            if named
            else tr("No group of this crop has figures of its own"),
        )

    def _learned_words(self) -> str:
        """What checks say of this pace, whatever is typed here."""
        kept, learned = self._cultivar, self.session.season.learned
        rate = learned.rate_of(kept.crop, kept.id) if kept and learned else None
        if rate is None or not (rate.checks or rate.taught_by):
            return ""
        text = tr("Learned so far: {pace}, {evidence}. The number here is only where that started.")
        return text.format(pace=pace_words(rate, self.session.words), evidence=evidence_words(rate))

    def carry_out(self) -> None:
        """Save the cultivar."""
        crop = self.crop.value()
        if not isinstance(crop, str):
            raise Refusal("crop", "Choose the crop.")
        pace = typed_number(self.pace, self.session.words, "rate_factor")
        group, crop_group = self.group.value(), self.crop_group.value()
        cultivar = Cultivar(
            id=self._cultivar.id if self._cultivar else new_id(),
            crop=crop,
            name=self.name.text().strip(),
            group=next((known for known in get_args(RipeningGroup) if known == group), None),
            rate_factor=pace,
            crop_group=crop_group if isinstance(crop_group, str) else None,
        )
        self.session.season.do(actions.orchard.save_cultivar, cultivar)
        self.saved = cultivar


def group_name(group: RipeningGroup) -> str:
    """A ripening group in words."""
    return {
        "early": tr("early"),
        "mid": tr("mid-season"),
        "late": tr("late"),
    }[group]


class CropSearch(SearchChoices):
    """Its values are pairs of a crop's key and a cultivar's id, None for the crop as such.

    A cultivar that is not there yet is added from here, and is then the choice.
    """

    def __init__(self, session: Session, letters: int = 11) -> None:
        self._session = session
        super().__init__(letters, self._new_line)
        self.newAsked.connect(self._add)
        self.refresh()

    def refresh(self) -> None:
        """Offer the season's cultivars and crops as they are now."""
        book, crops = self._session.season.book, self._session.season.crops
        grown = grown_in(book, self._session.settings)
        choices, others = crop_choices(book, crops, grown), other_crop_names(book, crops)
        hints: dict[object, Sequence[str]] = {(key, None): also_found_by(key) for key in crops}
        self.set_choices(choices, len(book.cultivars), others, hints)

    def chosen(self) -> tuple[str, str | None] | None:
        """The crop's key and the cultivar's id, None where nothing is chosen."""
        value = self.value()
        return (value[0], value[1]) if isinstance(value, tuple) else None

    def _new_line(self, typed: str) -> list[tuple[str, object]]:
        return [(tr("Add “{typed}” as a new cultivar…").format(typed=typed), typed)]

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
        """The crop that is named in a text, else the one that is known for a cultivar of that name,
        else the one that was chosen last; and the rest."""
        names = {key: names_of(crop) for key, crop in self._session.season.crops.items()}
        key, name = named_in(typed, names)
        if key is not None:
            return key, name
        for crop in names:
            if any(folded(known) == folded(typed) for known in cultivars_of(crop)):
                return crop, typed
        last = self._values[self.currentIndex()] if self.currentIndex() >= 0 else None
        return (last[0] if isinstance(last, tuple) else None), typed
