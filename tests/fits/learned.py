"""Which figures statements tell something of, beyond what is believed of any soft fruit.

A figure on which statements hardly bear would be inferred to be its prior, which knows nothing of
the crop; an estimate that somebody reasoned, with its note, serves better. So a figure is inferred
only where statements make its doubt clearly less than the prior's. Which those are is found where
all figures are as likely as can be, since an estimate may itself stand where nothing bears on it.
"""

from collections.abc import Sequence

import numpy as np

from ripenroom.records.crop.statement import Statement
from ripenroom.science.softening import Floats
from tests.fits.crop_model import CropModel
from tests.fits.effects import Fit, Spreads, fitted_from_both

LEARNED = 0.75
"""A figure is inferred where its sd falls to this part of the prior's or less."""

STILL_LEARNED = 0.85
"""One that is marked as inferred stays so up to this part: no figure changes sides with every new
statement."""


def model_of(key: str, text: str, statements: Sequence[Statement], spreads: Spreads) -> CropModel:
    """The model of a crop whose figures are those that its statements tell something of."""
    whole = CropModel.of(key, text, statements)
    left = doubt_left(fitted_from_both(whole, spreads))
    most = np.where(whole.inferred, STILL_LEARNED, LEARNED)
    return whole.with_figures(np.flatnonzero(left <= most))


def doubt_left(fit: Fit) -> Floats:
    """Sd of each figure once all statements are read, as a part of what it was before."""
    prior = fit.model.prior
    after = np.diag(fit.found.covariance)[: prior.mean.size]
    return np.asarray(np.sqrt(after / np.diag(prior.covariance)))
