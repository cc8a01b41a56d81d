"""Where each batch has been and will be, and the pulp temperature it arrives with.

All batches are handled at once. Stays are padded tables of shape (batches, most stays): a batch
with fewer stays repeats its last one, and the repeats have no length but for the endless last.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from ripenroom.science.air import Air
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

_T = TypeVar("_T", bound=np.generic)


@dataclass(frozen=True)
class Stays:
    """Stays of all batches: when each begins (h, never decreasing along a line) and in which place.

    ``start_h`` and ``place`` have shape (batches, most stays); ``place`` numbers the airs.
    """

    start_h: Floats
    place: Indices

    def of(self, lines: Indices | slice) -> "Stays":
        """The stays of some batches only, which may repeat."""
        return Stays(self.start_h[lines], self.place[lines])

    def at(self, hours: Floats) -> Indices:
        """Number of the stay each batch is in at its hours; both shape (batches, n)."""
        return self.last_begun(self.start_h, hours)

    @staticmethod
    def last_begun(begins: Floats, value: Floats) -> Indices:
        """Number of the last column of ``begins`` that is not beyond ``value``, line by line."""
        stay = np.zeros(value.shape, dtype=np.intp)
        for number in range(1, begins.shape[1]):
            stay += begins[:, number, None] <= value
        return stay

    @staticmethod
    def entry(table: npt.NDArray[_T], stay: Indices) -> npt.NDArray[_T]:
        """Entries of a (batches, most stays) table for stays of shape (batches, n)."""
        found = table[:, :1]
        if table.shape[1] == 1:
            return np.broadcast_to(found, stay.shape)
        # Stays are few: choosing among columns beats gathering single entries.
        for number in range(1, table.shape[1]):
            found = np.where(stay >= number, table[:, number, None], found)
        return np.asarray(found)

    @cached_property
    def end_h(self) -> Floats:
        """When each stay ends (h); inf for the last."""
        endless = np.full((self.start_h.shape[0], 1), np.inf)
        return np.concatenate([self.start_h[:, 1:], endless], axis=1)


def settled_pulp_c(place: Indices, hours: Floats, airs: Sequence[Air]) -> Floats:
    """Settled pulp (C) of places at hours; ``hours`` may have one axis more than ``place``.

    Loops over places, never over batches.
    """
    settled = np.empty(hours.shape)
    for number in np.unique(place):
        here = np.nonzero(place == number)
        settled[here] = airs[number].pulp_c(hours[here])
    return settled


def pulp_differences_k(stays: Stays, airs: Sequence[Air], pulp_at_pick_c: Floats) -> Floats:
    """How much warmer (K) each batch's pulp is than settled pulp as each stay begins.

    ``pulp_at_pick_c`` has shape (batches,), ``nan`` where it was not measured: the pulp is then
    taken as settled in its first place. The shape of the answer is that of the stays.
    """
    half_cooling = np.array([air.half_cooling_h for air in airs])[stays.place]
    difference = np.zeros(stays.start_h.shape)
    arriving = settled_pulp_c(stays.place, stays.start_h, airs)
    difference[:, 0] = np.where(np.isnan(pulp_at_pick_c), 0.0, pulp_at_pick_c - arriving[:, 0])
    if stays.start_h.shape[1] > 1:
        leaving = settled_pulp_c(stays.place[:, :-1], stays.start_h[:, 1:], airs)
        left = np.exp2(-np.diff(stays.start_h, axis=1) / half_cooling[:, :-1])
        for stay in range(1, stays.start_h.shape[1]):
            carried = difference[:, stay - 1] * left[:, stay - 1]
            difference[:, stay] = leaving[:, stay - 1] + carried - arriving[:, stay]
    return difference
