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

    def trimmed(self) -> "Stays":
        """The same without columns at the end that only repeat the one before, for all batches."""
        starts, places = self.start_h, self.place
        new = (np.diff(starts, axis=1) > 0.0) | (np.diff(places, axis=1) != 0)
        own = np.flatnonzero(new.any(axis=0))
        most = int(own[-1]) + 2 if own.size else 1
        return Stays(starts[:, :most], places[:, :most]) if most < starts.shape[1] else self

    def counts(self) -> Indices:
        """How many stays each batch has of its own, before its last one repeats, (batches,)."""
        new = (np.diff(self.start_h, axis=1) > 0.0) | (np.diff(self.place, axis=1) != 0)
        number = np.arange(2, self.start_h.shape[1] + 1)
        return np.asarray(np.where(new, number, 1).max(axis=1, initial=1))

    def and_then(self, start_h: Floats, place: Indices) -> "Stays":
        """The same with one stay more each, (batches,), which takes the place of the repeats."""
        more = np.arange(self.start_h.shape[1] + 1) >= self.counts()[:, None]
        starts = np.column_stack([self.start_h, start_h])
        places = np.column_stack([self.place, place])
        return Stays(
            np.where(more, start_h[:, None], starts), np.where(more, place[:, None], places)
        )

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
    def last_begun_of(begins: Floats, lines: Indices, value: Floats) -> Indices:
        """:meth:`last_begun` of single batches ``lines``, which may repeat; all of shape (n,)."""
        stay = np.zeros(value.shape, dtype=np.intp)
        for number in range(1, begins.shape[1]):
            stay += begins[lines, number] <= value
        return stay

    @staticmethod
    def entry(table: npt.NDArray[_T], stay: Indices) -> npt.NDArray[_T]:
        """Entries of a (batches, most stays) table for stays of shape (batches, n).

        Of batches with a single stay each its column (batches, 1), which holds at all n.
        """
        found = table[:, :1]
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
