"""What sightings leave believed of the rows and their cultivars.

Unknown of a row: the tree days since bloom at which half of its fruit gives (``needs``), the log of
how much its fruit differ in that (``log_spread``), the log of how many it set (``log_fruit``) and
the log of its pace of softening on the tree (``log_pace``). Rows of a cultivar lie around what it
needs this season, and differ and soften alike; so each row teaches of the others, and the
cultivar's part is carried to the next season.

The mode of all unknowns is found by Fisher scoring. Rows touch one another only by the three
unknowns of their cultivar, so a step costs as much as there are rows. The covariance is that of a
Normal there; a small sample of each row's unknowns, each weighted by how its own likelihood differs
from that Normal, makes up for what is skew.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Final

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.orchard.cohort import (
    LOG_FRUIT,
    LOG_PACE,
    LOG_SPREAD,
    NEEDS,
    Followed,
    Z,
    follow,
)
from ripenroom.science.orchard.sightings import Sightings, SightingTable
from ripenroom.science.orchard.tree_clock import TreeMarks
from ripenroom.science.softening import Floats

SHARED: Final = (NEEDS, LOG_SPREAD, LOG_PACE)
"""Columns which rows of a cultivar share, in the order of :class:`CultivarBelief`."""

ROW_SD: Final = (2.0, 0.2, 0.15)
"""How far rows of one cultivar lie from it, in these unknowns (estimates)."""

_FAR = np.arange(3.2, 8.1, 0.8)
_STARTS = np.concatenate([np.linspace(-2.4, 2.4, 13), -_FAR, _FAR])
"""Where the search may start, in sds of what a cultivar needs. Far off as well: what is published
may be of another climate, or a bloom mistyped, and trees that were walked are not bare."""

_TRIES, _HALVINGS = 40, 8
_SETTLED = 1e-4
"""The search ends where a step would gain less log likelihood: within a fiftieth of an sd."""

_POINTS = 16
_MORE, _LESS = 2.0, 12.0
"""Points count at most so many log units more, or less, than the Normal says: less where fruit
would have to give that nobody felt, more only with care, as there are few points."""


@dataclass(frozen=True, slots=True)
class CultivarBelief:
    """Believed of each cultivar: means and sds, (cultivars, 3), of what it needs this season (tree
    days from bloom), of the log of the spread, and of the log of the pace (0: as the marks have
    it)."""

    mean: Floats
    sd: Floats

    def of(self, cultivars: Sequence[int]) -> "CultivarBelief":
        """Some of them."""
        return CultivarBelief(self.mean[[*cultivars]], self.sd[[*cultivars]])


@dataclass(frozen=True, slots=True)
class RowColumns:
    """The rows, each (rows,): which ``cultivar``; at how many tree days it ``bloomed`` on its own
    clock, off by ``bloomed_sd``; and the usual number of ``fruit`` it sets, off by ``fruit_log_sd``
    in its log."""

    cultivar: Indices
    bloomed: Floats
    bloomed_sd: Floats
    fruit: Floats
    fruit_log_sd: Floats

    def of(self, lines: Indices) -> "RowColumns":
        """Some of them."""
        return RowColumns(
            self.cultivar[lines],
            self.bloomed[lines],
            self.bloomed_sd[lines],
            self.fruit[lines],
            self.fruit_log_sd[lines],
        )


@dataclass(frozen=True, slots=True)
class RowsBelief:
    """What is believed of every row of trees once walks and picks have shown how far its fruit is.

    ``mean`` (rows, 4) and ``covariance`` (rows, 4, 4); ``of_cultivar`` (rows,) is the part of the
    doubt about what a row needs that all rows of its cultivar share. ``cultivars`` is what is
    believed of each cultivar this season. ``points`` (points, rows, 4) with ``weight`` (points,
    rows) are the same as a small sample, and ``kept`` (points, rows, nodes) the share of all fruit
    that nobody took from each node of the row's spread: what a forecast starts from.
    """

    rows: RowColumns
    marks: TreeMarks
    mean: Floats
    covariance: Floats
    of_cultivar: Floats
    cultivars: CultivarBelief
    points: Floats
    weight: Floats
    kept: Floats

    @classmethod
    def nothing(cls, rows: RowColumns, marks: TreeMarks, cultivars: CultivarBelief) -> "RowsBelief":
        """No row learned of yet."""
        number = rows.cultivar.size
        return cls(
            rows,
            marks,
            np.zeros((number, 4)),
            np.zeros((number, 4, 4)),
            np.zeros(number),
            cultivars,
            np.zeros((_POINTS, number, 4)),
            np.zeros((_POINTS, number)),
            np.zeros((_POINTS, number, Z.size)),
        )


def learn(
    rows: RowColumns, marks: TreeMarks, cultivars: CultivarBelief, sightings: Sightings
) -> RowsBelief:
    """All rows learned from all sightings, with ``cultivars`` as believed before this season."""
    belief = RowsBelief.nothing(rows, marks, cultivars)
    for cultivar in range(cultivars.mean.shape[0]):
        belief = learn_cultivar(belief, cultivar, cultivars, sightings)
    return belief


def learn_cultivar(
    before: RowsBelief, cultivar: int, cultivars: CultivarBelief, sightings: Sightings
) -> RowsBelief:
    """The rows of one cultivar learned, and all others as they were ``before``.

    ``cultivars`` is what was believed before the season and ``sightings`` are all of them; only
    those of this cultivar are looked at. What is found does not hang on what was believed
    ``before`` of its rows.
    """
    lines = np.flatnonzero(before.rows.cultivar == cultivar)
    if not lines.size:
        return before
    rows = replace(before.rows.of(lines), cultivar=np.zeros(lines.size, int))
    own = cultivars.of([cultivar])
    search = _Search(rows, before.marks.of(lines), own, sightings.of_rows(lines).table(lines.size))
    part = search.belief(search.mode(search.start()))

    def put(whole: Floats, new: Floats, axis: int = 0) -> Floats:
        changed = whole.copy()
        changed[(slice(None),) * axis + (lines,)] = new
        return changed

    mean, sd = before.cultivars.mean.copy(), before.cultivars.sd.copy()
    mean[cultivar], sd[cultivar] = part.cultivars.mean[0], part.cultivars.sd[0]
    return RowsBelief(
        before.rows,
        before.marks,
        put(before.mean, part.mean),
        put(before.covariance, part.covariance),
        put(before.of_cultivar, part.of_cultivar),
        CultivarBelief(mean, sd),
        put(before.points, part.points, 1),
        put(before.weight, part.weight, 1),
        put(before.kept, part.kept, 1),
    )


@dataclass(frozen=True, slots=True)
class _Step:
    """Where a step leads, half of what its slope promises to ``gain`` (cultivars,), and what
    solving it told."""

    rows: Floats
    cultivars: Floats
    gain: Floats
    own: Floats
    pull: Floats
    shared: Floats


class _Search:
    """The posterior of all unknowns and the way to its mode."""

    def __init__(
        self, rows: RowColumns, marks: TreeMarks, cultivars: CultivarBelief, table: SightingTable
    ) -> None:
        self.rows, self.marks, self.cultivars, self.table = rows, marks, cultivars, table
        number = rows.cultivar.size
        sd = np.zeros((number, 4))
        sd[:, SHARED] = ROW_SD
        sd[:, NEEDS] = np.hypot(sd[:, NEEDS], rows.bloomed_sd)
        sd[:, LOG_FRUIT] = rows.fruit_log_sd
        self.precision = sd**-2
        # Of a row's unknowns those that follow its cultivar's: (4, 3).
        self.follows = np.zeros((4, 3))
        self.follows[SHARED, range(3)] = 1.0

    def centre(self, cultivars: Floats) -> Floats:
        """Where rows are thought to lie if their cultivars are so, (rows, 4)."""
        centre = cultivars[self.rows.cultivar] @ self.follows.T
        centre[:, LOG_FRUIT] = np.log(self.rows.fruit)
        return centre

    def followed(self, at: Floats, slopes: bool) -> Followed:
        """The rows followed through their looks."""
        return follow(at, self.rows.bloomed, self.marks, self.table, slopes)

    def target(self, at: Floats, cultivars: Floats, log_likelihood: Floats) -> Floats:
        """Log posterior of each cultivar with its rows, (cultivars,)."""
        off = at - self.centre(cultivars)
        of_rows = log_likelihood - 0.5 * (self.precision * off * off).sum(axis=1)
        aside = (cultivars - self.cultivars.mean) / self.cultivars.sd
        return np.asarray(self._summed(of_rows) - 0.5 * np.square(aside).sum(axis=1))

    def start(self) -> tuple[Floats, Floats]:
        """Of each cultivar the likeliest of some needs: far off, where no fruit would give yet, the
        likelihood has other hills."""
        moved = np.zeros((_STARTS.size, *self.cultivars.mean.shape))
        moved[:, :, 0] = _STARTS[:, None] * self.cultivars.sd[:, 0]
        cultivars = self.cultivars.mean + moved
        at = np.stack([self.centre(some) for some in cultivars])
        seen = self.followed(at, slopes=False).log_likelihood
        likely = np.stack(
            [self.target(*start) for start in zip(at, cultivars, seen, strict=True)]
        ).argmax(axis=0)
        every = np.arange(self.rows.cultivar.size)
        return (
            at[likely[self.rows.cultivar], every],
            cultivars[likely, np.arange(likely.size)],
        )

    def mode(self, start: tuple[Floats, Floats]) -> tuple[Floats, Floats]:
        """Unknowns of rows and cultivars at the mode, by Fisher scoring with halved steps; each
        cultivar stops by itself."""
        at, cultivars = start
        seen = self.followed(at, slopes=True)
        here = self.target(at, cultivars, seen.log_likelihood)
        part = np.ones(here.size)
        for _ in range(_TRIES):
            step = self.step(at, cultivars, seen)
            part = np.where(step.gain > _SETTLED, np.minimum(2.0 * part, 1.0), 0.0)
            if not part.any():
                break
            for _ in range(_HALVINGS):
                next_at = at + part[self.rows.cultivar, None] * step.rows
                next_cultivars = cultivars + part[:, None] * step.cultivars
                seen = self.followed(next_at, slopes=True)
                there = self.target(next_at, next_cultivars, seen.log_likelihood)
                worse = (there < here) & (part > 0.0)
                if not worse.any():
                    break
                part = np.where(worse, 0.25 * part, part)
            else:
                break
            at, cultivars, here = next_at, next_cultivars, there
        return at, cultivars

    def step(self, at: Floats, cultivars: Floats, seen: Followed) -> _Step:
        """Newton's step with the expected curvature, cultivars eliminated last."""
        off = self.precision * (at - self.centre(cultivars))
        own = seen.curvature.copy()
        own[:, range(4), range(4)] += self.precision
        pulled = self.precision[:, :, None] * self.follows
        right = np.concatenate([(seen.slope - off)[:, :, None], pulled], axis=2)
        solved = np.linalg.solve(own, right)
        rows, pull = solved[:, :, 0], solved[:, :, 1:]
        shared = self._summed(
            np.einsum("rkc,rk,kd->rcd", self.follows[None], self.precision, self.follows)
            - np.einsum("rkc,rkd->rcd", pulled, pull)
        )
        prior = self.cultivars.sd**-2
        shared[:, range(3), range(3)] += prior
        lift = self._summed(np.einsum("rkc,rk->rc", pulled, rows))
        up = self._summed(off @ self.follows) + lift
        up -= prior * (cultivars - self.cultivars.mean)
        move = np.asarray(np.linalg.solve(shared, up[:, :, None])[:, :, 0], float)
        uphill = seen.slope - off
        gain = np.einsum("cd,cd->c", up - lift, move)
        rows = rows + np.einsum("rkc,rc->rk", pull, move[self.rows.cultivar])
        gain += self._summed(np.einsum("rk,rk->r", uphill, rows))
        return _Step(rows, move, 0.5 * gain, own, pull, shared)

    def belief(self, mode: tuple[Floats, Floats]) -> RowsBelief:
        """What is believed around the mode."""
        at, cultivars = mode
        seen = self.followed(at, slopes=True)
        step = self.step(at, cultivars, seen)
        together = np.linalg.inv(step.shared)
        of_cultivar = np.einsum(
            "rkc,rcd,rld->rkl", step.pull, together[self.rows.cultivar], step.pull
        )
        covariance = np.linalg.inv(step.own) + of_cultivar
        root = np.linalg.cholesky(covariance)
        aside = np.einsum("rkl,pl->prk", root, _standard_points())
        points = at + aside
        there = self.followed(points, slopes=False)
        as_normal = (
            seen.log_likelihood
            + np.einsum("rk,prk->pr", seen.slope, aside)
            - 0.5 * np.einsum("prk,rkl,prl->pr", aside, seen.curvature, aside)
        )
        apart = np.clip(there.log_likelihood - as_normal, -_LESS, _MORE)
        weight = np.exp(apart - apart.max(axis=0, initial=-np.inf))
        return RowsBelief(
            self.rows,
            self.marks,
            at,
            covariance,
            of_cultivar[:, NEEDS, NEEDS] / covariance[:, NEEDS, NEEDS],
            CultivarBelief(cultivars, np.sqrt(np.diagonal(together, axis1=1, axis2=2))),
            points,
            weight / weight.sum(axis=0),
            there.kept,
        )

    def _summed(self, of_rows: Floats) -> Floats:
        """Sums over the rows of each cultivar."""
        total = np.zeros((self.cultivars.mean.shape[0], *of_rows.shape[1:]))
        np.add.at(total, self.rows.cultivar, of_rows)
        return total


@cache
def _standard_points() -> Floats:
    """Points (points, 4) with the mean and covariance of a standard Normal, each with its mirror
    image."""
    half = np.random.default_rng(4).standard_normal((_POINTS // 2, 4))
    spread = np.linalg.cholesky(half.T @ half / half.shape[0])
    half = half @ np.linalg.inv(spread).T
    return np.concatenate([half, -half])
