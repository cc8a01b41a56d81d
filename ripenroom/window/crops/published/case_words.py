"""The words of a published statement: the fruit it is about, what it says, and who says so."""

from ripenroom.records.crop.called import as_called
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import Quantity
from ripenroom.records.crop.statement import Asks, Kind, Start, Statement, Waits
from ripenroom.texts import tr, tr_in, tr_n
from ripenroom.units import temperature_in
from ripenroom.window.crops.figure_units import Units
from ripenroom.wording.names import begun, feel_names

_DAYS_FROM = 2
"""So many whole days are not given in hours."""

_WHOLE = 0.05
"""A temperature this near to a whole number was meant so."""


def kind_name(kind: Kind) -> str:
    """Who says so, in words."""
    return {
        "trial": tr("trial"),
        "handbook": tr("handbook"),
        "extension": tr("extension service"),
        "trade": tr("trade"),
        "hearsay": tr("hearsay"),
    }[kind]


def case_words(statement: Statement, crop: CropProfile, units: Units) -> str:
    """What fruit, and where it stays: "Slight give, at 22 °C". Empty for a figure of all fruit."""
    parts = []
    if statement.asks is not Asks.FIGURE:
        parts.append(_start(statement.start, crop, units))
        if statement.asks is Asks.MARK and statement.mark_n is not None:
            mark = units.shown(_mark(crop), statement.mark_n)
            parts.append(tr("until {mark}").format(mark=mark))
        if statement.ethylene_h:
            days, rest = divmod(statement.ethylene_h, 24.0)
            long = (
                units.shown(Quantity.HOURS, statement.ethylene_h)
                if rest or days < _DAYS_FROM
                else days_words(units.words.number(days))
            )
            parts.append(tr("{time} of ethylene").format(time=long))
        if statement.stays:
            then = tr_in("between two stays", ", then ")
            stays = then.join(_stay(stay, units) for stay in statement.stays)
            if statement.times_at_c is not None:
                other = _temperature(statement.times_at_c, 0.0, units)
                against = tr("{stays} against {temperature}")
                stays = against.format(stays=stays, temperature=other)
            parts.append(stays)
    if statement.group:
        parts.append(as_called(crop, statement.group))
    return begun(", ".join(parts))


def _mark(crop: CropProfile) -> Quantity:
    return Quantity.GREEN if crop.judged_by == "colour" else Quantity.FIRMNESS


def _start(start: Start, crop: CropProfile, units: Units) -> str:
    if start.feel is not None:
        return feel_names(crop)[start.feel]
    if start.at_n is not None:
        return units.shown(_mark(crop), round(start.at_n, 1))
    if start.ready:
        return tr("ready")
    return tr("as picked")


def _stay(stay: Waits, units: Units) -> str:
    temperature = _temperature(stay.celsius, stay.doubt_k, units)
    if stay.days is None:
        return tr("at {temperature}").format(temperature=temperature)
    days = days_words(units.words.number(stay.days, 0 if stay.days.is_integer() else 1))
    return tr("{days} at {temperature}").format(days=days, temperature=temperature)


def _temperature(celsius: float, doubt_k: float, units: Units) -> str:
    unit = units.words.temperature_unit
    ends = [temperature_in(celsius + part * doubt_k, unit) for part in (-1.0, 1.0)]
    decimals = 0 if all(abs(end - round(end)) <= _WHOLE for end in ends) else 1
    if unit == "F" and doubt_k:
        decimals = 0  # printed as a range, it is about
    low, high = (units.words.number(end, decimals) for end in ends)
    if low == high:
        return f"{low}\u00a0°{unit}"
    between = tr("{low} to {high}")
    return between.format(low=low, high=high) + f"\u00a0°{unit}"


def days_words(number: str) -> str:
    """So many days; the number is written already."""
    return tr_n("{number} day", "{number} days", 1 if number == "1" else 2).format(number=number)
