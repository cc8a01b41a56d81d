"""The form of a pick that is expected: what, how many, on which day, into which place."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from ripenroom.records.batch import FEELS
from ripenroom.records.book import new_id
from ripenroom.records.crop.crop_names import within
from ripenroom.records.market import ExpectedPick
from ripenroom.records.refusal import Refusal
from ripenroom.season import actions
from ripenroom.texts import tr
from ripenroom.window.dialogs import room_for
from ripenroom.window.forms.cultivar import CropSearch
from ripenroom.window.forms.pick_layout import place_choices
from ripenroom.window.plain import PlainLabel
from ripenroom.window.session import Session
from ripenroom.window.widgets.amount import AmountLine
from ripenroom.window.widgets.day_line import DayLine
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine
from ripenroom.wording.names import crop_name, feel_names
from ripenroom.wording.plan.expected_picks import likely_ahead


class KeepLikely(QWidget):
    """Shown only where a pick that is expected would take away likely ones before it."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._likely = likely_ahead(session)
        self._ends: list[ExpectedPick] = []
        self.text = PlainLabel("", self)
        self.text.setWordWrap(True)
        self.keep = QCheckBox(tr("&Keep them as expected"), self)
        self.keep.setChecked(True)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.text)
        layout.addWidget(self.keep)
        self.hide()

    def show_for(self, crop: str | None, on: date) -> None:
        """Say which likely picks of a crop (None: of none) one that is expected ``on`` a day takes
        away."""
        likely = [one for one in self._likely if one.pick.crop == crop and one.pick.on < on]
        self._ends = [replace(one.pick, count=one.count.mid) for one in likely]
        self.setVisible(bool(likely))
        if crop is None or not likely:
            return
        self.text.setText(
            tr("Likely picks before this one would no longer count: {picks}.").format(
                picks=self._named(self._ends, crop)
            )
        )
        # What is hidden says nothing; a reader of the screen hears both together.
        self.keep.setAccessibleDescription(self.text.text())

    def kept(self) -> Iterator[ExpectedPick]:
        """The likely picks that are to be kept, as picks that are expected."""
        if self.keep.isChecked():
            yield from (replace(pick, id=new_id()) for pick in self._ends)

    def _named(self, picks: Sequence[ExpectedPick], crop: str) -> str:
        """``"about 55 pawpaw on Fri 2 Oct, about 50 on Sun 4 Oct"``."""
        words, name = self._session.words, within(crop_name(self._session.season.crops, crop))
        said = [
            tr("about {count} {crop} on {day}").format(
                count=words.number(picks[0].count), crop=name, day=words.day(picks[0].on)
            )
        ]
        said += [
            tr("about {count} on {day}").format(
                count=words.number(pick.count), day=words.day(pick.on)
            )
            for pick in picks[1:]
        ]
        return ", ".join(said)


class ExpectedPickDialog(FormDialog):
    """Give the id of an expected pick to change it, or None for a new one, which may ``start`` with
    the figures of one that is likely."""

    def __init__(
        self,
        session: Session,
        pick_id: str | None,
        parent: QWidget | None = None,
        start: ExpectedPick | None = None,
    ) -> None:
        super().__init__(session, parent)
        book = session.season.book
        self._pick = book.expected_picks[pick_id] if pick_id else None
        self.setWindowTitle(tr("Edit an expected pick") if pick_id else tr("Add an expected pick"))
        self.action_button.setText(tr("Save") if pick_id else tr("Add"))
        self.crop = CropSearch(session, 20)
        self.count = AmountLine(session.words, 8)
        self.on = DayLine(session.locale, session.season.now, "ahead", self)
        self.on.setAccessibleName(tr("Day on which the pick is expected"))
        self.feel = RecordChoice(14)
        self.place = RecordChoice(16)
        self.place.set_choices(place_choices(book))
        self.note = TypedLine(24)
        self.add("crop", Field(tr("&What"), self.crop))
        self.add("count", Field(tr("&Fruit (0: no more to pick)"), self.count))
        self.add("on", Field(tr("&Day"), self.on))
        self._feel_field = self.add("feel", Field(tr("&Most of it will be"), self.feel))
        self.add("place_id", Field(tr("&Goes to"), self.place))
        self.add("note", Field(tr("No&te"), self.note))
        self.keep_likely = KeepLikely(session)
        self.body.addWidget(self.keep_likely)
        self.board.fields["cultivar_id"] = self.board.fields["crop"]
        self.crop.currentIndexChanged.connect(self._name_feels)
        self._fill(self._pick or start)
        self._show_ends()
        self.crop.currentIndexChanged.connect(self._show_ends)
        self.on.dayChanged.connect(self._show_ends)
        self.count.textChanged.connect(self._show_ends)
        self.fit()
        (self.count if self._pick is None else self.crop).setFocus()

    def carry_out(self) -> None:
        """Save the expected pick."""
        chosen = self.crop.chosen()
        if chosen is None:
            raise Refusal("crop", "Choose what will be picked.")
        place = self.place.value()
        if not isinstance(place, str):
            raise Refusal("place_id", "There is no place yet. Add one on Places first.")
        count = self.count.needed_count("count")
        crop, cultivar_id = chosen
        pick = ExpectedPick(
            id=self._pick.id if self._pick else new_id(),
            crop=crop,
            on=self.on.typed_day("on"),
            count=count,
            place_id=place,
            feel=next(feel for feel in FEELS if feel == self.feel.value()),
            cultivar_id=cultivar_id,
            note=self.note.text().strip(),
        )
        self._show_ends()
        self.session.season.do(actions.ahead.save_expected_picks, [pick, *self.keep_likely.kept()])

    def _show_ends(self) -> None:
        """Say which likely picks this one takes away; that nothing more comes takes none before."""
        chosen, day = self.crop.chosen(), self.on.day()
        ends = self.count.whole() == 0
        crop = chosen[0] if chosen is not None and day is not None and not ends else None
        hidden = self.keep_likely.isHidden()
        self.keep_likely.show_for(crop, day or self.session.season.now().date())
        if hidden and not self.keep_likely.isHidden():
            more = self.keep_likely.heightForWidth(self.fields_room_px(self.width()))
            height = self.height() + more + self.body.spacing()
            self.resize(self.width(), min(height, room_for(self).height()))

    def _fill(self, kept: ExpectedPick | None) -> None:
        self._name_feels()
        if kept is None:
            self.feel.choose("slight give")
            self.on.set_day(self.session.season.now().date() + timedelta(days=1))
            return
        if not self.crop.choose((kept.crop, kept.cultivar_id)):
            # What is not offered must be chosen anew, not become the first that is.
            self.crop.setCurrentIndex(-1)
        self.count.show_amount(kept.count)
        self.count.selectAll()
        self.on.set_day(kept.on)
        self._name_feels()
        self.feel.choose(kept.feel)
        self.place.choose(kept.place_id)
        self.note.setText(kept.note)
        self.note.setCursorPosition(0)

    def _name_feels(self) -> None:
        """Feels, or what they look like, in the words of the crop; hidden where neither is."""
        chosen = self.crop.chosen()
        crop = self.session.season.crops.get(chosen[0]) if chosen is not None else None
        names = feel_names(crop)
        self.feel.set_choices(list(zip(FEELS, names, strict=True)))
        self._feel_field.setVisible(crop is None or crop.judged_by != "nothing")
