"""How far off a crop is from a source that it did not know: each is left out once.

The figures are inferred from all other sources, and what the program then says of the cases of the
one left out is compared with what that one says. The spreads between sources are those of the
whole library; one source among hundreds hardly moves them.
"""

import math
import statistics
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from ripenroom.records.crop.profile import LeftOut
from ripenroom.records.crop.statement import Asks, Statement
from ripenroom.science.softening import Floats
from ripenroom.season.published import WrittenCrop, said
from tests.fits.effects import Fit
from tests.fits.laplace import Problem, Top, height, top
from tests.fits.written import document_with

_AGAIN, _HALVINGS = 2, 6

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
    for source, others in zip(sources, _without_each(fit, sources), strict=True):
        crops[source] = WrittenCrop.of_document(document_with(others))
    mine = model.statements[: model.published]
    found = said(crops, [(one.source, one) for one in mine])
    # A figure that is published is no case in which the program could be right or wrong.
    for one, *ends in zip(mine, found.low, found.mid, found.high, strict=True):
        if one.asks is Asks.FIGURE:
            continue
        low, middle, high = (float(end) for end in ends)
        yield Missed(one, low, middle, high)


def _without_each(fit: Fit, sources: list[str]) -> list[Fit]:
    """The fit without each source, looked for from that with all of them, for all at once.

    Slopes are taken to be those with all sources. A step counts only if what the program says in
    full makes the statements that are left more likely: dates are the earliest of several ends,
    and beyond a bend in them slopes lead astray.
    """
    model, count = fit.model, fit.figures.size
    precision = np.asarray(np.linalg.inv(fit.problem.covariance), dtype=float)
    exact = model.said(fit.figures)
    ways = [_Without(fit, np.array([one.source != s for one in model.statements])) for s in sources]
    for way in ways:
        way.stand(fit.found.at, exact, precision)
    for _ in range(_AGAIN):
        steps = [top(way.problem, way.at).at - way.at for way in ways]
        trying = list(range(len(ways)))
        for halving in range(_HALVINGS):
            tried = []
            for n in trying:
                there = ways[n].at + steps[n] / 2.0**halving
                there[:count] = model.possible(there[:count], ways[n].at[:count])
                tried.append(there)
            said_there = model.said_at([there[:count] for there in tried])
            trying = [
                n
                for n, there, row in zip(trying, tried, said_there, strict=True)
                if not ways[n].step(there, row, precision)
            ]
            if not trying:
                break
    return [replace(fit, found=Top(way.at, top(way.problem, way.at).covariance)) for way in ways]


class _Without:
    """Where the search without one source stands."""

    problem: Problem
    at: Floats
    height: float

    def __init__(self, fit: Fit, kept: np.ndarray) -> None:
        self._kept, self._count = kept, fit.figures.size
        self._of = fit.problem.of(kept)

    def stand(self, at: Floats, said: Floats, precision: Floats) -> None:
        """Stand at some unknowns, where the program says ``said`` of all statements."""
        self.problem, self.height = self._seen_from(at, said, precision)
        self.at = at

    def step(self, at: Floats, said: Floats, precision: Floats) -> bool:
        """Stand there if that is higher."""
        if self._seen_from(at, said, precision)[1] <= self.height:
            return False
        self.stand(at, said, precision)
        return True

    def _seen_from(self, at: Floats, said: Floats, precision: Floats) -> tuple[Problem, float]:
        figures = at[: self._count]
        problem = self._of.at_figures(figures, said[self._kept], self._of.slopes)
        return problem, height(problem, precision, at)


def summary(missed: Iterable[Missed]) -> LeftOut:
    """What a profile tells of its errors."""
    known = list(missed)
    errors = sorted(one.error_pct for one in known)
    return LeftOut(
        sources=len({one.statement.source for one in known}),
        statements=len(known),
        median_pct=round(statistics.median(errors)),
        tenth_pct=round(errors[math.ceil(0.9 * len(errors)) - 1]),
        worst_pct=round(errors[-1]),
        in_range=sum(one.in_range for one in known),
    )
