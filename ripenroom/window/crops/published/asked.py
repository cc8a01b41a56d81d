"""What statements ask, as headings, and the unit in which its numbers are read."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from ripenroom.records.crop.document import Path, dotted
from ripenroom.records.crop.profile import CropProfile
from ripenroom.records.crop.section import Quantity
from ripenroom.records.crop.statement import Asks, Statement
from ripenroom.texts import tr
from ripenroom.window.crops.figure_units import Units, decimals_of
from ripenroom.window.crops.figures import FigureGroup
from ripenroom.window.crops.published.case_words import days_words

_H_PER_DAY = 24.0
_HALF_A_DAY = 0.5
_WHOLE_FROM = 10.0
"""Numbers of what the program says are whole from here on, and have one decimal below."""

_DAYS = (Asks.READY, Asks.KEPT, Asks.ABLE, Asks.INJURY, Asks.MARK)
_SHARES = (Asks.FIRMNESS_LEFT, Asks.READY_PCT, Asks.WONT_RIPEN)

Known = Mapping[Path, tuple[str, Quantity]]
"""What the figures of a profile are called, and what they measure."""


@dataclass(frozen=True, slots=True)
class Asked:
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


def asked_of(statement: Statement, crop: CropProfile, units: Units, known: Known) -> Asked:
    """What a statement asks, in the words and units of the window."""
    if statement.asks is Asks.FIGURE:
        label, quantity = known.get(statement.figure, (dotted(statement.figure), None))
        return _figure(tr("Figure: {figure}").format(figure=label), quantity, units)
    if statement.times_at_c is not None:
        title = tr("How many times as long")
        return Asked(title, _as_it_is, _written(tr("{n} times")), is_figure=True)
    if statement.asks in _DAYS:
        return Asked(_day_title(statement.asks, crop), _as_it_is, days_words, is_days=True)
    if statement.asks in _SHARES:
        percent = _written(tr("{n} %"))
        return Asked(_share_title(statement.asks, crop), _as_it_is, percent, is_share=True)
    if crop.judged_by == "colour":
        green = _written(tr("{n} % green"))
        return Asked(tr("Green surface"), _as_it_is, green, is_share=True)
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


def _figure(title: str, quantity: Quantity | None, units: Units) -> Asked:
    """A figure; durations of all kinds are days in a statement."""
    if quantity is None:
        return Asked(title, _as_it_is, str, is_figure=True)
    convert, unit = units.reading(quantity)
    title = tr("{title}, {unit}").format(title=title, unit=unit)
    if quantity is Quantity.DURATION:
        return Asked(title, _as_it_is, days_words, is_figure=True)
    if quantity is Quantity.HOURS:
        convert = _hours
    return Asked(title, convert, _written("{n} " + unit), is_figure=True)


def _hours(days: float) -> float:
    return days * _H_PER_DAY


def _as_it_is(value: float) -> float:
    return value


def _written(text: str) -> Callable[[str], str]:
    return lambda number: text.format(n=number)
