"""A row's fruit followed from look to look: what hangs, how it feels, what was taken.

The row's spread is cut into nodes; each carries the share of its fruit that nobody took
(``kept``). What is seen at a look is compared with what the nodes say, and what is picked is taken
from those that felt so, in the numbers that were written down. So a pick tells twice: there was at
least so much fruit to take, and from then on it is gone.

Everything is worked out for any number of points (points, rows, 4) at once, and for a single one
also by its derivatives: of each row its log likelihood, slope and expected curvature (Fisher).
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from ripenroom.science.clock import Indices
from ripenroom.science.compiled import gammaln, log_ndtr, ndtr
from ripenroom.science.orchard.sightings import Sightings, SightingTable
from ripenroom.science.orchard.tree_clock import FEELS, TreeMarks
from ripenroom.science.softening import Floats

NEEDS, LOG_SPREAD, LOG_FRUIT, LOG_PACE = range(4)
"""Columns of what is unknown of a row."""

Z: Final = np.linspace(-3.2, 3.2, 33)
"""Nodes of a row's spread, in its sds."""

WEIGHT: Final = np.exp(-0.5 * np.square(Z)) / np.exp(-0.5 * np.square(Z)).sum()

ODD_SHARE = 0.02
"""Part of the fruit that may feel like anything: bruised, diseased or misjudged (an estimate)."""

ALIKE = 0.03
"""How alike the fruit of one walk are beyond chance, as they hang on a few trees of the row: the
correlation within a sample (an estimate). A walk of n fruit tells as much as ``n / (1 + (n - 1)
ALIKE)`` independent ones."""

ALIKE_PICKED = 0.1
"""The same of fruit that was chosen for its feel."""

THOROUGH_RATE = 4.0
"""The log of the share that a pick takes of all fruit with give is minus an exponential of this
rate: 0.84 in the middle case, 0.56 in the least thorough of ten (an estimate)."""

PICK_LOG_SD = 0.15
"""How far off else a pick may be from what the nodes say, in its log (an estimate)."""

FOUND_SHARE = 0.7
"""Share of dropped fruit that is found before animals have it (an estimate)."""

GONE_LOG_SD = 0.02
"""How far off the count of all fruit taken or found is, in its log: miscounts (an estimate)."""

_FOUND_SHAPE = 2.0
"""Gamma shape of how much of it is found, about that share: half as much to twice as much."""

_FEWEST = 1e-9
_SHARP = 24.0
_ROOT = 1.0 / np.sqrt(2.0 * np.pi)


@dataclass(frozen=True, slots=True)
class Followed:
    """``log_likelihood`` (..., rows) and ``kept`` (..., rows, nodes); where asked for, ``slope``
    (rows, 4) and ``curvature`` (rows, 4, 4) of the log likelihood, the latter positive."""

    log_likelihood: Floats
    kept: Floats
    slope: Floats
    curvature: Floats


def follow(
    at: Floats, bloomed: Floats, marks: TreeMarks, table: SightingTable, slopes: bool = False
) -> Followed:
    """Follow all rows through their looks, at what is unknown of them (..., rows, 4).

    With ``slopes`` it is (rows, 4), and the derivatives come with it.
    """
    walk = _Walk(at, bloomed, marks, slopes)
    for look in range(table.looks):
        rows, seen = table.step(look)
        walk.see(rows, seen)
    walk.at_least(table.sightings.gone(bloomed.size))
    return Followed(walk.log, walk.kept, walk.slope, walk.curvature)


class _Walk:
    """The nodes on their way through the looks; derivatives in a last axis of four."""

    def __init__(self, at: Floats, bloomed: Floats, marks: TreeMarks, slopes: bool) -> None:
        shape = at.shape[:-1]
        self.at, self.bloomed, self.marks, self.slopes = at, bloomed, marks, slopes
        self.log = np.zeros(shape)
        self.kept = np.ones((*shape, Z.size))
        self.hung = np.ones((*shape, Z.size))
        self.fallen = np.zeros(shape)
        tail = (*shape, 4) if slopes else (0,)
        self.slope = np.zeros(tail)
        self.curvature = np.zeros((*shape, 4, 4) if slopes else (0,))
        nodes = (*shape, Z.size, 4) if slopes else (0,)
        self.d_kept, self.d_hung = np.zeros(nodes), np.zeros(nodes)
        self.d_fallen = np.zeros(tail)

    def see(self, rows: Indices, seen: Sightings) -> None:
        """Take in one look at each of some rows."""
        look = _Look(self, rows, seen)
        look.fallen()
        look.counted()
        look.felt()
        look.picked()

    def at_least(self, gone: Floats) -> None:
        """No row has set fewer fruit than were taken off it or found under it, (rows,)."""
        some = np.flatnonzero(gone > 0.0)
        over = self.at[..., some, LOG_FRUIT] - np.log(gone[some])
        z = over / GONE_LOG_SD
        self.log[..., some] += log_ndtr(z)
        if self.slopes:
            ratio = _ROOT * np.exp(-0.5 * z * z - log_ndtr(z))
            self.slope[some, LOG_FRUIT] += ratio / GONE_LOG_SD
            self.curvature[some, LOG_FRUIT, LOG_FRUIT] += ratio * (ratio + z) / GONE_LOG_SD**2


class _Look:
    """One look at each of some rows: shares of all of a row's fruit, by node and feel."""

    def __init__(self, walk: _Walk, rows: Indices, seen: Sightings) -> None:
        self.walk, self.rows, self.seen = walk, rows, seen
        at, marks = walk.at[..., rows, :], walk.marks.of(rows)
        spread = np.exp(at[..., LOG_SPREAD])[..., None]
        slower = np.exp(-at[..., LOG_PACE])[..., None]
        give = (walk.bloomed[rows] + at[..., NEEDS])[..., None] + spread * Z
        since = seen.tree_days[:, None] - give
        starts = slower[..., None] * marks.starts[:, None, :]
        z = (since[..., None] - starts) / marks.feel_sd[:, None, None]
        drop = slower * marks.drop[:, None]
        z_drop = (drop - since) / marks.drop_sd[:, None]
        past = ndtr(z)
        ones = np.ones_like(past[..., :1])
        self.feel = -np.diff(np.concatenate([ones, past, 0.0 * ones], axis=-1), axis=-1)
        self.hung = ndtr(z_drop)
        self.fruit = np.exp(at[..., LOG_FRUIT])
        if walk.slopes:
            d_since = np.zeros((*since.shape, 4))
            d_since[..., NEEDS], d_since[..., LOG_SPREAD] = -1.0, -spread * Z
            d_z = np.repeat(d_since[..., None, :], FEELS - 1, axis=-2)
            d_z[..., LOG_PACE] += starts
            density = _ROOT * np.exp(-0.5 * z * z) / marks.feel_sd[:, None, None]
            d_past = density[..., None] * d_z
            none = np.zeros_like(d_past[..., :1, :])
            self.d_feel = -np.diff(np.concatenate([none, d_past, none], axis=-2), axis=-2)
            d_drop = -d_since
            d_drop[..., LOG_PACE] -= drop
            density = _ROOT * np.exp(-0.5 * z_drop * z_drop) / marks.drop_sd[:, None]
            self.d_hung = density[..., None] * d_drop

    def fallen(self) -> None:
        """What dropped since the look before, and how likely what was found of it is."""
        walk, rows = self.walk, self.rows
        weight = WEIGHT * walk.kept[..., rows, :]
        fell = walk.hung[..., rows, :] - self.hung
        walk.fallen[..., rows] += (weight * fell).sum(axis=-1)
        walk.hung[..., rows, :] = self.hung
        if walk.slopes:
            d_fell = walk.d_hung[rows] - self.d_hung
            d_weight = WEIGHT[:, None] * walk.d_kept[rows]
            walk.d_fallen[rows] += np.einsum("rn,rnp->rp", weight, d_fell)
            walk.d_fallen[rows] += np.einsum("rnp,rn->rp", d_weight, fell)
            walk.d_hung[rows] = self.d_hung
        mine = np.flatnonzero(~np.isnan(self.seen.dropped))
        if not mine.size:
            return
        own, found = rows[mine], self.seen.dropped[mine]
        share = walk.fallen[..., own]
        expected = FOUND_SHARE * self.fruit[..., mine] * share + 0.5
        both = expected + _FOUND_SHAPE
        walk.log[..., own] += (
            gammaln(found + _FOUND_SHAPE)
            + found * np.log(expected / both)
            + _FOUND_SHAPE * np.log(_FOUND_SHAPE / both)
        )
        if walk.slopes:
            d_expected = FOUND_SHARE * self.fruit[mine, None] * walk.d_fallen[own]
            d_expected[:, LOG_FRUIT] += expected - 0.5
            rise = found / expected - (found + _FOUND_SHAPE) / both
            bend = _FOUND_SHAPE / (expected * both)
            self._add(mine, rise[:, None] * d_expected, bend, d_expected)
            walk.d_fallen[own] = 0.0
        walk.fallen[..., own] = 0.0

    def _hanging(self, mine: Indices) -> tuple[Floats, Floats]:
        """Shares of all fruit that hang and feel so (..., mine, feels), with their slopes."""
        walk, own = self.walk, self.rows[mine]
        on_tree = WEIGHT * walk.kept[..., own, :] * self.hung[..., mine, :]
        feel = self.feel[..., mine, :, :]
        amount = np.einsum("...n,...nf->...f", on_tree, feel)
        if not walk.slopes:
            return amount, np.zeros(0)
        d_on = WEIGHT[:, None] * (
            walk.d_kept[own] * self.hung[mine, :, None]
            + walk.kept[own, :, None] * self.d_hung[mine]
        )
        slope = np.einsum("rnp,rnf->rfp", d_on, feel)
        slope += np.einsum("rn,rnfp->rfp", on_tree, self.d_feel[mine])
        return amount, slope

    def counted(self) -> None:
        """How likely the number is that was counted or estimated on the trees."""
        mine = np.flatnonzero(~np.isnan(self.seen.hanging))
        if not mine.size:
            return
        amount, d_amount = self._hanging(mine)
        all_of_it = np.maximum(amount.sum(axis=-1), _FEWEST)
        sd = np.hypot(self.seen.hanging_log_sd[mine], 1.0 / np.sqrt(self.seen.hanging[mine] + 1.0))
        log = np.log(self.fruit[..., mine] * all_of_it)
        off = (np.log(np.maximum(self.seen.hanging[mine], 0.5)) - log) / sd
        self.walk.log[..., self.rows[mine]] -= 0.5 * off * off
        if self.walk.slopes:
            d_log = d_amount.sum(axis=-2) / all_of_it[:, None]
            d_log[:, LOG_FRUIT] += 1.0
            self._add(mine, (off / sd)[:, None] * d_log, 1.0 / sd**2, d_log)

    def felt(self) -> None:
        """How likely the counts by feel are."""
        mine = np.flatnonzero(self.seen.squeezed.sum(axis=-1) > 0.0)
        if mine.size:
            self._multinomial(mine, self.seen.squeezed[mine], ALIKE, *self._hanging(mine))

    def _multinomial(
        self, mine: Indices, counts: Floats, alike: float, amount: Floats, d_amount: Floats
    ) -> None:
        """How likely counts of fruit are whose feels have such amounts."""
        number = counts.sum(axis=-1)
        tells = 1.0 / (1.0 + np.maximum(number - 1.0, 0.0) * alike)
        total = np.maximum(amount.sum(axis=-1), _FEWEST)[..., None]
        part = amount / total
        feels = counts.shape[-1]
        share = (1.0 - ODD_SHARE) * part + ODD_SHARE / feels
        self.walk.log[..., self.rows[mine]] += tells * (counts * np.log(share)).sum(axis=-1)
        if self.walk.slopes:
            d_part = d_amount - part[..., None] * d_amount.sum(axis=-2, keepdims=True)
            d_share = (1.0 - ODD_SHARE) * d_part / total[..., None]
            slope = np.einsum("rf,rfp->rp", tells[:, None] * counts / share, d_share)
            self.walk.slope[self.rows[mine]] += slope
            bend = (tells * number)[:, None] / share
            own = self.rows[mine]
            self.walk.curvature[own] += np.einsum("rf,rfp,rfq->rpq", bend, d_share, d_share)

    def picked(self) -> None:
        """How likely the pick is; then it is taken off."""
        taken = self.seen.picked
        mine = np.flatnonzero(taken.sum(axis=-1) + self.seen.picked_unfelt > 0.0)
        if not mine.size:
            return
        amount, d_amount = self._hanging(mine)
        amount = np.maximum(amount, _FEWEST)
        counts, unfelt = taken[mine], self.seen.picked_unfelt[mine]
        self._thorough(mine, counts[:, 1:].sum(axis=-1) + unfelt, amount, d_amount)
        by_feel = np.where(counts[:, 1:].sum(axis=-1, keepdims=True) > 0.0, counts, 0.0)[:, 1:]
        d_give = d_amount[:, 1:] if self.walk.slopes else d_amount
        self._multinomial(mine, by_feel, ALIKE_PICKED, amount[..., 1:], d_give)
        self._take(mine, counts, unfelt, amount, d_amount)

    def _thorough(self, mine: Indices, number: Floats, amount: Floats, d_amount: Floats) -> None:
        """How likely it is that a pick found so much fruit with give: see THOROUGH_RATE."""
        some = np.flatnonzero(number > 0.0)
        if not some.size:
            return
        lines = mine[some]
        # Some fruit may feel like anything, so a pick is never of what can't be: else a wrong day
        # of bloom would be made up for by fruit without number.
        odd = ODD_SHARE * (FEELS - 1) / FEELS
        give = amount[..., some, 1:].sum(axis=-1) + odd * amount[..., some, :].sum(axis=-1)
        there = self.fruit[..., lines] * give
        sd = np.sqrt(PICK_LOG_SD**2 + 1.0 / number[some])
        left = np.log(there / number[some])
        z = left / sd - THOROUGH_RATE * sd
        self.walk.log[..., self.rows[lines]] += THOROUGH_RATE * (
            0.5 * THOROUGH_RATE * sd * sd - left
        ) + log_ndtr(z)
        if self.walk.slopes:
            d_give = d_amount[some, 1:].sum(axis=-2) + odd * d_amount[some].sum(axis=-2)
            d_left = d_give / give[:, None]
            d_left[:, LOG_FRUIT] += 1.0
            ratio = _ROOT * np.exp(-0.5 * z * z - log_ndtr(z))
            rise = ratio / sd - THOROUGH_RATE
            self._add(lines, rise[:, None] * d_left, ratio * (ratio + z) / sd**2, d_left)

    def _take(
        self, mine: Indices, counts: Floats, unfelt: Floats, amount: Floats, d_amount: Floats
    ) -> None:
        """Take what was picked from the nodes that felt so."""
        walk, own = self.walk, self.rows[mine]
        fruit = self.fruit[..., mine][..., None]
        give = amount[..., 1:].sum(axis=-1, keepdims=True)
        any_give = np.array([0.0] + [1.0] * (FEELS - 1))
        asked = (counts / amount + any_give * unfelt[:, None] / give) / fruit
        part, d_part = _at_most_one(asked)
        feel = self.feel[..., mine, :, :]
        stays = 1.0 - np.einsum("...f,...nf->...n", part, feel)
        if walk.slopes:
            d_give = d_amount[:, 1:].sum(axis=-2, keepdims=True)
            by_amount = (counts / (fruit * amount * amount))[..., None] * d_amount
            by_give = (any_give * unfelt[:, None] / (fruit * give * give))[..., None] * d_give
            d_asked = -by_amount - by_give
            d_asked[..., LOG_FRUIT] -= asked
            d_taken = np.einsum("rfp,rnf->rnp", d_part[..., None] * d_asked, feel)
            d_taken += np.einsum("rf,rnfp->rnp", part, self.d_feel[mine])
            walk.d_kept[own] = (
                walk.d_kept[own] * stays[..., None] - walk.kept[own, :, None] * d_taken
            )
        walk.kept[..., own, :] *= stays

    def _add(self, mine: Indices, slope: Floats, bend: Floats, of: Floats) -> None:
        """Add to the derivatives of some rows: a slope, and ``bend`` along ``of``."""
        own = self.rows[mine]
        self.walk.slope[own] += slope
        self.walk.curvature[own] += bend[:, None, None] * of[:, :, None] * of[:, None, :]


def _at_most_one(asked: Floats) -> tuple[Floats, Floats]:
    """A share that is ``asked`` as long as that is below 1, and never more than 1; and its slope.
    The corner is rounded within some hundredths, so that a search finds its way."""
    near = np.minimum(asked, 3.0)
    beyond = 1.0 + np.power(near, _SHARP)
    return near * np.power(beyond, -1.0 / _SHARP), np.power(beyond, -1.0 - 1.0 / _SHARP)
