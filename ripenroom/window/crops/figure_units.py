"""Figures of a profile in the units of the season, and as many digits as they deserve."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from ripenroom.records.crop.section import Quantity
from ripenroom.texts import tr
from ripenroom.units import (
    NEWTONS_PER,
    ForceUnit,
    celsius,
    fahrenheit_degrees_from_kelvins,
    force_in,
    mass_in,
    newtons,
    temperature_in,
)
from ripenroom.wording.formats import Formats, in_percent

_MOST_DECIMALS = 4
_CLOSE = 0.01
"""A shown number is within this share of the true one."""


@dataclass(frozen=True, slots=True)
class Units:
    """What figures are read in: the season's units, and the gauge's."""

    words: Formats
    force: ForceUnit

    def shown(self, quantity: Quantity, *values: float) -> str:
        """One value, or value, low and high, of a quantity given in the profile's own unit."""
        convert, unit = self.reading(quantity)
        numbers = [convert(value) for value in values]
        decimals = decimals_of(numbers)
        texts = [self.words.number(number, decimals) for number in numbers]
        said = f"{texts[0]} {unit}".rstrip()
        if unit.startswith("%"):
            said = f"{in_percent(texts[0], self.words.locale)}{unit[1:]}"
        if len(set(texts)) == 1:
            return said
        return tr("{value} ({low}–{high})").format(value=said, low=texts[1], high=texts[2])

    def unit_written(self, quantity: Quantity) -> str:
        """The unit of a quantity as a profile file writes it, nearest to what is shown."""
        if quantity is Quantity.FIRMNESS:
            return self.force
        if quantity is Quantity.TEMPERATURE:
            return self.words.temperature_unit
        if quantity is Quantity.MASS and self.words.mass_unit == "lb":
            return "lb"
        return str(next(iter(quantity.value.units)))

    def reading(self, quantity: Quantity) -> tuple[Callable[[float], float], str]:
        """How a value in the profile's own unit is turned into the shown one, and its unit."""
        words = self.words
        if quantity is Quantity.FIRMNESS:
            return lambda value: force_in(value, self.force), self.force
        if quantity is Quantity.TEMPERATURE:
            unit = words.temperature_unit
            return lambda value: temperature_in(value, unit), f"°{unit}"
        if quantity is Quantity.MASS and words.mass_unit == "lb":
            return lambda value: mass_in(value / 1000.0, "lb"), "lb"
        if quantity is Quantity.Q10 and words.temperature_unit == "F":
            # As many times as fast over 18 °F as over 10 °C: the number itself stays.
            per = words.number(fahrenheit_degrees_from_kelvins(10.0))
            return lambda value: value, f"per {per} °F"
        return lambda value: value, _unit_name(quantity)

    def beside(self, note: str) -> str:
        """A note as its source writes it, each temperature and firmness in another unit than the
        reader's followed by what that is in the reader's: ``"14-16 C (57–61 °F)"``."""
        return _MEASURED.sub(self._with_own, note)

    def _with_own(self, found: re.Match[str]) -> str:
        unit, own = found["unit"], self.words.temperature_unit
        ends = [float(end) for end in (found["low"], found["high"]) if end]
        if unit in NEWTONS_PER:
            if unit == self.force:
                return found[0]
            read, name = [force_in(newtons(end, unit), self.force) for end in ends], str(self.force)
        elif unit == own:
            return found[0]
        else:
            read, name = (
                [temperature_in(celsius(end, "F" if unit == "F" else "C"), own) for end in ends],
                f"°{own}",
            )
        decimals = 1 if unit in NEWTONS_PER and min(read) < _FEW else 0
        told = dict.fromkeys(self.words.number(end, decimals) for end in read)
        return f"{found[0]} ({'–'.join(told)} {name})"


_FEW = 10.0
"""A firmness below it is told in tenths."""

_MEASURED = re.compile(
    r"(?<![\w.])(?<!per )(?<!each )(?<!within )(?<!every )"
    r"(?P<low>-?\d+(?:\.\d+)?)(?:(?:-|–| to | and )(?P<high>-?\d+(?:\.\d+)?))? "
    r"(?P<unit>C|F|N|lbf|kgf)\b(?! (?:warmer|colder|higher|lower|more|less|apart|wide)\b)"
)
"""What a note says in a unit; not a difference of temperatures."""


def _unit_name(quantity: Quantity) -> str:
    """A unit that is the same everywhere, in words."""
    names = {
        Quantity.SPEED: tr("age per day"),
        Quantity.ENERGY: tr("kJ/mol"),
        Quantity.Q10: tr("per 10 °C"),
        Quantity.AGE: tr("age"),
        Quantity.DURATION: tr("days"),
        Quantity.MASS: tr("g"),
        Quantity.COUNT: tr("fruit"),
        Quantity.PERCENT: tr("%"),
        Quantity.GREEN: tr("% green"),
        Quantity.TIMES_PER_AGE: tr("times as long"),
        Quantity.OF_NEED: tr("of the need"),
        Quantity.SHARE: tr("of full speed"),
        Quantity.DOSE: tr("ppm"),
        Quantity.HOURS: tr("h"),
        Quantity.RESPIRATION: tr("mg CO₂/kg h"),
        Quantity.RESPIRATION_BY_VOLUME: tr("ml CO₂/kg h"),
    }
    return names[quantity]


def decimals_of(numbers: list[float]) -> int:
    """The fewest decimals that show every number within a hundredth of itself."""
    for decimals in range(_MOST_DECIMALS):
        if all(abs(round(n, decimals) - n) <= _CLOSE * abs(n) for n in numbers):
            return decimals
    return _MOST_DECIMALS
