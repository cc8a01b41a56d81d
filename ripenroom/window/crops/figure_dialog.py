"""Changing one figure of a crop."""

from PySide6.QtWidgets import QWidget

from ripenroom.records.crop.crop_names import called
from ripenroom.records.crop.document import CropDocument, Path, dotted
from ripenroom.records.crop.section import ESTIMATE, INFERRED, Quantity
from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr
from ripenroom.units import celsius, temperature_in
from ripenroom.window.crops.figure_source import SourceFields, save, whole_or_not
from ripenroom.window.crops.figure_units import Units
from ripenroom.window.crops.figures import FigureRow, figure_groups
from ripenroom.window.session import Session
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.form_dialog import FormDialog
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine, typed_number
from ripenroom.window.widgets.layouts import WrappedLabel

_DIGITS = 4
_ENDS = ("value", "low", "high")


class FigureDialog(FormDialog):
    """Value, range, unit and source of a figure; or the value alone of a bare number.

    A changed figure belongs to the season: the shipped profile stays as it is.
    """

    def __init__(
        self,
        session: Session,
        crop_key: str,
        line: FigureRow,
        units: Units,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(session, parent)
        season = session.season
        crop = season.crops[crop_key]
        self.setWindowTitle(
            tr("{crop}: {figure}").format(crop=called(crop), figure=line.label.lower())
        )
        self.action_button.setText(tr("Save"))
        self._key, self._line = crop_key, line
        self._document = CropDocument(season.crop_text(crop_key))
        groups = figure_groups(self._document, crop, units)
        self._names = {dotted(one.path): one.label for group in groups for one in group.lines}
        if crop_key not in season.own_crop_keys:
            self.body.addWidget(
                WrappedLabel(
                    tr(
                        "Saving gives this season figures of its own for {crop}. You can go back "
                        "to the built-in ones at any time."
                    ).format(crop=called(crop)),
                    self,
                )
            )
        self.at = TypedLine(6)
        self.numbers = {end: TypedLine(8) for end in _ENDS}
        self._shown: dict[TypedLine, tuple[str, float]] = {}
        self.unit = RecordChoice(8)
        self.source = SourceFields(crop, self._document.table(line.path))
        self._unit_before = ""
        self._fill(units)
        self._add_fields()
        self.fit()
        self.numbers["value"].setFocus()
        self.numbers["value"].selectAll()

    # What is there now

    def _fill(self, units: Units) -> None:
        line, table = self._line, self._document.table(self._line.path)
        if line.at_path is not None:
            self._show_celsius(self.at, line.at_path)
        if line.kind == "number":
            if line.quantity is Quantity.TEMPERATURE:
                self._show_celsius(self.numbers["value"], line.path)
            else:
                self._show(self.numbers["value"], _as_float(self._document.get(line.path)))
            return
        assert line.quantity is not None
        written = str(table["unit"])
        self.unit.set_choices([(name, name) for name in line.quantity.value.units])
        self.unit.choose(written)
        for end, edit in self.numbers.items():
            self._show(edit, _as_float(table[end]))
        self._unit_before = written
        self._show_in(units.unit_written(line.quantity))
        self.unit.activated.connect(lambda: self._show_in(str(self.unit.value())))

    def _show_in(self, unit: str) -> None:
        """Read the numbers in another unit, unless they were typed: those are meant as typed."""
        line, before = self._line, self._unit_before
        assert line.quantity is not None
        self.unit.choose(unit)
        self._unit_before = unit
        if unit == before or any(self._is_typed(edit) for edit in self.numbers.values()):
            return
        table, convert = self._document.table(line.path), line.quantity.value.units
        ours = convert[str(table["unit"])]
        # Every unit is a straight line from ours, so two points of it are enough to go back.
        zero, one = convert[unit](0.0), convert[unit](1.0)
        for end, edit in self.numbers.items():
            self._show(edit, (ours(_as_float(table[end])) - zero) / (one - zero))

    def _show_celsius(self, edit: TypedLine, path: Path) -> None:
        unit = self.session.words.temperature_unit
        self._show(edit, temperature_in(_as_float(self._document.get(path)), unit))

    def _show(self, edit: TypedLine, value: float) -> None:
        """Show a number rounded, and keep it as it is for as long as nobody types another."""
        edit.setText(self.session.words.figures(value, _DIGITS))
        self._shown[edit] = (edit.text(), value)

    def _is_typed(self, edit: TypedLine) -> bool:
        return edit.text() != self._shown[edit][0]

    # The form

    def _add_fields(self) -> None:
        line, unit = self._line, self.session.words.temperature_unit
        if line.at_path is not None:
            self.add("at_c", Field(tr("At &temperature, °{unit}").format(unit=unit), self.at))
        value = tr("&Value")
        if line.kind == "number":
            if line.quantity is Quantity.TEMPERATURE:
                value = tr("&Value, °{unit}").format(unit=unit)
            self.add("value", Field(value, self.numbers["value"]))
            return
        self.add("value", Field(value, self.numbers["value"]))
        likely = tr("About four farms in five should lie between the lowest and the highest")
        self.add("low", Field(tr("&Lowest that is likely"), self.numbers["low"], hint=likely))
        self.add("high", Field(tr("&Highest that is likely"), self.numbers["high"], hint=likely))
        self.add("unit", Field(tr("&Unit"), self.unit))
        for name, field in self.source.fields.items():
            self.add(name, field)

    # What is to be

    def carry_out(self) -> None:
        """Save the figure, as the season's own."""
        line = self._line
        document = CropDocument(self.session.season.crop_text(self._key))
        known = {dotted(line.path): "value"}
        if line.at_path is not None:
            known[dotted(line.at_path)] = "at_c"
            if self._is_typed(self.at):
                document.put(line.at_path, self._typed_celsius("at_c", self.at))
        if line.kind == "number":
            document.put(line.path, self._typed_number())
        else:
            table: dict[str, object] = {
                end: whole_or_not(self._typed(end, edit)) for end, edit in self.numbers.items()
            }
            table["unit"] = str(self.unit.value())
            before = self._document.table(line.path)
            # Such as the two temperatures of a Q10.
            table.update({k: v for k, v in before.items() if k not in (*_ENDS, "source", "note")
                          and k not in table})  # fmt: skip
            source, note = self.source.put_into(document)
            if source == INFERRED and any(self._is_typed(edit) for edit in self.numbers.values()):
                raise Refusal("source", "Say where the new figure is from.")
            table["source"] = source
            if note:
                table["note"] = note
            elif source == ESTIMATE:
                raise Refusal("note", "Say how you came to this figure.")
            document.put(line.path, table)
            known |= {f"{dotted(line.path)}.{name}": name for name in self.board.fields}
        # What was found of the profile before is no longer said of it now.
        for found in ("left_out", "held_to"):
            document.remove(found)
        save(self.session.season, document, known, "value", self._names)

    def _typed_number(self) -> float:
        edit = self.numbers["value"]
        if self._line.quantity is Quantity.TEMPERATURE:
            if not self._is_typed(edit):
                return _as_float(self._document.get(self._line.path))
            return self._typed_celsius("value", edit)
        return whole_or_not(self._typed("value", edit))

    def _typed_celsius(self, field: str, edit: TypedLine) -> float:
        unit = self.session.words.temperature_unit
        return whole_or_not(round(celsius(self._typed(field, edit), unit), 3))

    def _typed(self, field: str, edit: TypedLine) -> float:
        if not self._is_typed(edit):
            return self._shown[edit][1]
        return typed_number(edit, self.session.words, field)

    def done_text(self) -> str:
        """Which figure was saved."""
        return tr("Saved: {figure}. Ctrl+Z brings the old figure back.").format(
            figure=self._line.label.lower()
        )


def _as_float(value: object) -> float:
    return float(value) if isinstance(value, int | float) else float("nan")
