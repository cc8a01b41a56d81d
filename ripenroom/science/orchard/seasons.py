"""What one season taught of its cultivars, and what several leave believed before the next.

Columns are those of :class:`CultivarBelief`: what a cultivar needs, the log of the spread, the log
of the pace. A season is a cultivar's usual way and that season's own difference from it.
"""

from typing import Final

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.orchard.row_fit import CultivarBelief
from ripenroom.science.softening import Floats

SEASON_SD: Final = (4.0, 0.1, 0.1)
"""How far what a cultivar needs (tree days) and the logs of spread and pace lie off from season to
season. Red Haven peaches in one county begin within 3 to 5 days of what their spring foretells
(Michigan State University Extension, Predicting Red Haven harvest date); the others are
estimates."""


def believed_before(
    usual: CultivarBelief, cultivar: Indices, taught: Floats, taught_sd: Floats
) -> CultivarBelief:
    """What is believed of this season before it is seen.

    ``usual`` is what the book says of each cultivar, of a usual season; ``taught`` (lessons, 3)
    with ``taught_sd`` is what one season each taught of a ``cultivar`` (lessons,), by itself.
    """
    weight = usual.sd**-2
    mean = weight * usual.mean
    of_lesson = 1.0 / (np.square(taught_sd) + np.square(np.array(SEASON_SD)))
    np.add.at(mean, cultivar, of_lesson * taught)
    np.add.at(weight, cultivar, of_lesson)
    return CultivarBelief(mean / weight, np.sqrt(1.0 / weight + np.square(np.array(SEASON_SD))))


def taught_by(before: CultivarBelief, after: CultivarBelief) -> tuple[Floats, Floats]:
    """What a season taught by itself, (cultivars, 3), and how sure it is: what was believed before
    it is taken out again. The sd is inf where it taught nothing, or next to nothing."""
    prior, now = before.sd**-2, after.sd**-2
    weight = now - prior
    told = weight > 0.02 * prior
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = (now * after.mean - prior * before.mean) / weight
        sd = 1.0 / np.sqrt(weight)
    return np.where(told, mean, before.mean), np.where(told, sd, np.inf)
