"""How likely counts by hand feel are.

Each feel is an interval of age, so the counts are an interval-censored Normal sample. One hand is
off by the same for the whole sample, so what the fruit seem to be is Normal around what they are;
that is integrated over the *seeming* mean age ``y``, since the error is larger than what twenty
fruit leave open, and a Normal would not do where all of them feel alike:

    L(x, s) = integral of P(counts | y, s) Normal(y - x; judgement_sd) dy

By the trapezoid rule on nodes that span all ``y`` at which the counts are likely, and do not depend
on ``x``. Fruit that can never ripen stays hard; ages are those of all other fruit. A fruit in
fifty may feel like anything: bruised, diseased, or misjudged; without that one odd fruit would make
all others seem to differ.

How much of a batch can ripen is partly its own (``own_sd``, of the log of the odds), which is
integrated as well. Else a packing, at which every fruit is squeezed, would say of all batches what
it says of one.
"""

from dataclasses import dataclass, fields

import numpy as np

from ripenroom.science.able_to_ripen import with_odds_times
from ripenroom.science.clock import Indices
from ripenroom.science.compiled import ndtr, sums_of_runs
from ripenroom.science.learning.expansion import Expansion, ThirdDerivatives
from ripenroom.science.softening import Floats

_NODES = np.linspace(0.0, 1.0, 32)

_SCAN = np.linspace(0.0, 1.0, 24)
_SCANS = 2
"""Where counts are likely is looked for twice: the log likelihood has one hill, so the second scan
need only span what is left by the first."""

_BEYOND = 6.0
"""So far beyond the outermost edges, in age, is looked for it."""

_WIDER = 1.35
"""How much more the fruit may turn out to differ than was thought when the nodes were laid."""

_UNLIKELY = 15.0
"""Log likelihoods this far below the greatest do not count."""

ODD_SHARE = 0.02
"""Part of the fruit that may feel like anything (an estimate)."""

_AS_LIKELY = 0.7
"""Log likelihoods this near to the greatest are as good: half as likely."""

_CLEAR_SDS = 4.0
"""Nearer to an open end of the nodes than this, in errors of the hand, nothing more is told."""

_ROUND = 1e-6

_FARTHEST_SDS = 37.0
"""Beyond this many sds a Normal's tail is nothing in double precision."""

_ROOT = 1.0 / np.sqrt(2.0 * np.pi)

_OWN = np.linspace(-4.5, 4.5, 19)
_OWN_LOG_WEIGHTS = -0.5 * _OWN**2 - np.log(np.exp(-0.5 * _OWN**2).sum())
_NO_OWN = np.zeros(1)
"""Levels, in sds, of what is a batch's own in the log of the odds that its fruit can ripen: near
enough for a hundred fruit, which tell it to a third of an sd."""


@dataclass(frozen=True, slots=True)
class FeelNodes:
    """Where the nodes of each check lie, ``low`` to ``high``, and what its counts tell alone: the
    mean age that the fruit ``seems`` to have, and its ``variance``; nan where not known yet.

    Where all fruit is hard, or too soft, it may be as young, or as old, as you like: the nodes are
    ``open`` at that end (-1 or 1, else 0), and ``seems`` is where that begins.
    """

    low: Floats
    high: Floats
    seems: Floats
    variance: Floats
    open: Floats

    @classmethod
    def unknown(cls, checks: int) -> "FeelNodes":
        """Of so many checks, none laid yet."""
        return cls(*(np.full(checks, np.nan) for _ in fields(cls)))

    def of(self, lines: Indices | slice) -> "FeelNodes":
        """Those of some checks only."""
        return FeelNodes(*(getattr(self, f.name)[lines] for f in fields(FeelNodes)))

    def put(self, lines: Indices, other: "FeelNodes") -> None:
        """Overwrite some lines by those of ``other``, in its order."""
        for f in fields(FeelNodes):
            getattr(self, f.name)[lines] = getattr(other, f.name)


@dataclass(frozen=True, slots=True)
class FeltChecks:
    """Counts of shape (checks, feels), hardest first. Made by :meth:`of`.

    ``walls`` (checks, feels + 1) are the ages that part the feels, increasing, endless at either
    end. ``judgement_sd`` is the sd in age by which one hand is off for the whole sample; ``ripens``
    the share of the batch that can ripen, and ``own_sd`` the sd of the log of its odds that is the
    batch's own.
    """

    counts: Floats
    walls: Floats
    judgement_sd: Floats
    ripens: Floats
    own_sd: Floats
    nodes: "FeelNodes"

    @classmethod
    def of(
        cls,
        counts: Floats,
        edges: Floats,
        judgement_sd: Floats,
        ripens: Floats,
        fruit_sd: Floats,
        known: "FeelNodes | None" = None,
        own_sd: Floats | None = None,
    ) -> "FeltChecks":
        """Checks of fruit that usually differ by ``fruit_sd``; without ``own_sd`` it is 0.

        ``edges`` (checks, feels - 1) are the walls between the feels. ``known`` are nodes that were
        laid before; where they are nan they are laid now.
        """
        nodes = known or FeelNodes.unknown(counts.shape[0])
        walls = np.pad(edges, ((0, 0), (1, 1)), constant_values=(-1e9, 1e9))
        own_sd = np.zeros(counts.shape[0]) if own_sd is None else own_sd
        checks = cls(counts, walls, judgement_sd, ripens, own_sd, nodes)
        fresh = np.flatnonzero(np.isnan(nodes.low))
        if fresh.size:
            nodes.put(fresh, checks._laid(fresh, fruit_sd[fresh]))
        return checks

    def share_softer(
        self, at: int, feel: int, mean_age: Floats, fruit_sd: float, able: float
    ) -> Floats:
        """Share of a batch's fruit that is felt to be softer than ``feel`` (numbered from the
        hardest), if the fruit has these mean ages when it is checked and differs by ``fruit_sd``;
        the shape of ``mean_age``. ``at`` is the number of the check, ``able`` by how much the log
        odds that a fruit can ripen are above what was thought.
        """
        z = (mean_age - self.walls[at, feel + 1]) / fruit_sd
        feels = self.counts.shape[1]
        odd = ODD_SHARE * (feels - feel - 1) / feels
        ripens = with_odds_times(self.ripens[at], np.exp(able))
        return np.asarray(odd + (1.0 - ODD_SHARE) * ripens * ndtr(z))

    def some(self, lines: Indices | slice) -> "FeltChecks":
        """Some of them only."""
        return FeltChecks(
            self.counts[lines],
            self.walls[lines],
            self.judgement_sd[lines],
            self.ripens[lines],
            self.own_sd[lines],
            self.nodes.of(lines),
        )

    def content(self) -> Floats:
        """What they are likely by; see :class:`Likelihood`."""
        nodes = self.nodes.low, self.nodes.high, self.nodes.open
        numbers = self.judgement_sd, self.ripens, self.own_sd
        return np.column_stack([self.counts, self.walls, *numbers, *nodes])

    def _laid(self, checks: Indices, fruit_sd: Floats) -> "FeelNodes":
        least, most = self.walls[checks, 1] - _BEYOND, self.walls[checks, -2] + _BEYOND
        low, high = least, most
        every = np.arange(checks.size)
        for _ in range(_SCANS):
            ages = low[:, None] + (high - low)[:, None] * _SCAN
            at_each, ripens, weight = self._with_own(checks, ages, np.zeros(checks.size))
            log = self._shares(checks, at_each, _WIDER * fruit_sd, ripens).log() + weight
            log = np.logaddexp.reduce(log.reshape(checks.size, -1, _SCAN.size), axis=1)
            below = log - log.max(axis=1, keepdims=True)
            likely = below >= -_UNLIKELY
            first, last = likely.argmax(axis=1), _SCAN.size - 1 - likely[:, ::-1].argmax(axis=1)
            # One step more on either side holds all of the hill.
            low = ages[every, np.maximum(first - 1, 0)]
            high = ages[every, np.minimum(last + 1, _SCAN.size - 1)]
        weight = np.exp(below)
        weight /= weight.sum(axis=1, keepdims=True)
        seems = np.einsum("cn,cn->c", weight, ages)
        variance = np.einsum("cn,cn->c", weight, np.square(ages - seems[:, None]))

        as_likely = below >= -_AS_LIKELY
        oldest = ages[every, _SCAN.size - 1 - as_likely[:, ::-1].argmax(axis=1)]
        youngest = ages[every, as_likely.argmax(axis=1)]
        end = np.where(low < least + _ROUND, -1.0, np.where(high > most - _ROUND, 1.0, 0.0))
        seems = np.where(end < 0.0, oldest, np.where(end > 0.0, youngest, seems))
        of_chance = np.square(fruit_sd) / self.counts[checks].sum(axis=1)
        return FeelNodes(low, high, seems, np.where(end == 0.0, variance, of_chance), end)

    def expand(
        self, checks: Indices, mean_age: Floats, fruit_sd: Floats, able: Floats
    ) -> Expansion:
        """Expansion of these checks; see :class:`Likelihood`."""
        return self._seen(checks, mean_age, fruit_sd, able).expansion()

    def expand_further(
        self, checks: Indices, mean_age: Floats, fruit_sd: Floats, able: Floats
    ) -> tuple[Expansion, ThirdDerivatives]:
        """The same with third derivatives."""
        seen = self._seen(checks, mean_age, fruit_sd, able)
        return seen.expansion(), seen.third()

    def _seen(
        self, checks: Indices, mean_age: Floats, fruit_sd: Floats, able: Floats
    ) -> "_SeemingAges":
        low, high = self.nodes.low[checks, None], self.nodes.high[checks, None]
        seeming = low + (high - low) * _NODES
        seeming, ripens, of_own = self._with_own(checks, seeming, able)
        shares = self._shares(checks, seeming, fruit_sd, ripens)
        error = self.judgement_sd[checks, None]
        held, inside = self._held(checks, mean_age)
        off = (seeming - held[:, None]) / error
        logs = shares.log() - 0.5 * off * off + of_own
        top = logs.max(axis=1, keepdims=True)
        weight = np.exp(logs - top)
        total = weight.sum(axis=1, keepdims=True)
        step = (high - low) * (_NODES[1] / error) * _ROOT
        value = (top + np.log(total * step))[:, 0]
        return _SeemingAges(shares, weight / total, off / error, error[:, 0], inside, value)

    def _with_own(
        self, checks: Indices, seeming: Floats, able: Floats
    ) -> tuple[Floats, Floats, Floats]:
        """Seeming ages (checks, n) once for each level of what is a batch's own; the share that can
        ripen there, and the log of the level's weight: (checks, levels n), or broadcast to that.
        """
        own_sd = self.own_sd[checks, None]
        if not own_sd.any():
            return seeming, with_odds_times(self.ripens[checks], np.exp(able))[:, None], _NO_OWN
        odds_times = np.exp(able[:, None] + own_sd * _OWN)
        ripens = with_odds_times(self.ripens[checks, None], odds_times)
        ages = seeming.shape[1]
        return (
            np.tile(seeming, (1, _OWN.size)),
            np.repeat(ripens, ages, axis=1),
            np.repeat(_OWN_LOG_WEIGHTS, ages),
        )

    def off_by(
        self, checks: Indices, mean_age: Floats, age_sd: Floats, fruit_sd: Floats, able: Floats
    ) -> Floats:
        """How many sds each check is off; see :class:`Likelihood`."""
        judgement_sd = self.judgement_sd[checks]
        sd = np.sqrt(self.nodes.variance[checks] + judgement_sd**2 + age_sd**2)
        return np.asarray((self.seeming_age(checks, mean_age) - mean_age) / sd)

    def seeming_age(self, checks: Indices, mean_age: Floats) -> Floats:
        """Mean age that the fruit of each check seems to have; see :class:`Likelihood`."""
        seems, end = self.nodes.seems[checks], self.nodes.open[checks]
        beyond = ((end > 0.0) & (mean_age > seems)) | ((end < 0.0) & (mean_age < seems))
        return np.where(beyond, mean_age, seems)

    def _held(self, checks: Indices, mean_age: Floats) -> tuple[Floats, Floats]:
        """Ages held within what open nodes tell, and 1 where that is no matter, else 0."""
        clear = _CLEAR_SDS * self.judgement_sd[checks]
        end = self.nodes.open[checks]
        low = np.where(end < 0.0, self.nodes.low[checks] + clear, -np.inf)
        high = np.where(end > 0.0, self.nodes.high[checks] - clear, np.inf)
        held = np.clip(mean_age, low, high)
        return held, (held == mean_age).astype(float)

    def _shares(
        self, checks: Indices, seeming: Floats, fruit_sd: Floats, able: Floats
    ) -> "_Shares":
        """Shares of the feels that any fruit had, at seeming mean ages (checks, n), if the share
        ``able`` of each batch can ripen, (checks, n or 1)."""
        counts = self.counts[checks]
        # Feels that no fruit had say nothing by themselves, and most counts are nil.
        had = counts > 0.0
        needed = np.pad(had, ((0, 0), (0, 1))) | np.pad(had, ((0, 0), (1, 0)))
        owner, wall = np.nonzero(needed)
        z = (self.walls[checks][owner, wall][:, None] - seeming[owner]) / fruit_sd[owner, None]
        z = np.clip(z, -_FARTHEST_SDS, _FARTHEST_SDS)
        line, feel = np.nonzero(had)
        number = np.cumsum(needed).reshape(needed.shape) - 1
        firm, soft = number[line, feel], number[line, feel + 1]
        below = ndtr(z)
        ripens, hard = able[line], np.where(feel == 0, 1.0, 0.0)[:, None]
        beyond_hard = below[soft] - below[firm] - hard
        share = hard + ripens * beyond_hard
        share = (1.0 - ODD_SHARE) * share + ODD_SHARE / counts.shape[1]
        ends = np.append(0, np.cumsum(had.sum(axis=1)))
        return _Shares(
            fruit=counts[line, feel],
            ends=ends,
            z=z,
            firm=firm,
            soft=soft,
            ripens=ripens,
            beyond_hard=beyond_hard,
            share=share,
        )


@dataclass(frozen=True, slots=True)
class _SeemingAges:
    """The integral over the seeming mean age: ``weight`` of each node and its slope ``x`` by the
    mean age, (checks, nodes). Derivatives of its log are cumulants over the nodes.
    """

    shares: "_Shares"
    weight: Floats
    x: Floats
    judgement_sd: Floats
    inside: Floats
    value: Floats

    def _mean(self, of_node: Floats) -> Floats:
        return np.asarray(np.einsum("cn,cn->c", self.weight, of_node))

    def _off_mean(self, of_node: Floats) -> Floats:
        return np.asarray(of_node - self._mean(of_node)[:, None])

    def expansion(self) -> Expansion:
        """Its log, with slopes and curvatures."""
        mean, x, inside = self._mean, self.x, self.inside
        s, ss, a, aa, sa = self.shares.slopes()
        mean_x, mean_s, mean_a = mean(x), mean(s), mean(a)
        return Expansion(
            value=self.value,
            x=inside * mean_x,
            s=mean_s,
            a=mean_a,
            xx=inside * (mean(x * x) - mean_x * mean_x - 1.0 / self.judgement_sd**2),
            xs=inside * (mean(x * s) - mean_x * mean_s),
            ss=mean(ss + s * s) - mean_s * mean_s,
            xa=inside * (mean(x * a) - mean_x * mean_a),
            sa=mean(sa + s * a) - mean_s * mean_a,
            aa=mean(aa + a * a) - mean_a * mean_a,
        )

    def third(self) -> ThirdDerivatives:
        """Its third derivatives by mean age and log spread, and by mean age and log odds."""
        mean, inside = self._mean, self.inside
        by_s, by_ss, sss = self.shares.by_log_spread()
        by_a, by_aa, aaa = self.shares.by_log_odds()
        x, s, ss = self._off_mean(self.x), self._off_mean(by_s), self._off_mean(by_ss)
        a, aa = self._off_mean(by_a), self._off_mean(by_aa)
        x2, s2, a2 = x * x, s * s, a * a
        return ThirdDerivatives(
            xxx=inside * mean(x2 * x),
            xxs=inside * mean(x2 * s),
            xss=inside * mean(x * (s2 + ss)),
            sss=mean(s * (s2 + 3.0 * ss) + sss),
            xxa=inside * mean(x2 * a),
            xaa=inside * mean(x * (a2 + aa)),
            aaa=mean(a * (a2 + 3.0 * aa) + aaa),
        )


@dataclass(frozen=True, slots=True)
class _Shares:
    """Expected shares of fruit in the feels of all checks, end to end, between standard walls.

    ``fruit`` (feels,) are the fruit of each, those of a check from one of the ``ends`` up to the
    next; ``z`` (walls, n) are the walls in sds above the mean, of which ``firm`` and ``soft`` are
    the numbers of each feel's own; ``ripens`` is the part of all fruit that has to do with the
    walls, and ``beyond_hard`` what that adds to a feel over fruit that stays hard.
    """

    fruit: Floats
    ends: Indices
    z: Floats
    firm: Indices
    soft: Indices
    ripens: Floats
    beyond_hard: Floats
    share: Floats

    def log(self) -> Floats:
        """Log likelihood of the counts."""
        return self._of_check(np.log(self.share))

    def slopes(self) -> tuple[Floats, Floats, Floats, Floats, Floats]:
        """Its first and second derivative by the log of the spread, by the log of the odds that a
        fruit can ripen, and by both."""
        part = (1.0 - ODD_SHARE) * self.ripens / self.share
        z2 = self.z * self.z
        moment = _moment(self.z, z2)
        s = self._between(moment) * part
        ss = self._between(moment * (z2 - 1.0)) * part - s * s
        a, aa = self._by_log_odds()
        return (
            self._of_check(s),
            self._of_check(ss),
            self._of_check(a),
            self._of_check(aa),
            self._of_check(s * (1.0 - self.ripens - a)),
        )

    def _by_log_odds(self) -> tuple[Floats, Floats]:
        """Of each feel the first two derivatives of its share's log by the log of the odds: of the
        share that ripens, r, the slope is r (1 - r)."""
        part = (1.0 - ODD_SHARE) * self.ripens / self.share
        a = self.beyond_hard * part * (1.0 - self.ripens)
        return a, a * (1.0 - 2.0 * self.ripens) - a * a

    def by_log_odds(self) -> tuple[Floats, Floats, Floats]:
        """Its first three derivatives by the log of the odds that a fruit can ripen."""
        a, aa = self._by_log_odds()
        inner = 1.0 - 2.0 * self.ripens
        aaa = a * (inner * inner - 2.0 * self.ripens * (1.0 - self.ripens))
        return (
            self._of_check(a),
            self._of_check(aa),
            self._of_check(aaa + a * a * (2.0 * a - 3.0 * inner)),
        )

    def by_log_spread(self) -> tuple[Floats, Floats, Floats]:
        """Its first three derivatives by the log of the spread."""
        part = (1.0 - ODD_SHARE) * self.ripens / self.share
        z2 = self.z * self.z
        moment, inner = _moment(self.z, z2), 1.0 - z2
        s = self._between(moment) * part
        ss = self._between(-moment * inner) * part
        sss = self._between(moment * (inner * inner - 2.0 * z2)) * part
        # Of a share's logarithm, from those of the share by itself.
        return (
            self._of_check(s),
            self._of_check(ss - s * s),
            self._of_check(sss - 3.0 * s * ss + 2.0 * s * s * s),
        )

    def _between(self, of_wall: Floats) -> Floats:
        """What a feel has by its two walls: by minus the share below a wall, or its slopes."""
        return np.asarray(of_wall[self.firm] - of_wall[self.soft])

    def _of_check(self, of_feel: Floats) -> Floats:
        """Summed over the fruit of each check."""
        return sums_of_runs(self.fruit, self.ends, of_feel)


def _moment(z: Floats, z2: Floats) -> Floats:
    """Minus the slope, by the log of the sd, of a Normal's share below a wall that lies ``z`` sds
    above its mean."""
    return np.asarray(z * np.exp(-0.5 * z2) * _ROOT)
