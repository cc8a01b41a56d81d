"""How old a batch's fruit is at pick: what is believed of the mean, and how single fruit differ.

Age is physiological: dimensionless, 0 at the midpoint of softening (:mod:`.softening`). Ages of a
batch's fruit are a sum of bell curves, its *bands*: one for most batches, several where hard and
soft fruit are kept together. Bands are in units of the batch's own ``fruit_sd`` around its mean
age, so that whoever learns that the batch is older, or differs more, moves all its bands.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from ripenroom.science.clock import Indices
from ripenroom.science.compiled import ndtr, ndtri
from ripenroom.science.softening import Floats

FIRST_SHARE = 0.1
OPEN_SHARE = 0.5
PAST_SHARE = 0.2
"""Shares of the fruit that can ripen: first ready, ready at the opening, past at the closing."""

_LEVELS = 1.0 - np.array([FIRST_SHARE, OPEN_SHARE, PAST_SHARE])

_HALVINGS = 40

_LEAST_PART, _NEARLY_ALL_SDS = 0.01, 2.0
"""Bands of fewer fruit, and fruit farther out in its band, are not waited for."""


@dataclass(frozen=True, slots=True)
class Bands:
    """Bands of every batch, shape (batches, bands), the largest first.

    ``part`` is the share of the batch's fruit that can ripen (0: no band), ``off_sds`` how far the
    band's mean lies from the batch's, ``sds`` its own sd; both in units of batch's ``fruit_sd``.
    ``oldest_sds`` (batches, 3) is how far beyond the mean fruit is that is older than all but the
    first, the opening and the past share.
    """

    part: Floats
    off_sds: Floats
    sds: Floats
    oldest_sds: Floats

    @classmethod
    def bell(cls, batches: int) -> "Bands":
        """One bell curve each."""
        one = np.ones((batches, 1))
        return cls(one, np.zeros_like(one), one, np.tile(ndtri(_LEVELS), (batches, 1)))

    @classmethod
    def of_parts(cls, part: Floats, off_sds: Floats, sds: Floats) -> "Bands":
        """Bands with the quantiles that follow from them."""
        order = np.argsort(-part, axis=1, kind="stable")
        part, off_sds, sds = (
            np.take_along_axis(column, order, axis=1) for column in (part, off_sds, sds)
        )
        return cls(part, off_sds, sds, _quantiles(part, off_sds, sds))

    def with_room_for(self, bands: int) -> "Bands":
        """The same with columns for so many bands, the last of which are none."""
        more = ((0, 0), (0, bands - self.part.shape[1]))
        part, off_sds = np.pad(self.part, more), np.pad(self.off_sds, more)
        return Bands(part, off_sds, np.pad(self.sds, more, constant_values=1.0), self.oldest_sds)

    def put(self, lines: Indices, other: "Bands") -> "Bands":
        """The same with some batches' bands as ``other`` has them, in its order."""
        whole = Bands(*(getattr(self, f.name).copy() for f in fields(Bands)))
        for f in fields(Bands):
            getattr(whole, f.name)[lines] = getattr(other, f.name)
        return whole

    def of(self, lines: Indices | slice) -> "Bands":
        """The bands of some batches only."""
        return Bands(*(getattr(self, f.name)[lines] for f in fields(Bands)))

    def several(self) -> npt.NDArray[np.bool_]:
        """Whether each batch has more than one band, (batches,)."""
        return np.asarray(self.part[:, 1:].any(axis=1))

    def youngest_sds(self) -> Floats:
        """How far from the mean fruit is that is younger than nearly all, (batches,)."""
        some = self.part >= _LEAST_PART
        youngest = self.off_sds - _NEARLY_ALL_SDS * self.sds
        return np.asarray(np.where(some, youngest, np.inf).min(axis=1))

    def each(self) -> "Iterator[tuple[Indices | slice, Floats, Floats, Floats]]":
        """Band by band: which batches have one, and as columns (batches, 1) its part, its offset
        and its sd in the batch's ``fruit_sd``. Every batch has a first."""
        yield slice(None), self.part[:, :1], self.off_sds[:, :1], self.sds[:, :1]
        there = self.part > 0.0
        # Of few batches hardly any has as many as the table has room for.
        for band in np.flatnonzero(there[:, 1:].any(axis=0)) + 1:
            lines = np.flatnonzero(there[:, band])
            own = lines[:, None], band
            yield lines, self.part[own], self.off_sds[own], self.sds[own]


def _quantiles(part: Floats, off_sds: Floats, sds: Floats) -> Floats:
    """Ages that all but each of the shares are younger than, by halving, (batches, shares)."""
    reach = off_sds.max(axis=1) + 6.0 * sds.max(axis=1), off_sds.min(axis=1) - 6.0 * sds.max(axis=1)
    high, low = (np.repeat(edge[:, None], _LEVELS.size, axis=1) for edge in reach)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        z = (middle[:, :, None] - off_sds[:, None, :]) / sds[:, None, :]
        younger = (part[:, None, :] * ndtr(z)).sum(axis=2) < _LEVELS
        low, high = np.where(younger, middle, low), np.where(younger, high, middle)
    return np.asarray((low + high) / 2.0)


_LOOKED_AT_SD = 2.0
"""Sd of the prior for the mean age once fruit was felt or measured: it hardly holds them back."""


@dataclass(frozen=True, slots=True)
class AgeAtPick:
    """Mean physiological age at pick [-], the sd of our doubt about it, and the fruit's own sd.

    Without ``bands`` fruit differ as one bell curve.
    """

    mean: Floats
    doubt_sd: Floats
    fruit_sd: Floats
    bands: Bands | None = None


@dataclass(frozen=True, slots=True)
class Prior:
    """What is believed before looking: mean age and its sd, and the usual fruit-to-fruit sd."""

    mean: Floats
    sd: Floats
    fruit_sd: Floats

    @property
    def wide(self) -> "Prior":
        """The prior for fruit that was looked at: as usual, but ready to be surprised."""
        return Prior(self.mean, np.maximum(self.sd, _LOOKED_AT_SD), self.fruit_sd)

    def of(self, lines: Indices) -> "Prior":
        """Of some batches only, which may repeat."""
        return Prior(self.mean[lines], self.sd[lines], self.fruit_sd[lines])
