"""What ends a batch beside softening: ripe life, and the allowances that cold and time use up."""

from dataclasses import dataclass

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.dates import DateRange
from ripenroom.science.gained import RipeLife
from ripenroom.science.progress import Progress
from ripenroom.science.softening import Floats


@dataclass(frozen=True, slots=True)
class UsedUp:
    """An allowance of every batch: shares of it that are used up, 1 when it is gone.

    ``low`` and ``high`` (batches,) are the shares of the middle allowance at which the 80 % range
    of the allowance begins and ends.
    """

    used: Progress
    low: Floats
    high: Floats

    def of(self, lines: Indices | slice) -> "UsedUp":
        """That of some batches only."""
        return UsedUp(self.used.of(lines), self.low[lines], self.high[lines])

    def out(self) -> DateRange:
        """When it is gone; inf where it never is."""
        shares = np.column_stack([self.low, np.ones(self.low.size), self.high])
        return DateRange.of_columns(self.used.when(shares))


@dataclass(frozen=True, slots=True)
class Limits:
    """Clocks beside softening that can end a batch: ripe life, chilling, storage life and frost.

    Fruit whose ``frost`` is used up is frozen.
    """

    ripe_life: RipeLife
    chilling: UsedUp
    storage: UsedUp
    frost: UsedUp

    def of(self, lines: Indices | slice) -> "Limits":
        """The limits of some batches only."""
        return Limits(
            self.ripe_life.of(lines),
            self.chilling.of(lines),
            self.storage.of(lines),
            self.frost.of(lines),
        )

    @property
    def allowances(self) -> tuple[UsedUp, UsedUp, UsedUp]:
        """Those that end all fruit of a batch at once."""
        return self.chilling, self.storage, self.frost

    def out_h(self) -> Floats:
        """When the first allowance is gone (h), (batches,); inf where none ever is."""
        whole = np.ones((self.chilling.low.size, 1))
        out = [allowance.used.when(whole)[:, 0] for allowance in self.allowances]
        return np.asarray(np.minimum.reduce(out))
