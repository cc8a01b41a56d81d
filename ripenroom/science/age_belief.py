"""What is believed of a batch's age at pick, before and after looking at its fruit."""

from dataclasses import dataclass

import numpy as np

from ripenroom.science.bands import Bands
from ripenroom.science.clock import Indices
from ripenroom.science.softening import Floats

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
