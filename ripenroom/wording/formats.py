"""Numbers, dates and states in words: the user's locale, the season's units and home zone.

Days and months are named in the language of our sentences, in which they stand: "past since Fr 2
Okt" is neither. Numbers, times and amounts are written as the user's locale has them.
"""

import math
import re
from datetime import date, datetime, tzinfo
from functools import lru_cache
from typing import Literal

from babel import Locale
from babel.dates import get_day_names, get_month_names
from babel.numbers import (
    NumberFormatError,
    get_currency_symbol,
    get_decimal_symbol,
    get_minus_sign_symbol,
    parse_decimal,
)

from ripenroom.days import (
    dated,
    day_with_weekday,
    full_day,
    known_locale,
    month_first,
    naming_locale,
    time_of_day,
)
from ripenroom.records.season import SeasonDetails
from ripenroom.season.moments import from_hours, to_hours
from ripenroom.texts import language, locale_name, tr, tr_in
from ripenroom.units import (
    ForceUnit,
    MassUnit,
    TemperatureUnit,
    celsius,
    fahrenheit_degrees_from_kelvins,
    kelvins_from_fahrenheit_degrees,
    mass_in,
    temperature_in,
)

NEVER = "–"
"""Stands where a date or number does not exist."""

_NO_BREAK = "\N{NO-BREAK SPACE}"


def in_percent(number: float | str, locale: Locale | None = None) -> str:
    """A number as so many per cent: ``"55%"`` or ``"55 %"``, as the reader's locale has it."""
    locale = known_locale(locale_name()) if locale is None else locale
    # English writes "55%" in every country; without one our own form stands, with its blank.
    if locale.territory is not None and locale.language == language() == "en":
        return f"{number}%"
    return tr("{percent} %").format(percent=number)


class Formats:
    """Turns what the season knows into text, and typed text back into numbers.

    Moments are given as aware datetimes or as hours since the epoch, and read in the season's home
    zone. Temperatures are given in degrees Celsius, masses in kilograms.
    """

    def __init__(self, locale: str, season: SeasonDetails, zone: tzinfo) -> None:
        self.locale = known_locale(locale)
        self._locale_name = locale
        self.names = naming_locale(self.locale)
        """The locale that names days and months."""
        self.season = season
        self.zone = zone
        self._mark = get_decimal_symbol(self.locale)
        self._minus = get_minus_sign_symbol(self.locale)

    @property
    def temperature_unit(self) -> TemperatureUnit:
        """The unit the season's temperatures are shown in."""
        return "F" if self.season.units == "us" else "C"

    @property
    def mass_unit(self) -> MassUnit:
        """The unit the season's weights are shown in."""
        return "lb" if self.season.units == "us" else "kg"

    @property
    def force_unit(self) -> ForceUnit:
        """The unit that firmness is read in where nobody chose another."""
        return "lbf" if self.season.units == "us" else "N"

    # Numbers

    def number(self, value: float, decimals: int = 0) -> str:
        """A number with a fixed count of decimals; a dash if it does not exist."""
        if math.isnan(value):
            return NEVER
        # Adding 0.0 after rounding turns "-0" into "0". Thousands marks help nobody in counts of
        # fruit and read like decimal marks to others.
        return self._written(f"{round(value, decimals) + 0.0:.{decimals}f}")

    def figures(self, value: float, most: int) -> str:
        """A number with as many of its figures as say something, and at ``most`` so many."""
        return self._written(f"{value:.{most}g}")

    def _written(self, number: str) -> str:
        return number.replace(".", self._mark).replace("-", self._minus)

    def parse_number(self, text: str) -> float | None:
        """The number that was typed in the user's locale, or None if it is none."""
        try:
            value = float(parse_decimal(text.strip(), self.locale, strict=True))
        except NumberFormatError:
            return None
        return value if math.isfinite(value) else None

    def share(self, value: float) -> str:
        """A share between 0 and 1 in per cent."""
        if math.isnan(value):
            return NEVER
        return self._in_percent(self.number(value * 100))

    def number_range(self, low: float, high: float) -> str:
        """A range of numbers, as one number if both ends read the same."""
        first, last = self.number(low), self.number(high)
        return first if first == last else f"{first}–{last}"

    def number_within(self, number: float, low: float, high: float) -> str:
        """A number and its range, ``"52 (40–58)"``; alone where the range tells no more."""
        said, ends = self.number(number), self.number_range(low, high)
        return said if ends == said else f"{said} ({ends})"

    def share_range(self, low: float, high: float) -> str:
        """A range of shares in per cent."""
        if math.isnan(low) or math.isnan(high):
            return NEVER
        return self._in_percent(self.number_range(low * 100, high * 100))

    def _in_percent(self, number: str) -> str:
        return in_percent(number, self.locale)

    # Units

    def temperature(self, value_c: float, decimals: int = 1) -> str:
        """A temperature in the season's unit."""
        unit = self.temperature_unit
        return f"{self.number(temperature_in(value_c, unit), decimals)} °{unit}"

    def set_point(self, value_c: float) -> str:
        """What a thermostat is set to: whole degrees Fahrenheit, as it is turned, unless it was set
        between two."""
        shown = temperature_in(value_c, self.temperature_unit)
        whole = self.temperature_unit == "F" and abs(shown - round(shown)) < 0.05
        return self.temperature(value_c, 0 if whole else 1)

    def temperature_difference(self, value_k: float, decimals: int = 1) -> str:
        """A difference of temperatures in the season's unit."""
        if self.temperature_unit == "F":
            value_k = fahrenheit_degrees_from_kelvins(value_k)
        return f"{self.number(value_k, decimals)} °{self.temperature_unit}"

    def parse_temperature_c(self, text: str) -> float | None:
        """Degrees Celsius of a temperature typed in the season's unit."""
        value = self.parse_number(text.rstrip().rstrip("CF").rstrip(" °"))
        return None if value is None else celsius(value, self.temperature_unit)

    def difference_k(self, shown: float) -> float:
        """Kelvins of a difference given in the season's unit."""
        return kelvins_from_fahrenheit_degrees(shown) if self.temperature_unit == "F" else shown

    def mass(self, value_kg: float) -> str:
        """A mass in the season's unit."""
        return f"{self.number(mass_in(value_kg, self.mass_unit), 1)} {self.mass_unit}"

    def money(self, minor: int) -> str:
        """An amount of the season's currency, given in minor units."""
        decimals = self.season.currency_decimals
        return self.in_currency(self.number(minor / 10**decimals, decimals))

    def in_currency(self, amount: str) -> str:
        """An amount or a range in words, with the currency's sign where the locale has it."""
        pattern = self.locale.currency_formats["standard"]
        sign = self.currency_sign
        before, after = (text.replace("¤", sign) for text in (pattern.prefix[0], pattern.suffix[0]))
        # Letters stand apart from figures, on either side.
        if before[-1:].isalpha():
            before += _NO_BREAK
        if after[:1].isalpha():
            after = _NO_BREAK + after
        return f"{before}{amount}{after}"

    @property
    def currency_sign(self) -> str:
        """The sign of the season's currency as the locale writes it; its code where it has none."""
        return get_currency_symbol(self.season.currency, self.locale)

    # Days and times

    def local(self, moment: datetime | float) -> datetime:
        """The moment in the season's home zone."""
        if isinstance(moment, datetime):
            return moment.astimezone(self.zone)
        return from_hours(moment, self.zone)

    def month(self, number: int) -> str:
        """A month by its number, 1 being January: ``"September"``."""
        return str(get_month_names("wide", "stand-alone", self.names)[number])

    def month_of(self, day: date, full: bool) -> str:
        """The month of a day: ``"September 2026"`` in full, else ``"Sep"``."""
        return self.dated(day, "MMMM y" if full else "MMM")

    def weekday(self, number: int, width: Literal["abbreviated", "narrow"]) -> str:
        """A day of the week by its number, 0 being Monday: ``"Sat"``, or ``"S"``."""
        return str(get_day_names(width, "stand-alone", self.names)[number])

    def dated(self, day: date, pattern: str) -> str:
        """A day by a pattern of CLDR, such as ``"MMMM y"``; what goes first is as the locale has
        it."""
        return dated(day, pattern, self.locale)

    def day(self, moment: datetime | date | float) -> str:
        """A short day: ``"Sat 26 Sep"``."""
        if not isinstance(moment, date):
            if math.isnan(moment):
                return NEVER
            moment = self.local(moment)
        elif isinstance(moment, datetime):
            moment = self.local(moment)
        return day_with_weekday(moment, self.locale)

    def short_day(self, moment: datetime | float) -> str:
        """A day of this season without its weekday: ``"26 Sep"``."""
        hours = to_hours(moment) if isinstance(moment, datetime) else moment
        return self.day_range(hours, hours)

    def full_day(self, day: date) -> str:
        """A day with its year: ``"26 Sep 2026"``."""
        return full_day(day, self._locale_name)

    def day_in_full(self, day: date) -> str:
        """A day as a heading has it: ``"Thursday 1 October 2026"``."""
        return self.dated(day, tr_in("pattern of a day in full", "EEEE d MMMM y"))

    def unbroken(self, text: str) -> str:
        """The same text or rich text, in which no line ends within a short day or before a sign of
        per cent: ``"Wed 2 Dec"``."""
        week = (self.dated(date(2026, 6, number), "EEE") for number in range(1, 8))
        year = (self.dated(date(2026, number, 1), "MMM") for number in range(1, 13))
        days = _days_named(tuple(name.replace(".", "") for name in (*week, *year)))
        kept = days.sub(lambda found: found[0].replace(" ", _NO_BREAK), text)
        return kept.replace(" %", f"{_NO_BREAK}%")

    def time(self, moment: datetime | float) -> str:
        """The time of day, as the locale writes it."""
        return time_of_day(self.local(moment), self._locale_name)

    def moment(self, moment: datetime | float) -> str:
        """Day and time: ``"Sat 26 Sep, 14:00"``."""
        if not isinstance(moment, datetime) and math.isnan(moment):
            return NEVER
        return f"{self.day(moment)}, {self.time(moment)}"

    def day_range(self, low_h: float, high_h: float) -> str:
        """A span of days, shortened where both ends share the month: ``"24–27 Sep"``."""
        if math.isnan(low_h) or math.isnan(high_h):
            return NEVER
        first, last = self.local(low_h).date(), self.local(high_h).date()
        pattern = tr_in("pattern of a day in a range", "d MMM")

        if first == last:
            return self.dated(first, pattern)
        begins = ends = pattern
        # The month stands once, where it goes before both days or after them.
        if (first.year, first.month) == (last.year, last.month):
            if month_first(self.locale):
                ends = "d"
            elif pattern.startswith("d"):
                begins = "d"
        return f"{self.dated(first, begins)}–{self.dated(last, ends)}"


@lru_cache(maxsize=4)
def _days_named(names: tuple[str, ...]) -> re.Pattern[str]:
    """Names of weekdays and months with the numbers beside them, in whatever order."""
    part = rf"\b(?:{'|'.join(map(re.escape, names))}|\d{{1,2}})\b"
    return re.compile(rf"{part}(?:,? {part})+")


def ended(sentence: str) -> str:
    """The sentence with its full stop; a date may end in one already, as in "3 Sept."."""
    return sentence if sentence.endswith(".") else f"{sentence}."
