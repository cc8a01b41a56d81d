"""Where an amount is typed: fruit that were counted, or a weight, or boxes.

It is read in one way everywhere, as the user's locale writes numbers, with or without its unit
behind it (``"12"``, ``"30 lb"``, ``"2,5kg"``, ``"4 boxes"``), and refused in one way.
"""

from typing import NamedTuple

from PySide6.QtWidgets import QWidget

from ripenroom.records.market import SoldBy
from ripenroom.records.refusal import Refusal
from ripenroom.texts import tr
from ripenroom.units import KILOGRAMS_PER, kilograms
from ripenroom.window.widgets.inputs import TypedLine
from ripenroom.wording.formats import Formats

_UNITS: dict[str, SoldBy] = {
    "kg": "kg", "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb",
    "box": "box", "boxes": "box", "fruit": "fruit",
}  # fmt: skip


class Amount(NamedTuple):
    """A number, and the unit that was typed behind it, if one was."""

    number: float
    unit: SoldBy | None


def parse_amount(text: str, words: Formats) -> Amount | None:
    """The amount that was typed; None for what is none."""
    text, unit = text.strip(), None
    for name, called in _units().items():
        before = text[: -len(name)]
        if text.lower().endswith(name) and not before[-1:].isalpha():
            text, unit = before.rstrip(), called
            break
    number = words.parse_number(text)
    return None if number is None else Amount(number, unit)


def parse_count(text: str, words: Formats) -> int | None:
    """The whole number of fruit, crates or trees that was typed; None for what is none."""
    amount = parse_amount(text, words)
    if amount is None or amount.unit not in (None, "fruit"):
        return None
    return int(amount.number) if amount.number >= 0 and amount.number.is_integer() else None


def unit_name(unit: SoldBy) -> str:
    """A unit in words."""
    return {
        "fruit": tr("fruit"),
        "box": tr("boxes"),
    }.get(unit, unit)


def _units() -> dict[str, SoldBy]:
    """What may be typed behind an amount, also in the user's language."""
    own: dict[str, SoldBy] = {unit_name(unit).lower(): unit for unit in ("fruit", "box")}
    return {**_UNITS, **own}


class AmountLine(TypedLine):
    """A line for one amount. What asks for it raises ``Refusal`` of ``field`` where it is none."""

    def __init__(
        self,
        words: Formats,
        letters: int = 6,
        placeholder: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(letters, placeholder, parent)
        self.words = words
        """How numbers are written here, and in which unit weights are typed without one."""

    def typed(self) -> str:
        """What stands in it, without the blanks around it."""
        return self.text().strip()

    def show_amount(self, amount: float | None) -> None:
        """Show an amount as it is typed; None: nothing."""
        self.setText("" if amount is None else self.words.figures(amount, 8))

    def whole(self) -> int | None:
        """The count, as far as what is typed can be read."""
        return parse_count(self.text(), self.words)

    def count(self, field: str) -> int | None:
        """The whole number; None where nothing is typed."""
        if not self.typed():
            return None
        count = self.whole()
        if count is None:
            raise self._no_count(field)
        return count

    def needed_count(self, field: str) -> int:
        """The whole number, which has to be there."""
        count = self.count(field)
        if count is None:
            raise Refusal(
                field, "{name}: how many? Type a whole number, 0 if none.", name=self._name()
            )
        return count

    def amount(self, field: str, unit: SoldBy) -> float | None:
        """The amount, of more than nothing and in this unit; None where nothing is typed."""
        if not self.typed():
            return None
        amount, whole = parse_amount(self.text(), self.words), unit == "fruit"
        if (
            amount is None
            or amount.number <= 0
            or amount.unit not in (None, unit)
            or (whole and amount.number != int(amount.number))
        ):
            raise self._no_amount(field, whole=whole)
        return amount.number

    def mass_kg(self, field: str) -> float | None:
        """Kilograms of what was weighed, in the season's unit where none is typed with it."""
        if not self.typed():
            return None
        amount = parse_amount(self.text(), self.words)
        unit = self.words.mass_unit if amount is None or amount.unit is None else amount.unit
        if amount is None or amount.number <= 0 or unit not in KILOGRAMS_PER:
            raise self._no_amount(field, whole=False)
        return kilograms(amount.number, "lb" if unit == "lb" else "kg")

    def _name(self) -> str:
        """What it is called, without what its accessible name explains besides."""
        return self.accessibleName().partition(";")[0]

    def _no_count(self, field: str) -> Refusal:
        return Refusal(
            field,
            "{name}: type a whole number, not “{typed}”.",
            name=self._name(),
            typed=self.typed(),
        )

    def _no_amount(self, field: str, *, whole: bool) -> Refusal:
        return Refusal(
            field,
            "{name}: type a number above 0, such as {like}, not “{typed}”.",
            name=self._name(),
            like=self.words.number(30) if whole else self.words.number(30.5, 1),
            typed=self.typed(),
        )
