"""Where thermostats are best set: plans made again over a grid of set points.

The flat part of what plans are worth matters more than its peak. Advised is, of all settings within
1 % of the best, the one nearest to today's.
"""

import math
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import product

import numpy as np

from ripenroom.science.softening import Floats
from ripenroom.season.advice.plot import Cell, Plot
from ripenroom.season.advice.settings import Limits, limits_of, settings_around, thermostats
from ripenroom.season.advice.trials import Trial, Trials
from ripenroom.season.advice.worth import Progress
from ripenroom.season.state import SeasonState

FLAT_WITHIN = 0.01
"""Settings whose plans are worth less than the best by no more than this share are as good."""


@dataclass(frozen=True, slots=True)
class Curve:
    """What plans come to along the set points (C, increasing) of one place.

    ``other_c`` is what the other room of a pair is held at meanwhile, None for a place looked at
    alone; every other place stays as it is. ``value_minor`` is about what the best plan comes to:
    the expected value with cut crates, scaled to what today's comes to over sampled truths;
    ``sold_share`` the part of all fruit at hand that is expected to be sold ready,
    ``chilling_used`` the mean share of the chilling allowance that sold fruit has used by then.
    """

    other_c: float | None
    set_points_c: tuple[float, ...]
    value_minor: tuple[float, ...]
    sold_share: tuple[float, ...]
    chilling_used: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class PlaceAdvice:
    """How one place is best set; temperatures in C, values in minor units of the currency.

    ``curve`` has the other room as advised, ``as_it_is`` as it is set today; alone they are the
    same. All of ``flat_low_c`` to ``flat_high_c`` is within 1 % of the best of ``curve``, and
    ``advised_c`` lies there. ``colder_loses_minor`` and ``warmer_loses_minor`` are what the plan
    loses one tested step outside the flat part; None where the flat part ends at the last setting
    that was tested or that the crops stand. They stand ``lowest_c`` to ``highest_c``; whose limits
    these are is in ``lowest_crop`` and ``highest_crop`` (None: no crop's, a general one).
    """

    place_id: str
    today_c: float
    advised_c: float
    flat_low_c: float
    flat_high_c: float
    colder_loses_minor: float | None
    warmer_loses_minor: float | None
    lowest_c: float
    highest_c: float
    lowest_crop: str | None
    highest_crop: str | None
    curve: Curve
    as_it_is: Curve

    @property
    def fine_as_it_is(self) -> bool:
        """Whether today's setting is as good as any."""
        return self.advised_c == self.today_c


@dataclass(frozen=True, slots=True)
class Pair:
    """A cold room and a ripening room looked at together: tables of (cold, ripening) settings.

    The settings are the ``cold_c`` and ``ripening_c``, both increasing; tables as in
    :class:`Curve`. ``advised`` and ``today`` are indices into both.
    """

    cold_id: str
    ripening_id: str
    cold_c: tuple[float, ...]
    ripening_c: tuple[float, ...]
    value_minor: tuple[tuple[float, ...], ...]
    sold_share: tuple[tuple[float, ...], ...]
    chilling_used: tuple[tuple[float, ...], ...]
    advised: tuple[int, int]
    today: tuple[int, int]


@dataclass(frozen=True, slots=True)
class SetPointAdvice:
    """Advice for every place with a thermostat, as on ``made_at``.

    ``places`` are those of the ``pair`` first; empty where there is no fruit to plan for, no market
    day ahead, or no such place. ``value_minor`` is what today's settings come to, ``gain_minor``
    what the advised ones of the pair add (of the first place, without a pair).
    """

    made_at: datetime
    places: tuple[PlaceAdvice, ...]
    pair: Pair | None
    value_minor: float
    gain_minor: float


_COLD_SETTINGS, _COLD_STEP = 7, 1
_RIPENING_SETTINGS, _RIPENING_STEP = 5, 2


def set_point_advice(
    state: SeasonState, cancel: threading.Event | None = None, progress: Progress | None = None
) -> SetPointAdvice | None:
    """Advice as on ``now``; None if ``cancel`` was set before it was ready.

    ``progress`` is told the share that is done. Touches nothing that others can see, so it may run
    in a thread of its own.
    """
    trials = Trials(state)
    limits = limits_of(state.crops, trials.kinds)
    groups = _groups(trials) if trials.anything_to_plan else []
    axes = {place_id: _settings(trials, place_id, limits) for group in groups for place_id in group}
    if groups:
        trials.think_of([{place_id: axes[place_id] for place_id in group} for group in groups])
    cells = [
        dict(zip(group, settings, strict=True))
        for group in groups
        for settings in product(*(axes[place_id] for place_id in group))
    ]
    tried: list[Trial] = []
    for cell in cells:
        if cancel is not None and cancel.is_set():
            return None
        tried.append(trials.at(cell))
        if progress is not None:
            progress(len(tried) / len(cells))
    plots = []
    for group in groups:
        own_axes = tuple(np.array(axes[place_id]) for place_id in group)
        number = math.prod(axis.size for axis in own_axes)
        plots.append(_Plots(trials, limits, group, own_axes, tried[:number]))
        tried = tried[number:]
    if not plots or not plots[0].values.best > 0.0:
        return SetPointAdvice(state.now, (), None, 0.0, 0.0)
    first = plots[0]
    value = first.values.value
    return SetPointAdvice(
        made_at=state.now,
        places=tuple(plot.place(axis) for plot in plots for axis in range(len(plot.group))),
        pair=first.pair() if len(first.group) == 2 else None,
        value_minor=float(value[first.values.today]),
        gain_minor=float(value[first.values.advised] - value[first.values.today]),
    )


def _groups(trials: Trials) -> list[tuple[str, ...]]:
    """The places that are looked at together."""
    where = thermostats(trials.book, trials.crates_in)
    singles: list[tuple[str, ...]] = [(place_id,) for place_id in where.singles]
    return [where.pair, *singles] if where.pair else singles


def _settings(trials: Trials, place_id: str, limits: Limits) -> tuple[float, ...]:
    ripens = trials.book.places[place_id].kind == "ripening room"
    return settings_around(
        trials.today_c(place_id),
        _RIPENING_SETTINGS if ripens else _COLD_SETTINGS,
        _RIPENING_STEP if ripens else _COLD_STEP,
        trials.book.season.units,
        limits,
    )


class _Plots:
    """What was tried in a group of places, and the advice that follows."""

    def __init__(
        self,
        trials: Trials,
        limits: Limits,
        group: tuple[str, ...],
        axes_c: tuple[Floats, ...],
        tried: Sequence[Trial],
    ) -> None:
        self.group = group
        self._limits = limits
        shape = tuple(axis.size for axis in axes_c)
        allowed = np.ones(shape, bool)
        for number, axis in enumerate(axes_c):
            held = np.array([limits.hold(celsius) for celsius in axis])
            allowed &= np.expand_dims(held, [n for n in range(len(shape)) if n != number])
        self._sold, self._chilling = (
            np.array([getattr(trial, name) for trial in tried]).reshape(shape)
            for name in ("sold_share", "chilling_used")
        )
        self.values = Plot(
            axes_c,
            tuple(trials.today_c(place_id) for place_id in group),
            np.array([trial.value_minor for trial in tried]).reshape(shape),
            allowed,
            FLAT_WITHIN,
        )

    def place(self, axis: int) -> PlaceAdvice:
        """The advice for one place of the group."""
        values, limits = self.values, self._limits
        celsius, curve = values.axes_c[axis], self._curve(axis, values.advised)
        first, last = values.flat(axis)

        def loses(outside: int) -> float | None:
            if not 0 <= outside < celsius.size or not limits.hold(float(celsius[outside])):
                return None
            return values.best - curve.value_minor[outside]

        return PlaceAdvice(
            place_id=self.group[axis],
            today_c=values.today_c[axis],
            advised_c=self._set_to(axis),
            flat_low_c=float(celsius[first]),
            flat_high_c=float(celsius[last]),
            colder_loses_minor=loses(first - 1),
            warmer_loses_minor=loses(last + 1),
            lowest_c=limits.lowest_c,
            highest_c=limits.highest_c,
            lowest_crop=limits.lowest_crop,
            highest_crop=limits.highest_crop,
            curve=curve,
            as_it_is=self._curve(axis, values.today),
        )

    def pair(self) -> Pair:
        """All that was tried in two rooms."""
        values = self.values
        cold_id, ripening_id = self.group
        cold_c, ripening_c = values.axes_c
        return Pair(
            cold_id=cold_id,
            ripening_id=ripening_id,
            cold_c=tuple(cold_c.tolist()),
            ripening_c=tuple(ripening_c.tolist()),
            value_minor=_rows(values.value),
            sold_share=_rows(self._sold),
            chilling_used=_rows(self._chilling),
            advised=_two(values.advised),
            today=_two(values.today),
        )

    def _set_to(self, axis: int) -> float:
        """The advised setting; today's to the last decimal where that is advised."""
        values = self.values
        if values.advised[axis] == values.today[axis]:
            return values.today_c[axis]
        return float(values.axes_c[axis][values.advised[axis]])

    def _curve(self, axis: int, cell: Cell) -> Curve:
        line = self.values.line(axis, cell)
        others = [
            float(celsius[at])
            for n, (celsius, at) in enumerate(zip(self.values.axes_c, cell, strict=True))
            if n != axis
        ]
        tables = (self.values.value, self._sold, self._chilling)
        return Curve(
            others[0] if others else None,
            tuple(self.values.axes_c[axis].tolist()),
            *(tuple(table[line].tolist()) for table in tables),
        )


def _rows(table: Floats) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(row) for row in table.tolist())


def _two(cell: Cell) -> tuple[int, int]:
    cold, ripening = cell
    return cold, ripening
