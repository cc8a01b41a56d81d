"""What makes statements differ beside a crop's figures: sources, cultivars, and each by itself.

Their sds are estimated over all crops at once, since a crop has few sources: the variance of each
kind of effect is the mean of what its effects were found to be, squared, plus what is still not
known of them (the EM step for components of variance; Dempster, Laird & Rubin 1977, J. R. Stat.
Soc. B 39:1-38, from memory).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ripenroom.science.softening import Floats
from tests.fits.crop_model import CropModel
from tests.fits.laplace import Problem, Top, effects_alone, log_within, top

SPREADS = ("source", "cultivar", "itself")
_START = {"source": 0.25, "cultivar": 0.25, "itself": 0.15}
_ROUNDS, _EM_STEPS = 1, 15
_LINEARISED = 16
_TAIL_STEPS = 2
_TAILS = 4.0
"""Degrees of freedom of the effects' tails: some statements are off by far more than most."""

_HALVINGS = 6
_LEAPS = 6
_GAIN = 0.05
"""Of the log of the posterior: less is no way up."""

_STAYS = 1e-2
"""Figures that move by less (log, age or logit) have been found: one percent."""

_OWN_SD = 0.02
"""Sd where no doubt about temperature is left: keeps the prior regular."""

_PRIOR_WEIGHT = 6.0
"""The start counts as so many effects: weak beside the some three hundred of all crops."""


@dataclass(frozen=True, slots=True)
class Spreads:
    """Sds (log) between sources of one kind, between cultivars, and of each statement by itself."""

    source: float
    cultivar: float
    itself: float

    @property
    def between_farms(self) -> float:
        """Sd by which the fruit of one farm differs from the book's: as much as what one source
        says in one place differs. (Cultivars that sources name differ by more, but a farm's own
        checks tell them soon.)"""
        return float(np.hypot(self.source, self.itself))


START = Spreads(**_START)


@dataclass(frozen=True)
class Fit:
    """A crop's figures as inferred, (figures,), with their covariance, and all effects."""

    problem: Problem
    model: CropModel
    found: Top
    spreads: Spreads
    kinds: tuple[str, ...]

    @property
    def figures(self) -> Floats:
        """The figures on their scales."""
        return self.found.at[: self.model.prior.mean.size]

    @property
    def log_posterior(self) -> float:
        """Log of the posterior at the figures and effects that were found, long tails and all, up
        to a constant: the higher of two fits of a crop is the likelier."""
        figures, effects = self.figures, self.found.at[self.figures.size :]
        prior = self.model.prior
        off = figures - prior.mean
        total = -0.5 * float(off @ np.linalg.solve(prior.covariance, off))
        own_sd = np.sqrt(np.diag(self.problem.covariance)[figures.size :])
        for n, kind in enumerate(self.kinds):
            if kind in SPREADS:
                square = (effects[n] / getattr(self.spreads, kind)) ** 2
                total -= 0.5 * (_TAILS + 1.0) * float(np.log1p(square / _TAILS))
            else:
                total -= 0.5 * float((effects[n] / own_sd[n]) ** 2)
        return total + float(log_within(self.problem.mu(self.found.at), self.problem)[0].sum())

    @property
    def sds(self) -> Floats:
        """Sd of each figure, that between farms included where it is a pace."""
        count = self.model.prior.mean.size
        own = np.diag(self.found.covariance)[:count]
        farms = np.where(self.model.prior.pace, self.spreads.between_farms, 0.0)
        return np.asarray(np.sqrt(own + farms**2))


def fitted(
    model: CropModel,
    spreads: Spreads,
    start: Floats | None = None,
    without: str | None = None,
    leaps: int = _LEAPS,
    steps: int = _LINEARISED,
    air: Floats | None = None,
) -> Fit:
    """A crop's figures from its statements, but for those of a source ``without``, looked for from
    ``start``: by default those written.

    Effects have long tails (Student's t): one source that is far off moves little. What the program
    says is taken as linear in the figures, and again around those found, until they stay. Dates are
    the earliest of several ends, and fruit may fail altogether: where no step along that line leads
    up, single figures are moved by themselves, also by ``leaps`` across such a cliff. There are at
    most so many ``steps``, and the likeliest of them is kept; ``air`` is
    :meth:`CropModel.air_doubt` where it is known already.
    """
    written = model.written()
    at = written if start is None else model.possible(start, written)
    problem, kinds = _problem(model, spreads, model.air_doubt(at) if air is None else air)
    kept = np.array([one.source != without for one in model.statements], dtype=bool)
    problem = problem.of(kept)

    def standing(at: Floats, problem: Problem) -> tuple[Problem, Top]:
        said, slopes = model.said_and_slopes(at)
        problem = problem.at_figures(at, said[kept], slopes[kept])
        start = np.concatenate([at, effects_alone(problem)[0]])
        return with_tails(problem, kinds, spreads, start)

    best: Fit | None = None
    settled = False
    for step in range(steps + 1):
        problem, found = standing(at, problem)
        alone, height = effects_alone(problem)
        here = Fit(
            problem, model, Top(np.concatenate([at, alone]), found.covariance), spreads, kinds
        )
        # A way up that takes far effects for as near as they were may lead down in truth.
        if best is None or here.log_posterior > best.log_posterior:
            best = here
        if step == steps or settled:
            break
        search = _Search(model, kept, problem, height)
        there = search.along(at, found.at[: at.size] - at)
        if there is None:
            there = search.each_alone(at, found.at[: at.size] - at)
        if leaps > 0 and (there is None or np.abs(there - at).max() < _STAYS):
            leapt = search.leap(at if there is None else there)
            there = there if leapt is None else leapt
            leaps = 0 if leapt is None else leaps - 1
        if there is None:
            break
        settled, at = bool(np.abs(there - at).max(initial=0.0) < _STAYS), there
    assert best is not None
    return best


def fitted_from_both(model: CropModel, spreads: Spreads) -> Fit:
    """:func:`fitted` from the figures that are written and from the prior's, the likelier of the
    two: what is written may stand behind a cliff that no search comes over."""
    both = [fitted(model, spreads), fitted(model, spreads, model.prior.mean)]
    return max(both, key=lambda fit: fit.log_posterior)


class _Search:
    """Ways up from figures at which a problem stands at ``height``."""

    def __init__(self, model: CropModel, kept: np.ndarray, problem: Problem, height: float) -> None:
        self._model, self._kept, self._problem, self._height = model, kept, problem, height

    def along(self, at: Floats, step: Floats) -> Floats | None:
        """The first of ever shorter parts of a step that leads up."""
        for halving in range(_HALVINGS):
            there = self._model.possible(at + step / 2.0**halving, at)
            if self._heights([there])[0] > self._height:
                return there
        return None

    def each_alone(self, at: Floats, step: Floats) -> Floats | None:
        """All single figures' parts of a step that lead up, if together they do, or the best."""
        return self._best_of(at, [np.eye(at.size)[n] * step[n] for n in range(at.size)])

    def leap(self, at: Floats) -> Floats | None:
        """One figure further along its scale, where that is higher."""
        sizes = [size * axis for axis in np.eye(at.size) for size in (-0.7, -0.2, 0.2, 0.7)]
        return self._best_of(at, sizes)

    def _best_of(self, at: Floats, steps: list[Floats]) -> Floats | None:
        ways = [self._model.possible(at + step, at) for step in steps]
        gains = self._heights(ways) - max(self._height, float(self._heights([at])[0]))
        best = int(np.argmax(gains))
        if gains[best] < _GAIN:
            return None
        together = at.copy()
        for way, gain in sorted(zip(ways, gains, strict=True), key=lambda pair: pair[1]):
            if gain > _GAIN:
                together = np.where(way != at, way, together)
        together = self._model.possible(together, at)
        both = [ways[best], together]
        return both[int(np.argmax(self._heights(both)))]

    def _heights(self, ways: list[Floats]) -> Floats:
        said = self._model.said_at(ways)[:, self._kept]
        slopes = self._problem.slopes
        return np.array(
            [
                effects_alone(self._problem.at_figures(way, row, slopes))[1]
                for way, row in zip(ways, said, strict=True)
            ]
        )


def with_tails(
    problem: Problem, kinds: Sequence[str], spreads: Spreads, start: Floats
) -> tuple[Problem, Top]:
    """The top where effects have long tails, and the problem with the sds that they have there."""
    count = problem.at.size
    found = top(problem, start)
    for _ in range(_TAIL_STEPS):
        squares = _squares(found, count)
        covariance = problem.covariance.copy()
        for n, kind in enumerate(kinds):
            if kind in SPREADS:
                sd = getattr(spreads, kind)
                covariance[count + n, count + n] = sd**2 / float(_weight(squares[n], sd))
        problem = replace(problem, covariance=covariance)
        found = top(problem, found.at)
    return problem, found


def all_fitted(models: Iterable[CropModel]) -> tuple[Spreads, list[Fit]]:
    """Every crop's figures, and the spreads that make them most likely together."""
    spreads, fits = START, [fitted_from_both(model, START) for model in models]
    for _ in range(_ROUNDS):
        around = fits
        for _ in range(_EM_STEPS):
            spreads = _estimated(around, spreads)
            around = [_refitted(fit, spreads) for fit in around]
        fits = [fitted(fit.model, spreads, fit.figures) for fit in fits]
    return spreads, fits


def _refitted(fit: Fit, spreads: Spreads) -> Fit:
    """The fit with other spreads, what the program says still taken as linear."""
    problem, found = with_tails(fit.problem, fit.kinds, spreads, fit.found.at)
    return Fit(problem, fit.model, found, spreads, fit.kinds)


def _squares(found: Top, count: int) -> Floats:
    """Expected square of each effect: what it was found to be, and its doubt."""
    return np.asarray(found.at[count:] ** 2 + np.diag(found.covariance)[count:])


def _weight(square: Floats, sd: float) -> Floats:
    """How much effects of some squares count: those far out are of a long tail, and count less."""
    return np.asarray((_TAILS + 1.0) / (_TAILS + square / sd**2))


def _estimated(fits: Sequence[Fit], before: Spreads) -> Spreads:
    found = {}
    for kind in SPREADS:
        total, number = _PRIOR_WEIGHT * _START[kind] ** 2, _PRIOR_WEIGHT
        for fit in fits:
            of_kind = np.flatnonzero([k == kind for k in fit.kinds])
            squares = _squares(fit.found, fit.figures.size)[of_kind]
            total += float((_weight(squares, getattr(before, kind)) * squares).sum())
            number += squares.size
        found[kind] = float(np.sqrt(total / number))
    return Spreads(**found)


def _problem(model: CropModel, spreads: Spreads, air: Floats) -> tuple[Problem, tuple[str, ...]]:
    """All but what the program says, and the kinds of the effects."""
    count = model.prior.mean.size
    effects, kinds, sds = _effects(model, spreads, air)
    covariance = np.zeros((count + sds.size,) * 2)
    covariance[:count, :count] = model.prior.covariance
    covariance[range(count, count + sds.size), range(count, count + sds.size)] = sds**2
    nothing = np.zeros(len(model.statements))
    problem = Problem(
        at=np.zeros(count),
        said=nothing,
        slopes=np.zeros((nothing.size, count)),
        effects=effects,
        low=model.intervals[:, 0],
        high=model.intervals[:, 1],
        mean=np.concatenate([model.prior.mean, np.zeros(sds.size)]),
        covariance=covariance,
    )
    return problem, kinds


def _effects(
    model: CropModel, spreads: Spreads, air: Floats
) -> tuple[Floats, tuple[str, ...], Floats]:
    """How effects add to statements, (statements, effects), of which kind each is, and its sd."""
    weights = model.weights
    columns, kinds, sds = [], [], []
    for kind, names in (
        ("source", [one.source for one in model.statements]),
        ("cultivar", [one.group for one in model.statements]),
    ):
        for name in sorted(set(names) - {""}):
            # How many times as long as elsewhere a source says it lasts is as free of its pace as
            # of that of its cultivar.
            of_it = np.array(
                [
                    other == name and one.times_at_c is None
                    for other, one in zip(names, model.statements, strict=True)
                ],
                dtype=float,
            )
            columns.append(of_it * (weights if kind == "source" else 1.0))
            kinds.append(kind)
            sds.append(getattr(spreads, kind))
    of_each = weights.size
    kinds += ["itself"] * of_each + ["air"] * of_each
    sds += [spreads.itself] * of_each + np.maximum(air, _OWN_SD).tolist()
    design = np.vstack([*columns, np.diag(weights), np.eye(of_each)])
    return design.T, tuple(kinds), np.array(sds)
