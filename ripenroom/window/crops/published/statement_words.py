"""What statements ask, and what they say: headings, numbers, the fruit, who says so."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from ripenroom.records.crop.crop_names import as_called
from ripenroom.records.crop.document import Path, dotted
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import Quantity
from ripenroom.records.crop.statement import Asks, Kind, Start, Statement, Waits
from ripenroom.texts import tr, tr_in, tr_n
from ripenroom.units import temperature_in
from ripenroom.window.crops.figure_units import Units, decimals_of
from ripenroom.window.crops.figures import FigureGroup
from ripenroom.wording.formats import in_percent
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


_H_PER_DAY = 24.0
_HALF_A_DAY = 0.5
_WHOLE_FROM = 10.0
"""Numbers of what the program says are whole from here on, and have one decimal below."""

_DAYS = (Asks.READY, Asks.KEPT, Asks.ABLE, Asks.INJURY, Asks.MARK)
_SHARES = (Asks.FIRMNESS_LEFT, Asks.READY_PCT, Asks.WONT_RIPEN)

Known = Mapping[Path, tuple[str, Quantity]]
"""What the figures of a profile are called, and what they measure."""


@dataclass(frozen=True, slots=True)
class GroupQuestion:
    """What a group of statements asks.

    ``read`` turns a statement's number into the shown one, ``written`` gives that its unit.
    ``is_days`` and ``is_share`` groups have an axis in common; ``is_figure`` groups ask for a
    figure of the profile.
    """

    title: str
    read: Callable[[float], float]
    written: Callable[[str], str]
    is_days: bool = False
    is_share: bool = False
    is_figure: bool = False

    def range_words(self, one: Statement, units: Units) -> str:
        """A published interval: "3–5 days", "at least 28 days", "at most 7 days"."""
        low, high = one.low, one.high
        ends = [self.read(end) for end in (low, high) if end is not None]
        # Months are not known to a tenth of a day.
        decimals = 0 if self.is_days and one.rounding >= _HALF_A_DAY else decimals_of(ends)
        texts = [units.words.number(end, decimals) for end in ends]
        if low is None:
            return tr("at most {value}").format(value=self.written(texts[-1]))
        if high is None:
            return tr("at least {value}").format(value=self.written(texts[0]))
        if texts[0] == texts[1]:
            return self.written(texts[0])
        between = tr("{low} to {high}") if ends[0] < 0.0 else tr("{low}–{high}")
        return self.written(between.format(low=texts[0], high=texts[1]))

    def said_words(self, low: float, mid: float, high: float, units: Units) -> str:
        """What the program says: "4.1 days (2.8–6.0)"; "never" where it never happens."""
        if math.isnan(mid):
            return tr("never") if self.is_days else tr("nothing")
        ends = [self.read(end) for end in (mid, low, high)]
        middle, least, most = (units.words.number(end, self._decimals(ends)) for end in ends)
        said = self.written(middle)
        if math.isnan(high):
            return tr("{value} ({low} or more)").format(value=said, low=least)
        if least == most:
            return said
        between = tr("{value} ({low} to {high})") if ends[1] < 0.0 else tr("{value} ({low}–{high})")
        return between.format(value=said, low=least, high=most)

    def _decimals(self, ends: list[float]) -> int:
        """As many as a forecast deserves; figures are written as they are set."""
        if self.is_figure:
            return decimals_of([end for end in ends if not math.isnan(end)])
        return 0 if ends[0] >= _WHOLE_FROM else 1


def asked_of(statement: Statement, crop: CropProfile, units: Units, known: Known) -> GroupQuestion:
    """What a statement asks, in the words and units of the window."""
    if statement.asks is Asks.FIGURE:
        label, quantity = known.get(statement.figure, (dotted(statement.figure), None))
        return _figure(tr("Figure: {figure}").format(figure=label), quantity, units)
    if statement.times_at_c is not None:
        title = tr("How many times as long")
        return GroupQuestion(title, _as_it_is, _written(tr("{n} times")), is_figure=True)
    if statement.asks in _DAYS:
        return GroupQuestion(_day_title(statement.asks, crop), _as_it_is, days_words, is_days=True)
    if statement.asks in _SHARES:
        return GroupQuestion(
            _share_title(statement.asks, crop), _as_it_is, in_percent, is_share=True
        )
    if crop.judged_by == "colour":
        return GroupQuestion(tr("Green surface"), _as_it_is, _green, is_share=True)
    return replace(_figure(tr("Firmness"), Quantity.FIRMNESS, units), is_figure=False)


def known_figures(groups: list[FigureGroup]) -> Known:
    """The figures of a profile by where they stand."""
    return {
        line.path: (line.label, line.quantity)
        for group in groups
        for line in group.lines
        if line.quantity is not None
    }


def _day_title(asks: Asks, crop: CropProfile) -> str:
    mark = tr("Days to a color") if crop.judged_by == "colour" else tr("Days to a firmness")
    return {
        Asks.READY: tr("Days until ready"),
        Asks.KEPT: tr("Days it keeps"),
        Asks.ABLE: tr("Days before it can ripen"),
        Asks.INJURY: tr("Days until the cold harms it"),
        Asks.MARK: mark,
    }[asks]


def _share_title(asks: Asks, crop: CropProfile) -> str:
    left = (
        tr("Green left, % of the start")
        if crop.judged_by == "colour"
        else tr("Firmness left, % of the start")
    )
    return {
        Asks.FIRMNESS_LEFT: left,
        Asks.READY_PCT: tr("Ready then, % of the fruit"),
        Asks.WONT_RIPEN: tr("Won't ripen, % of the fruit"),
    }[asks]


def _figure(title: str, quantity: Quantity | None, units: Units) -> GroupQuestion:
    """A figure; durations of all kinds are days in a statement."""
    if quantity is None:
        return GroupQuestion(title, _as_it_is, str, is_figure=True)
    convert, unit = units.reading(quantity)
    title = tr("{title}, {unit}").format(title=title, unit=unit)
    if quantity is Quantity.DURATION:
        return GroupQuestion(title, _as_it_is, days_words, is_figure=True)
    if quantity is Quantity.HOURS:
        convert = _hours
    return GroupQuestion(title, convert, _written("{n} " + unit), is_figure=True)


def _hours(days: float) -> float:
    return days * _H_PER_DAY


def _as_it_is(value: float) -> float:
    return value


def _green(number: str) -> str:
    return tr("{share} green").format(share=in_percent(number))


def _written(text: str) -> Callable[[str], str]:
    return lambda number: text.format(n=number)
