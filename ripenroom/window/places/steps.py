"""Set points in the steps that thermostats have, in the season's unit."""

from ripenroom.units import TemperatureUnit, celsius, temperature_in

_STEP: dict[TemperatureUnit, float] = {"C": 0.5, "F": 1.0}
_LOWEST_C, _HIGHEST_C = -2.0, 40.0


class SetPointSteps:
    """Whole steps of one unit: half a degree Celsius, or one degree Fahrenheit."""

    def __init__(self, unit: TemperatureUnit) -> None:
        self.unit: TemperatureUnit = unit
        self.step = _STEP[unit]
        self.decimals = 1 if unit == "C" else 0
        self.lowest = self.of_celsius(_LOWEST_C)
        self.highest = self.of_celsius(_HIGHEST_C)

    def of_celsius(self, value_c: float) -> int:
        """The step nearest to a temperature."""
        return round(temperature_in(value_c, self.unit) / self.step)

    def of_shown(self, shown: float) -> int:
        """The step nearest to a number in the season's unit."""
        return round(shown / self.step)

    def shown(self, step: int) -> float:
        """What a step reads in the season's unit."""
        return step * self.step

    def in_celsius(self, step: int) -> float:
        """Degrees Celsius of a step."""
        return celsius(self.shown(step), self.unit)
