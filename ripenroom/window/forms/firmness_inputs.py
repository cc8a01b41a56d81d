"""What a hand or a gauge says: feel counts as one typed line or five boxes, and gauge readings."""

import re

from PySide6.QtCore import QObject, Signal

from ripenroom.records.batch import FEELS, FeelCounts
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.entry import feel_parts, parse_feel_counts
from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr
from ripenroom.units import NEWTONS_PER, ForceUnit
from ripenroom.window.widgets.field import Field
from ripenroom.window.widgets.inputs import RecordChoice, TypedLine
from ripenroom.wording.formats import Formats
from ripenroom.wording.names import feel_names


def written(counts: FeelCounts) -> str:
    """The shortest line that means ``counts``."""
    shown = counts if counts[4] else counts[:4]
    return " ".join(str(count) for count in shown)


class FeelCountsInput(QObject):
    """The line and the boxes; either may be typed in, and the other follows."""

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        label, names, hint = _by_hand(feel_names())
        self._looks: tuple[str, ...] = ()
        self.line = TypedLine(8, "3 9 6 2")
        self.boxes = tuple(TypedLine(3) for _ in FEELS)
        self.field = Field(
            label,
            self.line,
            *self.boxes,
            captions=names,
            hint=hint,
        )
        self.line.textEdited.connect(self._on_line)
        for box in self.boxes:
            box.textEdited.connect(self._on_box)

    def show_crop(self, crop: CropProfile | None) -> None:
        """Name the boxes as the crop's fruit are told apart: by hand, or by eye."""
        names = feel_names(crop)
        self._looks = names if crop is not None and crop.judged_by == "colour" else ()
        if not self._looks:
            self.field.rename(*_by_hand(names))
            return
        hint = tr("Fruit that are {names}: 4 or 5 numbers in the line, or one in each box").format(
            names=", ".join(names)
        )
        self.field.rename(tr("Color o&f skin"), names, hint)

    def counts(self) -> FeelCounts | None:
        """What was typed; raises ``Refusal``."""
        return parse_feel_counts(self.line.text(), self._looks)

    def set_text(self, text: str) -> None:
        """Show a typed line."""
        self.line.setText(text)
        self._fill_boxes()

    def _on_line(self) -> None:
        self._fill_boxes()
        self.changed.emit()

    def _fill_boxes(self) -> None:
        parts = feel_parts(self.line.text())
        for index, box in enumerate(self.boxes):
            box.setText(parts[index] if index < len(parts) else "")

    def _on_box(self) -> None:
        texts = [box.text().strip() for box in self.boxes]
        if any(texts):
            parts = [text or "0" for text in texts]
            self.line.setText(" ".join(parts if texts[4] else parts[:4]))
        else:
            self.line.setText("")
        self.changed.emit()


def _by_hand(names: tuple[str, ...]) -> tuple[str, tuple[str, ...], str]:
    """Label, captions and hint where fruit is squeezed."""
    return (
        tr("Han&d feel"),
        names,
        tr(
            "Fruit that feel hard, give slightly, give, are soft, are too soft: 4 or 5 "
            "numbers in the line, or one in each box"
        ),
    )


class ReadingsInput(QObject):
    """One line of readings with spaces between, in the user's decimal mark."""

    changed = Signal()

    def __init__(self, words: Formats, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._words = words
        self.line = TypedLine(12)
        self.unit_choice = RecordChoice(3)
        self.unit_choice.set_choices([(unit, unit) for unit in NEWTONS_PER])
        self.unit_choice.choose(words.force_unit)
        self.probe = TypedLine(5)
        self.field = Field(
            tr("Or &gauge readings"),
            self.line,
            self.unit_choice,
            self.probe,
            captions=(
                tr("unit"),
                tr("probe, mm"),
            ),
            hint=tr("Penetrometer readings with spaces between, and the probe's diameter"),
        )
        self.line.textEdited.connect(self.changed)
        self.probe.textEdited.connect(self.changed)
        self.unit_choice.activated.connect(self.changed)

    def follow(self, words: Formats) -> None:
        """Take on other units of the season; readings keep the unit that they were typed in, and a
        gauge's own that was chosen stays."""
        before, self._words = self._words.force_unit, words
        if not self.line.text().strip() and self.unit_choice.value() == before:
            self.unit_choice.choose(words.force_unit)

    def values(self) -> tuple[float, ...]:
        """The readings as the gauge showed them; raises ``Refusal``."""
        # A comma may be the decimal mark, so only spaces and semicolons stand between readings.
        parts = [part for part in re.split(r"[\s;]+", self.line.text().strip()) if part]
        values: list[float] = []
        for part in parts:
            value = self._words.parse_number(part)
            if value is None:
                raise Refusal(
                    "readings",
                    "Readings: “{typed}” cannot be read as a number. Put spaces between readings, "
                    "such as {like}.",
                    typed=part,
                    like=f"{self._words.number(12.5, 1)} {self._words.number(11.0, 1)}",
                )
            values.append(value)
        return tuple(values)

    def unit(self) -> ForceUnit:
        """The gauge's unit."""
        chosen = self.unit_choice.value()
        return next(unit for unit in NEWTONS_PER if unit == chosen)

    def probe_mm(self) -> float | None:
        """The probe's diameter in millimetres; raises ``Refusal``."""
        text = self.probe.text().strip()
        if not text:
            return None
        value = self._words.parse_number(text)
        if value is None:
            raise Refusal(
                "probe_mm",
                "Probe: “{typed}” cannot be read as a number; write it like {like}.",
                typed=text,
                like=self._words.number(7.9, 1),
            )
        return value
