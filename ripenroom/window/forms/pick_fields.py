"""The fields of a pick: used to write one down, and to change one later."""

from collections.abc import Mapping
from typing import Final

from PySide6.QtCore import QEvent, QTimer, Signal
from PySide6.QtWidgets import QWidget

from ripenroom.records.crop.crop_names import called, within
from ripenroom.records.crop.profile import CropProfile, JudgedBy
from ripenroom.records.entry import PickEntry
from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr
from ripenroom.units import TemperatureUnit, celsius
from ripenroom.window.forms.cultivar import CropSearch
from ripenroom.window.forms.firmness_inputs import FeelCountsInput, ReadingsInput
from ripenroom.window.forms.pick_layout import PickGrid, place_choices, row_choices
from ripenroom.window.session import Session
from ripenroom.window.widgets.amount import AmountLine
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import RefusalBoard
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine
from ripenroom.window.widgets.layouts import WrappedLabel
from ripenroom.window.widgets.when import WhenEdit

MORE: Final = ("row_id", "readings", "reading_unit", "probe_mm", "pulp_c", "note")
"""Names of the fields that few picks have."""


def draft_key(season_id: str) -> str:
    """The setting that keeps the half-filled pick form of a season, as JSON."""
    return f"draft/{season_id}"


class PickFields(QWidget):
    """Fields in the order of the work: when, what, where to, how it feels, how much; then those of
    :data:`MORE`, which :meth:`show_more` hides.

    ``judgedBy`` says by what the chosen crop's fruit are told apart (see ``JudgedBy``). What was
    refused stands beneath its field, unless it is ``told_elsewhere``.
    """

    edited = Signal()
    judgedBy = Signal(str)  # noqa: N815 - named as Qt names signals
    _room_px: int | None = None

    def __init__(
        self, session: Session, parent: QWidget | None = None, *, told_elsewhere: bool = False
    ) -> None:
        super().__init__(parent)
        self.session = session
        self.when = WhenEdit(session)
        self._shows_more = True
        self.crop = CropSearch(session)
        self.place = RecordChoice(9)
        self.feel = FeelCountsInput(self)
        self.count = AmountLine(session.words, 5)
        self.weight = AmountLine(session.words)
        self.row = RecordChoice(6)
        self.readings = ReadingsInput(session.words, self)
        self.pulp = TypedLine(5)
        self.pulp_unit = RecordChoice(3)
        self.pulp_unit.set_choices([("C", "°C"), ("F", "°F")])
        self.pulp_unit.choose(session.words.temperature_unit)
        self._degrees = session.words.temperature_unit
        self.note = TypedLine(10)
        self.unfelt = WrappedLabel(parent=self)
        self.unfelt.setObjectName("faint")
        unit = session.words.mass_unit
        self.weight_field = Field(
            tr("&Weight, {unit}").format(unit=unit),
            self.weight,
            hint=tr("If you weighed the fruit; it may end in kg or lb"),
        )
        pulp = Field(
            tr("Fr&uit temperature"),
            self.pulp,
            self.pulp_unit,
            hint=tr("Inside a fruit, if you measured it"),
        )
        crop = Field(tr("&Crop, cultivar"), self.crop)
        self.fields: dict[str, Field] = {
            "picked_at": Field(tr("P&icked"), self.when),
            "crop": crop,
            "cultivar_id": crop,
            "place_id": Field(tr("P&lace"), self.place),
            "feel_counts": self.feel.field,
            "count": Field(
                tr("Cou&nt"),
                self.count,
                hint=tr("Fruit in all; leave it empty if you felt every fruit"),
            ),
            "weight_kg": self.weight_field,
            "row_id": Field(tr("Row"), self.row),
            "readings": self.readings.field,
            "reading_unit": self.readings.field,
            "probe_mm": self.readings.field,
            "pulp_c": pulp,
            "note": Field(tr("N&ote"), self.note),
        }
        self.grid = PickGrid(self.fields, self.unfelt, self, told_elsewhere=told_elsewhere)
        self.row.activated.connect(self._on_row)
        self.crop.currentIndexChanged.connect(self._fit_to_crop)
        for line in (self.count, self.weight, self.pulp, self.note):
            line.textEdited.connect(self.edited)
        for choices in (self.row, self.crop, self.place, self.pulp_unit):
            choices.activated.connect(self.edited)
        self.feel.changed.connect(self.edited)
        self.readings.changed.connect(self.edited)
        self.when.edited.connect(self.edited)
        self.refresh()

    def fit_to(self, room_px: int) -> None:
        """Stand in more lines where the usual ones are wider than so many pixels."""
        self._room_px = room_px
        self.grid.fit(room_px)

    def event(self, event: QEvent) -> bool:
        """Other fields or other letters may need other lines."""
        done = super().event(event)
        if self._room_px is not None:
            if event.type() == QEvent.Type.FontChange:
                # The fields take on their letters one after the other.
                QTimer.singleShot(0, self, self._measure_again)
            elif event.type() == QEvent.Type.LayoutRequest:
                self.grid.fit(self._room_px)
        return done

    def _measure_again(self) -> None:
        self.grid.forget_width()
        if self._room_px is not None:
            self.grid.fit(self._room_px)

    def refresh(self) -> None:
        """Offer the season's rows, crops and places as they are now."""
        season = self.session.season
        self.row.set_choices(row_choices(season.book, tr("no row")))
        self.crop.refresh()
        self.place.set_choices(place_choices(season.book))
        self._follow_units()
        self.weight_field.label.setText(
            tr("&Weight, {unit}").format(unit=self.session.words.mass_unit)
        )
        self._fit_to_crop()

    def _follow_units(self) -> None:
        """Take on the season's units; what is typed keeps the unit that it was typed in."""
        words = self.session.words
        self.count.words = self.weight.words = words
        self.readings.follow(words)
        if words.temperature_unit != self._degrees and not self.pulp.text().strip():
            self.pulp_unit.choose(words.temperature_unit)
        self._degrees = words.temperature_unit

    def show_more(self, shown: bool) -> None:
        """Show or hide the fields that few picks have; what is typed there stays."""
        self._shows_more = shown
        self._fit_to_crop()

    def more_typed(self) -> list[str]:
        """Labels of the fields of :data:`MORE` in which something is."""
        filled = {
            "row_id": self.row.value() is not None,
            "readings": bool(self.readings.line.text().strip()),
            "pulp_c": bool(self.pulp.text().strip()),
            "note": bool(self.note.text().strip()),
        }
        return [
            self.fields[name].label.text().replace("&", "") for name, some in filled.items() if some
        ]

    @property
    def counts_line(self) -> TypedLine:
        """Where counting begins: the feels, or the fruit in all where nothing is felt."""
        return self.count if self.feel.field.isHidden() else self.feel.line

    @property
    def judged_by(self) -> JudgedBy:
        """By what the chosen crop's fruit are told apart."""
        crop = self._profile()
        return crop.judged_by if crop else "firmness"

    def _fit_to_crop(self) -> None:
        """Ask for what tells how ripe the crop is; what is typed already stays in sight."""
        crop, judged_by = self._profile(), self.judged_by
        self.feel.show_crop(crop)
        typed = bool(self.feel.line.text().strip()), bool(self.readings.line.text().strip())
        self.feel.field.setVisible(judged_by != "nothing" or typed[0])
        gauged = judged_by == "firmness" or typed[1]
        self.readings.field.setVisible(self._shows_more and gauged)
        for name in ("row_id", "pulp_c", "note"):
            self.fields[name].setVisible(self._shows_more)
        self.unfelt.setVisible(self.feel.field.isHidden())
        if crop is not None:
            self.unfelt.setText(
                tr(
                    "{crop}: count or weigh it. Its forecast goes by dates alone, so there is "
                    "nothing to squeeze."
                ).format(crop=called(crop))
            )
        self.judgedBy.emit(judged_by)

    def _profile(self) -> CropProfile | None:
        chosen = self.crop.chosen()
        return self.session.season.crops.get(chosen[0]) if chosen is not None else None

    def entry(self, *, split_by_feel: bool, answered: frozenset[str] = frozenset()) -> PickEntry:
        """What is filled in; raises ``Refusal`` for what cannot be read as it was typed."""
        chosen = self.crop.chosen()
        if chosen is None:
            raise Refusal("crop", "Type or choose the crop that was picked.")
        place = self.place.value()
        if not isinstance(place, str):
            raise Refusal("place_id", "Choose where the fruit waits. Add a place on Places first.")
        crop, cultivar_id = chosen
        row = self.row.value()
        readings = self.readings.values()
        feel_counts = self.feel.counts()
        self._refuse_what_tells_nothing(feel_counts is not None, bool(readings))
        return PickEntry(
            crop=crop,
            place_id=place,
            picked_at=self.when.moment("picked_at"),
            cultivar_id=cultivar_id,
            row_id=row if isinstance(row, str) else None,
            count=self.count.count("count"),
            weight_kg=self.weight.mass_kg("weight_kg"),
            feel_counts=feel_counts,
            readings=readings,
            reading_unit=self.readings.unit() if readings else None,
            probe_mm=self.readings.probe_mm() if readings else None,
            pulp_c=self._pulp_c(),
            note=self.note.text().strip(),
            split_by_feel=split_by_feel,
            answered=answered,
        )

    def _refuse_what_tells_nothing(self, felt: bool, read: bool) -> None:
        crop = self._profile()
        if crop is None:
            return
        if felt and crop.judged_by == "nothing":
            raise Refusal(
                "feel_counts",
                "Only dates are published of {crop}: its feel tells nothing here. Clear the "
                "counts, and give the fruit in all.",
                crop=within(called(crop)),
            )
        if read and crop.judged_by != "firmness":
            raise Refusal(
                "readings",
                "{crop} is not judged by firmness: clear the readings.",
                crop=called(crop),
            )

    def make_offers(self, board: RefusalBoard) -> None:
        """Teach a board how the suggestions of a pick's questions are taken."""
        words = self.session.words
        board.offer("readings", self._read_as, self.readings.unit_choice.choose)
        board.offer(
            "probe_mm",
            lambda mm: tr("It is {mm} mm").format(mm=words.number(_as_float(mm), 1)),
            lambda mm: self.readings.probe.setText(words.number(_as_float(mm), 1)),
        )
        # The question comes with what the number would be in degrees Celsius.
        board.offer(
            "pulp_c", lambda _meant: self._read_as("°F"), lambda _meant: self.pulp_unit.choose("F")
        )

    def _read_as(self, unit: object) -> str:
        return tr("Read it as {unit}").format(unit=unit)

    def state(self) -> dict[str, str]:
        """Everything as typed, to be put back by :meth:`restore`."""
        crop = self.crop.chosen()
        return {
            "when": self.when.state(),
            "row": str(self.row.value() or ""),
            "crop": "\t".join(part or "" for part in crop) if crop is not None else "",
            "place": str(self.place.value() or ""),
            "feel": self.feel.line.text(),
            "count": self.count.text(),
            "weight": self.weight.text(),
            "readings": self.readings.line.text(),
            "reading_unit": str(self.readings.unit_choice.value() or ""),
            "probe": self.readings.probe.text(),
            "pulp": self.pulp.text(),
            "pulp_unit": str(self.pulp_unit.value() or ""),
            "note": self.note.text(),
        }

    def restore(self, state: Mapping[str, str]) -> None:
        """Put back what :meth:`state` gave; what the season no longer has is left as it is."""
        self.when.restore(state.get("when", ""))
        self.row.choose(state.get("row") or None)
        crop, _, cultivar = state.get("crop", "").partition("\t")
        self.crop.choose((crop, cultivar or None))
        self.place.choose(state.get("place") or None)
        self.feel.set_text(state.get("feel", ""))
        for line, name in (
            (self.count, "count"),
            (self.weight, "weight"),
            (self.readings.line, "readings"),
            (self.readings.probe, "probe"),
            (self.pulp, "pulp"),
            (self.note, "note"),
        ):
            line.setText(state.get(name, ""))
        self.readings.unit_choice.choose(state.get("reading_unit"))
        self.pulp_unit.choose(state.get("pulp_unit"))
        self._fit_to_crop()

    def any_fruit(self) -> bool:
        """Whether anything is typed of what the next pick has new."""
        lines = (self.feel.line, self.count, self.weight, self.readings.line, self.note)
        return any(line.text().strip() for line in lines)

    def clear_what_differs(self) -> None:
        """Empty what the next pick of the same row has new; the rest stays."""
        self.feel.set_text("")
        for line in (self.count, self.weight, self.readings.line, self.note):
            line.clear()
        self._fit_to_crop()

    def _on_row(self) -> None:
        row = self.session.season.book.rows.get(str(self.row.value()))
        cultivar = self.session.season.book.cultivars.get(row.cultivar_id or "") if row else None
        if cultivar is not None:
            self.crop.choose((cultivar.crop, cultivar.id))

    def _pulp_c(self) -> float | None:
        text = self.pulp.text().strip()
        if not text:
            return None
        value = self.session.words.parse_number(text)
        if value is None:
            raise Refusal(
                "pulp_c",
                "Fruit temperature: “{typed}” cannot be read as a number; write it like {like}.",
                typed=text,
                like=self.session.words.number(21.5, 1),
            )
        unit: TemperatureUnit = "F" if self.pulp_unit.value() == "F" else "C"
        return celsius(value, unit)


def _as_float(value: object) -> float:
    return float(value) if isinstance(value, int | float) else float("nan")
