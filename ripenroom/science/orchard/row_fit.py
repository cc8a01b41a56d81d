"""What sightings leave believed of the rows and their cultivars.

Unknown of a row: the tree days since bloom at which half of its fruit gives (``needs``), the log of
how much its fruit differ in that (``log_spread``), the log of how many it set (``log_fruit``) and
the log of its pace of softening on the tree (``log_pace``). Rows of a cultivar lie around
what it needs this season, differ and soften alike; so each row teaches of the others, and the
cultivar's part is carried to the next season.
"""

from dataclasses import dataclass

from ripenroom.science.clock import Indices
from ripenroom.science.orchard.sightings import Sightings
from ripenroom.science.orchard.tree_clock import TreeMarks
from ripenroom.science.softening import Floats

NEEDS, LOG_SPREAD, LOG_FRUIT, LOG_PACE = range(4)
"""Columns of what is unknown of a row."""

SHARED = (NEEDS, LOG_SPREAD, LOG_PACE)
"""Those which rows of a cultivar share, in the order of :class:`CultivarBelief`."""


@dataclass(frozen=True, slots=True)
class CultivarBelief:
    """Believed of each cultivar before a season or after it: means and sds, (cultivars, 3), of what
    it needs (tree days from bloom), of the log of the spread and of the log of the pace (0: as the
    marks have it)."""

    mean: Floats
    sd: Floats


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows, each (rows,): which ``cultivar``; at how many tree days it ``bloomed`` on its own
    clock, off by ``bloomed_sd``; and the usual number of ``fruit`` it sets, off by ``fruit_log_sd``
    in its log."""

    cultivar: Indices
    bloomed: Floats
    bloomed_sd: Floats
    fruit: Floats
    fruit_log_sd: Floats


@dataclass(frozen=True, slots=True)
class RowsBelief:
    """Believed of the rows after their sightings.

    ``mean`` (rows, 4) and ``covariance`` (rows, 4, 4); ``cultivars`` is what is believed of each
    cultivar this season. ``points`` (points, rows, 4) with ``weight`` (points, rows) are the same
    as a small sample, and ``hanging`` (points, rows, nodes) is the share of all fruit that nobody
    took from each node of the row's spread: what a forecast starts from.
    """

    rows: Rows
    marks: TreeMarks
    mean: Floats
    covariance: Floats
    cultivars: CultivarBelief
    points: Floats
    weight: Floats
    hanging: Floats


def learn(
    rows: Rows,
    marks: TreeMarks,
    cultivars: CultivarBelief,
    sightings: Sightings,
    before: RowsBelief | None = None,
) -> RowsBelief:
    """All rows learned from all sightings; ``before`` is where the search starts, if it is of the
    same rows."""
    raise NotImplementedError


def learn_cultivar(
    before: RowsBelief, cultivar: int, cultivars: CultivarBelief, sightings: Sightings
) -> RowsBelief:
    """What :func:`learn` would say, where only this cultivar's rows were seen anew."""
    raise NotImplementedError


def carried(before: CultivarBelief, after: CultivarBelief, season_sd: float) -> CultivarBelief:
    """What to believe of the cultivars before the next season.

    ``before`` and ``after`` are the beliefs about this season; what a cultivar needs differs from
    season to season by ``season_sd`` tree days, which was in ``before`` and is in the next.
    """
    raise NotImplementedError
