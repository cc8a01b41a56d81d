"""What a publication says of a crop: one claim of one source, as an interval."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, Literal

from ripenroom.records.crop.document import CropDocument, Path
from ripenroom.units import NEWTONS_PER

Kind = Literal["trial", "handbook", "extension", "trade", "hearsay"]
"""Who says so: a measurement, a handbook or review, an advisory service, growers and traders, or
somebody without a source. In the order of how much they weigh."""

KINDS: Final[tuple[Kind, ...]] = ("trial", "handbook", "extension", "trade", "hearsay")


class Asks(StrEnum):
    """What is said. Days count from the beginning of the last stay, shares from 0 to 100.

    ``READY``: days until half is ready; ``KEPT``: until the eat-by window closes; ``ABLE``: until
    what the crop needs before it ripens is done; ``INJURY``: until cold has injured it; ``MARK``:
    until the middle fruit has come to a firmness. At the end of the last stay, ``FIRMNESS``: that
    of the middle fruit (newtons, % green), ``FIRMNESS_LEFT``: in percent of its start,
    ``READY_PCT``: the ready share. ``WONT_RIPEN``: the share that never ripens indoors.
    ``FIGURE``: a figure of the profile itself.
    """

    READY = "days to ready"
    KEPT = "days kept"
    ABLE = "days until able"
    INJURY = "days to injury"
    MARK = "days to"
    FIRMNESS = "firmness"
    FIRMNESS_LEFT = "firmness left"
    READY_PCT = "% ready"
    WONT_RIPEN = "% won't ripen"
    FIGURE = "figure"


SHARES: Final = (Asks.READY_PCT, Asks.WONT_RIPEN, Asks.FIRMNESS_LEFT)
"""What is said of them is a share, in percent."""


@dataclass(frozen=True, slots=True)
class Waits:
    """Fruit stays at ``celsius``, which may be off by ``doubt_k`` either way (kelvins, an 80 %
    range), for ``days``; None for good."""

    celsius: float
    doubt_k: float
    days: float | None


@dataclass(frozen=True, slots=True)
class Start:
    """How ripe the fruit was at first: of a ``feel`` (its number), or at a mark ``at_n`` (N, or
    % green), or just ready, or as it is usually picked where none of these is known."""

    feel: int | None = None
    at_n: float | None = None
    ready: bool = False


@dataclass(frozen=True, slots=True)
class Statement:
    """One claim of one source.

    ``low`` to ``high`` is the interval exactly as published, in days, percent, newtons, times, or
    (of a figure) in the profile file's own unit; None where it is open. ``rounding`` is half of
    the step in which it was printed. ``times_at_c``: the claim is how many times as long it takes
    as at that temperature. ``mark_n`` is the mark of :attr:`Asks.MARK`; ``figure`` the keys of
    :attr:`Asks.FIGURE`. ``group`` is the cultivar or group it is about, empty for the crop.
    ``words`` are its own: what is asked, from where, in which stays.
    """

    asks: Asks
    low: float | None
    high: float | None
    rounding: float
    kind: Kind
    source: str
    start: Start = Start()
    stays: tuple[Waits, ...] = ()
    ethylene_h: float = 0.0
    times_at_c: float | None = None
    mark_n: float | None = None
    figure: tuple[str | int, ...] = ()
    group: str = ""
    note: str = ""
    words: str = ""

    @property
    def middle(self) -> float:
        """The middle of the interval, or its only end."""
        ends = [end for end in (self.low, self.high) if end is not None]
        return sum(ends) / len(ends)

    def off(self, value: float) -> float:
        """How far ``value`` lies outside the interval, rounding allowed, as a share of its middle
        (of shares: in shares).

        0 inside; positive above it, negative below; infinite for nan, which says never, unless
        the interval has no upper end.
        """
        if math.isnan(value):
            return 0.0 if self.high is None else math.inf
        if self.high is not None and value > self.high + self.rounding:
            return (value - self.high - self.rounding) / self._whole
        if self.low is not None and value < self.low - self.rounding:
            return (value - self.low + self.rounding) / self._whole
        return 0.0

    def error(self, value: float) -> float:
        """How far ``value`` is from the middle of the interval as a share of it (of shares: in
        shares); as :meth:`off` where only one end is published."""
        if self.low is None or self.high is None or math.isnan(value):
            return self.off(value)
        return (value - self.middle) / self._whole

    def meets(self, low: float, high: float) -> bool:
        """Whether a range from ``low`` to ``high`` and the interval touch, rounding allowed.

        An end that is nan is never reached: such a range only meets an interval without upper end.
        """
        low, high = (math.inf if math.isnan(end) else end for end in (low, high))
        above = self.high is not None and low > self.high + self.rounding
        below = self.low is not None and high < self.low - self.rounding
        return not above and not below

    @property
    def _whole(self) -> float:
        return 100.0 if self.is_share else max(abs(self.middle), self.rounding)

    @property
    def is_share(self) -> bool:
        """Whether what is said is a share, in percent."""
        return self.asks in SHARES


DAYS: Final = {"days": 1.0, "weeks": 7.0, "months": 30.4, "h": 1.0 / 24.0}
NEWTONS: Final = {str(unit): newton for unit, newton in NEWTONS_PER.items()}
BASE_OF: Final = DAYS | NEWTONS
"""Days, or newtons, in a unit in which durations or firmness are printed."""

GREEN: Final = "% green"

LONGEST_DAYS: Final = 800.0
"""No fruit waits, keeps or ripens for longer."""

WEAKEST_N, STRONGEST_N = 0.01, 1000.0
"""Firmness beyond these is that of no fruit (the limits of a profile's own firmness)."""

_MOST: Final = {GREEN: 100.0, "%": 100.0, "% of start": 100.0, "times": 100.0, "C": 100.0}
_MOST_OF_ANYTHING: Final = 10_000.0


def limits_of(unit: str) -> tuple[float, float]:
    """The least and the most that an end of a statement can be, in the unit in which it is printed.

    >>> limits_of("weeks")
    (0.0, 114.28571428571429)
    """
    if unit in DAYS:
        return 0.0, LONGEST_DAYS / DAYS[unit]
    if unit in NEWTONS:
        return 0.0, STRONGEST_N / NEWTONS[unit]
    return -100.0 if unit == "C" else 0.0, _MOST.get(unit, _MOST_OF_ANYTHING)


def units_of_figure(document: CropDocument, path: Path) -> Mapping[str, float]:
    """Units in which a statement about the profile's figure at ``path`` may be printed, each with
    how many days, newtons or (of others) times itself it is; empty where there is no such figure.

    A figure is a table with a value and a unit, or a bare temperature, whose key ends in ``_c``.
    """
    found = document.get(path)
    if isinstance(found, int | float) and not isinstance(found, bool):
        return {"C": 1.0} if str(path[-1]).endswith("_c") else {}
    table = document.table(path)
    unit = table.get("unit")
    if "value" not in table or not isinstance(unit, str):
        return {}
    for known in (DAYS, NEWTONS):
        if unit in known:
            return known
    return {"C" if unit == "F" else unit: 1.0}
