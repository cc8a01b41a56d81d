"""Where thermostats are best set: plans made again over a grid of set points.

The flat part of what plans are worth matters more than its peak. Advised is, of all settings within
1 % of the best, the one nearest to today's.
"""

import math
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np

from ripenroom.planning.choices import CalledOff
from ripenroom.science.softening import Floats
from ripenroom.season.advice.advice import PlaceAdvice, RoomPair, SetPointAdvice, WorthCurve
from ripenroom.season.advice.set_point_trials import SetPointTrial, SetPointTrials
from ripenroom.season.advice.shared_itineraries import Progress
from ripenroom.season.advice.thermostat_settings import (
    SettingLimits,
    limits_of,
    settings_around,
    thermostats,
)
from ripenroom.season.state import SeasonState

Cell = tuple[int, ...]


@dataclass(frozen=True)
class SettingGrid:
    """``value`` at every combination of settings, one axis (C, increasing) for each place.

    ``allowed`` is of the same shape; ``today_c`` are the settings now, which are among the axes.
    What is worth less than the best allowed by no more than the share ``within`` is as good.
    """

    axes_c: tuple[Floats, ...]
    today_c: tuple[float, ...]
    value: Floats
    allowed: np.ndarray
    within: float

    @cached_property
    def today(self) -> Cell:
        """The cell of today's settings."""
        axes = zip(self.axes_c, self.today_c, strict=True)
        return tuple(int(np.argmin(np.abs(axis - here))) for axis, here in axes)

    @cached_property
    def best(self) -> float:
        """The largest value among allowed settings; among all, if none is allowed."""
        return float(self.value[self._usable].max())

    @cached_property
    def as_good(self) -> np.ndarray:
        """Which cells are allowed and as good as the best."""
        return np.asarray(self._usable & (self.value >= (1.0 - self.within) * self.best))

    @cached_property
    def advised(self) -> Cell:
        """The cell nearest to today's, in degrees, of those as good as the best; of equally near
        ones that of most value."""
        cells = np.argwhere(self.as_good)
        away_k = np.zeros(len(cells))
        for axis, here, number in zip(self.axes_c, self.today_c, cells.T, strict=True):
            away_k += np.abs(axis[number] - here)
        nearest = np.lexsort((-self.value[self.as_good], np.round(away_k, 6)))[0]
        return tuple(cells[nearest].tolist())

    def line(self, axis: int, cell: Cell) -> Cell | tuple[slice | int, ...]:
        """Indices of all cells along an axis through a cell."""
        return tuple(slice(None) if n == axis else at for n, at in enumerate(cell))

    def flat(self, axis: int) -> tuple[int, int]:
        """First and last of the settings along an axis, through the advised cell, that are as good
        without a break."""
        good = self.as_good[self.line(axis, self.advised)]
        first = last = self.advised[axis]
        while first > 0 and good[first - 1]:
            first -= 1
        while last + 1 < good.size and good[last + 1]:
            last += 1
        return first, last

    @property
    def _usable(self) -> np.ndarray:
        return self.allowed if self.allowed.any() else np.ones_like(self.allowed)


FLAT_WITHIN = 0.01
"""Settings whose plans are worth less than the best by no more than this share are as good."""


_COLD_SETTINGS, _COLD_STEP = 7, 1
_RIPENING_SETTINGS, _RIPENING_STEP = 5, 2

_THOUGHT = 0.6
"""About which part of the work is done once it is settled what is looked at."""


def set_point_advice(
    state: SeasonState, cancel: threading.Event | None = None, progress: Progress | None = None
) -> SetPointAdvice | None:
    """Advice as on ``now``; None if ``cancel`` was set before it was ready.

    ``progress`` is told the share that is done. Touches nothing that others can see, so it may run
    in a thread of its own.
    """
    try:
        return _advice(state, cancel, progress)
    except CalledOff:
        return None


def _advice(
    state: SeasonState, cancel: threading.Event | None, progress: Progress | None
) -> SetPointAdvice:
    def tell(share: float) -> None:
        if cancel is not None and cancel.is_set():
            raise CalledOff
        if progress is not None:
            progress(share)

    trials = SetPointTrials(state)
    limits = limits_of(state.crops, trials.kinds)
    groups = _groups(trials) if trials.anything_to_plan else []
    axes = {place_id: _settings(trials, place_id, limits) for group in groups for place_id in group}
    cells = [
        dict(zip(group, settings, strict=True))
        for group in groups
        for settings in product(*(axes[place_id] for place_id in group))
    ]
    tried: list[SetPointTrial] = []
    if groups:
        trials.think_of(
            [{place_id: axes[place_id] for place_id in group} for group in groups],
            cancel,
            lambda share: tell(_THOUGHT * share),
        )
        for trial in trials.at_each(cells):
            tried.append(trial)
            tell(_THOUGHT + (1.0 - _THOUGHT) * len(tried) / len(cells))
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


def _groups(trials: SetPointTrials) -> list[tuple[str, ...]]:
    """The places that are looked at together."""
    where = thermostats(trials.book, trials.crates_in)
    singles: list[tuple[str, ...]] = [(place_id,) for place_id in where.singles]
    return [where.pair, *singles] if where.pair else singles


def _settings(trials: SetPointTrials, place_id: str, limits: SettingLimits) -> tuple[float, ...]:
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
        trials: SetPointTrials,
        limits: SettingLimits,
        group: tuple[str, ...],
        axes_c: tuple[Floats, ...],
        tried: Sequence[SetPointTrial],
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
        self.values = SettingGrid(
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
            return curve.value_minor[values.advised[axis]] - curve.value_minor[outside]

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

    def pair(self) -> RoomPair:
        """All that was tried in two rooms."""
        values = self.values
        cold_id, ripening_id = self.group
        cold_c, ripening_c = values.axes_c
        return RoomPair(
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

    def _curve(self, axis: int, cell: Cell) -> WorthCurve:
        line = self.values.line(axis, cell)
        others = [
            float(celsius[at])
            for n, (celsius, at) in enumerate(zip(self.values.axes_c, cell, strict=True))
            if n != axis
        ]
        tables = (self.values.value, self._sold, self._chilling)
        return WorthCurve(
            others[0] if others else None,
            tuple(self.values.axes_c[axis].tolist()),
            *(tuple(table[line].tolist()) for table in tables),
        )


def _rows(table: Floats) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(row) for row in table.tolist())


def _two(cell: Cell) -> tuple[int, int]:
    cold, ripening = cell
    return cold, ripening
