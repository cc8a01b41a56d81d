"""Penetrometer readings: a list of numbers, the gauge's unit, the probe's diameter."""

import re

from PySide6.QtCore import QCoreApplication, QObject, Signal

from ripenroom.records.refusal import Refusal
from ripenroom.units import NEWTONS_PER, ForceUnit
from ripenroom.window.forms.choices import Choices
from ripenroom.window.forms.field import Field
from ripenroom.window.forms.typed_line import TypedLine
from ripenroom.window.wording import Wording


class ReadingsInput(QObject):
    """One line of readings with spaces between, in the user's decimal mark."""

    changed = Signal()

    def __init__(self, words: Wording, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._words = words
        self.line = TypedLine(12)
        self.unit_choice = Choices(3)
        self.unit_choice.set_choices([(unit, unit) for unit in NEWTONS_PER])
        self.probe = TypedLine(5)
        self.field = Field(
            QCoreApplication.translate("Readings", "Or &gauge readings"),
            self.line,
            self.unit_choice,
            self.probe,
            captions=(
                QCoreApplication.translate("Readings", "unit"),
                QCoreApplication.translate("Readings", "probe, mm"),
            ),
            hint=QCoreApplication.translate(
                "Readings", "Penetrometer readings with spaces between, and the probe's diameter"
            ),
        )
        self.line.textEdited.connect(self.changed)
        self.probe.textEdited.connect(self.changed)
        self.unit_choice.activated.connect(self.changed)

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
