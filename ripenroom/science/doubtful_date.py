"""Hours of dates with their 80 % ranges, and what can be done with them."""

from dataclasses import dataclass

import numpy as np

from ripenroom.science.softening import Flags, Floats


@dataclass(frozen=True, slots=True)
class DateRange:
    """Hours of a date: 80 % range and best estimate, shape (batches,).

    inf where it never comes; in an answer for others (:meth:`known`) nan.
    """

    low: Floats
    mid: Floats
    high: Floats

    def or_earlier(self, other: "DateRange") -> "DateRange":
        """Whichever comes first, edge by edge."""
        return DateRange(
            np.minimum(self.low, other.low),
            np.minimum(self.mid, other.mid),
            np.minimum(self.high, other.high),
        )

    def or_later(self, other: "DateRange") -> "DateRange":
        """Whichever comes last, edge by edge."""
        return DateRange(
            np.maximum(self.low, other.low),
            np.maximum(self.mid, other.mid),
            np.maximum(self.high, other.high),
        )

    def ordered(self) -> "DateRange":
        """The same with a range that holds its estimate."""
        return DateRange(np.minimum(self.low, self.mid), self.mid, np.maximum(self.high, self.mid))

    def known(self, never: Flags | None = None) -> "DateRange":
        """nan for what never comes, and where ``never``; that has no range either."""
        gone = ~np.isfinite(self.mid) if never is None else never | ~np.isfinite(self.mid)
        low, mid, high = (
            np.where(gone | ~np.isfinite(edge), np.nan, edge)
            for edge in (self.low, self.mid, self.high)
        )
        return DateRange(low, mid, high)
