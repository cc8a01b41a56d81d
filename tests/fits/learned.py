"""Which figures statements tell something of, beyond what is believed of any soft fruit.

A figure on which a statement hardly bears would be inferred to be its prior, which knows nothing of
the crop; then an estimate that somebody reasoned, with its note, serves better. So a figure is
inferred only where statements make its doubt clearly less than the prior's.
"""

from collections.abc import Sequence

import numpy as np

from ripenroom.records.crop.document import CropDocument, Path
from ripenroom.records.crop.figures import INFERRED
from ripenroom.records.crop.statement import Statement
from ripenroom.science.softening import Floats
from tests.fits.crop_model import CropModel
from tests.fits.effects import Spreads, at_written

LEARNED = 0.75
"""A figure is inferred where its sd falls to this part of the prior's or less."""

STILL_LEARNED = 0.85
"""One that is marked as inferred stays so up to this part: no figure changes sides with every new
statement."""


def model_of(key: str, text: str, statements: Sequence[Statement], spreads: Spreads) -> CropModel:
    """The model of a crop whose figures are those that its statements tell something of."""
    return told_of(CropModel.of(key, text, statements), spreads)


def told_of(model: CropModel, spreads: Spreads) -> CropModel:
    """The model with those figures only."""
    most = np.array([
        STILL_LEARNED if is_inferred(model.document, n) else LEARNED for n in model.prior.paths
    ])  # fmt: skip
    return model.with_figures(np.flatnonzero(doubt_left(model, spreads) <= most))


def doubt_left(model: CropModel, spreads: Spreads) -> Floats:
    """Sd of each figure once all statements are read, as a part of what it was before, near the
    figures as they are written."""
    fit = at_written(model, spreads)
    count = model.prior.mean.size
    after = np.diag(fit.found.covariance)[:count]
    return np.asarray(np.sqrt(after / np.diag(model.prior.covariance)))


def is_inferred(document: CropDocument, path: Path) -> bool:
    """Whether a figure is marked as inferred in its profile."""
    return document.table(path)["source"] == INFERRED
