"""How far off a crop is from a source that it did not know: each is left out once.

The figures are inferred from all other sources, and what the program then says of the cases of the
one left out is compared with what that one says. The spreads between sources are those of the
whole library; one source among hundreds hardly moves them.
"""

import math
import statistics
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ripenroom.records.crop.profile import LeftOutSources
from ripenroom.records.crop.statement import Asks, Statement
from ripenroom.season.published import WrittenCrop, said
from tests.fits.effects import Fit, fitted
from tests.fits.written import document_with

_STEPS = 3
"""One source moves figures little: so many steps find where to."""

MOST_PCT = 999.0
"""An error that is larger, or infinite, is told as this."""


@dataclass(frozen=True, slots=True)
class Missed:
    """A statement of a source that was left out, and what the program says of it: a middle with
    its 80 % range, in the statement's own unit."""

    statement: Statement
    low: float
    middle: float
    high: float

    @property
    def error_pct(self) -> float:
        """How far the program is from the middle of what is published, in percent of it; where
        only one end is published, from that end, and 0 beyond it."""
        return min(abs(self.statement.error(self.middle)) * 100.0, MOST_PCT)

    @property
    def outside_pct(self) -> float:
        """How far the program lies outside of what is published, in percent of its middle."""
        return min(abs(self.statement.off(self.middle)) * 100.0, MOST_PCT)

    @property
    def in_range(self) -> bool:
        """Whether what is published (its middle, or the side that is open) meets the range."""
        one = self.statement
        high = math.inf if math.isnan(self.high) else self.high
        low = math.inf if math.isnan(self.low) else self.low
        reaches = one.low is None or high >= one.middle - one.rounding
        return reaches and (one.high is None or low <= one.middle + one.rounding)


def left_out(fit: Fit) -> Iterator[Missed]:
    """Every statement of a crop, compared with what all sources but its own say."""
    model = fit.model
    sources = list(dict.fromkeys(one.source for one in model.statements))
    crops: dict[str, WrittenCrop] = {}
    air = model.air_doubt(fit.figures)
    for source in sources:
        others = fitted(
            model, fit.spreads, fit.figures, without=source, leaps=0, steps=_STEPS, air=air
        )
        crops[source] = WrittenCrop.of_document(document_with(others))
    mine = model.statements[: model.published]
    found = said(crops, [(one.source, one) for one in mine])
    # A figure that is published is no case in which the program could be right or wrong.
    for one, *ends in zip(mine, found.low, found.mid, found.high, strict=True):
        if one.asks is Asks.FIGURE:
            continue
        low, middle, high = (float(end) for end in ends)
        yield Missed(one, low, middle, high)


def summary(missed: Iterable[Missed]) -> LeftOutSources:
    """What a profile tells of its errors."""
    known = list(missed)
    errors = sorted(one.error_pct for one in known)
    return LeftOutSources(
        sources=len({one.statement.source for one in known}),
        statements=len(known),
        median_pct=round(statistics.median(errors)),
        tenth_pct=round(errors[math.ceil(0.9 * len(errors)) - 1]),
        worst_pct=round(errors[-1]),
        in_range=sum(one.in_range for one in known),
    )
