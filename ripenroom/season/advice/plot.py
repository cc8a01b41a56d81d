"""Values over the settings of one place or of two, and the flat part around the best of them."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ripenroom.science.softening import Floats

Cell = tuple[int, ...]


@dataclass(frozen=True)
class Plot:
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
