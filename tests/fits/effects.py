"""What makes statements differ beside a crop's figures: sources, cultivars, and each by itself.

Their sds are estimated over all crops at once, since a crop has few sources: the variance of each
kind of effect is the mean of what its effects were found to be, squared, plus what is still not
known of them (the EM step for components of variance; Dempster, Laird & Rubin 1977, J. R. Stat.
Soc. B 39:1-38, from memory).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ripenroom.science.softening import Floats
from tests.fits.crop_model import WEIGHT, CropModel
from tests.fits.laplace import Problem, Top, top

SPREADS = ("source", "cultivar", "itself")
_START = {"source": 0.25, "cultivar": 0.25, "itself": 0.15}
_ROUNDS = 8
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
        """Sd by which the fruit of one farm differs from the book's."""
        return float(np.hypot(self.source, self.cultivar))


START = Spreads(**_START)


@dataclass(frozen=True)
class Fit:
    """A crop's figures as inferred, (figures,), with their covariance, and all effects."""

    model: CropModel
    found: Top
    spreads: Spreads
    kinds: tuple[str, ...]

    @property
    def figures(self) -> Floats:
        """The figures on their scales."""
        return self.found.at[: self.model.prior.mean.size]

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
    air: Floats | None = None,
    steps: int = 30,
) -> Fit:
    """A crop's figures from its statements, but for those of the source ``without``.

    ``start`` are figures to begin at: by default those written. ``air`` is
    :meth:`CropModel.air_doubt`, where it is known already.
    """
    kept = np.array([one.source != without for one in model.statements], dtype=bool)
    count = model.prior.mean.size
    begin = model.written() if start is None else start
    doubt = model.air_doubt(begin) if air is None else air
    effects, kinds, sds = _effects(model, spreads, doubt)
    covariance = np.zeros((count + sds.size,) * 2)
    covariance[:count, :count] = model.prior.covariance
    covariance[range(count, count + sds.size), range(count, count + sds.size)] = sds**2
    problem = Problem(
        said=lambda at: model.said(at)[kept],
        slopes=lambda at: model.slopes(at)[kept],
        effects=effects[kept],
        low=model.intervals[kept, 0],
        high=model.intervals[kept, 1],
        mean=np.concatenate([model.prior.mean, np.zeros(sds.size)]),
        covariance=covariance,
    )
    found = top(problem, np.concatenate([begin, np.zeros(sds.size)]), steps)
    return Fit(model, found, spreads, kinds)


def all_fitted(models: Iterable[CropModel]) -> tuple[Spreads, list[Fit]]:
    """Every crop's figures, and the spreads that make them most likely together."""
    spreads, fits = START, [fitted(model, START) for model in models]
    for _ in range(_ROUNDS):
        spreads = _estimated(fits)
        fits = [fitted(fit.model, spreads, fit.figures, steps=6) for fit in fits]
    return spreads, fits


def _estimated(fits: Sequence[Fit]) -> Spreads:
    found = {}
    for kind in SPREADS:
        total, number = _PRIOR_WEIGHT * _START[kind] ** 2, _PRIOR_WEIGHT
        for fit in fits:
            count = fit.model.prior.mean.size
            which = count + np.flatnonzero([k == kind for k in fit.kinds])
            total += float(
                (fit.found.at[which] ** 2 + np.diag(fit.found.covariance)[which]).sum()
            )
            number += which.size
        found[kind] = float(np.sqrt(total / number))
    return Spreads(**found)


def _effects(
    model: CropModel, spreads: Spreads, air: Floats
) -> tuple[Floats, tuple[str, ...], Floats]:
    """How effects add to statements, (statements, effects), of which kind each is, and its sd."""
    weights = np.array([WEIGHT[one.kind] for one in model.statements])
    columns, kinds, sds = [], [], []
    for kind, names in (
        ("source", [one.source for one in model.statements]),
        ("cultivar", [one.group for one in model.statements]),
    ):
        for name in sorted(set(names) - {""}):
            of_it = np.array([other == name for other in names], dtype=float)
            columns.append(of_it * (weights if kind == "source" else 1.0))
            kinds.append(kind)
            sds.append(getattr(spreads, kind))
    for n, weight in enumerate(weights):
        column = np.zeros(weights.size)
        column[n] = weight
        columns.append(column)
        kinds.append("itself")
        sds.append(spreads.itself)
    for n, sd in enumerate(air):
        column = np.zeros(weights.size)
        column[n] = 1.0
        columns.append(column)
        kinds.append("air")
        sds.append(max(float(sd), _OWN_SD))
    return np.array(columns).T, tuple(kinds), np.array(sds)
