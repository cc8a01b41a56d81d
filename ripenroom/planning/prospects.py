"""Forecasts for many possible journeys: how much fruit will be saleable, and how much past.

Fruit is saleable on a market day if it is not past when the market begins, and is ready then or
becomes ready where its buyers keep it, within the days in which they eat it.
"""

from dataclasses import dataclass, fields, replace

import numpy as np

from ripenroom.science.ages import Bands
from ripenroom.science.clock import Indices
from ripenroom.science.dates import Flags
from ripenroom.science.past import past_at_rate, past_share
from ripenroom.science.softening import Floats
from ripenroom.science.special import expit, logit, ndtr
from ripenroom.science.spread import even_z, shares_beyond

_SMALLEST_SD = 1e-9

_FAR_AGE = 1e6
"""No fruit is so far from ready, or from past."""


@dataclass(frozen=True, slots=True)
class Prospects:
    """Ages of fruit on journeys (first axis) at market days (second axis, or 1 where alike).

    Of the fruit: ``mean_age`` at pick, ``doubt_sd`` about it, ``fruit_sd`` from fruit to fruit and
    its ``bands``, ``ready_age`` with the doubt ``ready_sd`` about it, ``too_soft_age`` and
    ``ripens``, the share that can ripen, with ``ripens_sd``, the sd of its log odds.

    ``there`` is 1, or 0 where the fruit has used up an allowance by then.

    What depends on when a gate opens has a third axis, of courses that things can take, each as
    likely as its ``weight`` says: ``at_start`` and ``at_horizon``, the ages gained by the market's
    start and by the end of its buyers' days, ``start_rate_sd`` and ``horizon_rate_sd``, the sds of
    the log of the rates of these, and ``ripe_ago``, the ages gained one ripe life before the start
    by clocks from fast to slow (fourth axis; empty where there is no ripe life).
    """

    mean_age: Floats
    doubt_sd: Floats
    fruit_sd: Floats
    ready_age: Floats
    ready_sd: Floats
    too_soft_age: Floats
    ripens: Floats
    ripens_sd: Floats
    there: Floats
    at_start: Floats
    at_horizon: Floats
    start_rate_sd: Floats
    horizon_rate_sd: Floats
    ripe_ago: Floats
    weight: Floats
    bands: Bands

    def at(self, journey: Indices, day: Indices) -> "Prospects":
        """Single pairs of a journey and a market day, as columns of shape (pairs, 1)."""
        shape = self.at_start.shape[:2]

        def pairs(column: Floats) -> Floats:
            whole = np.broadcast_to(column, shape + column.shape[2:])
            return np.asarray(whole[journey, day][:, None])

        columns = {f.name: getattr(self, f.name) for f in fields(Prospects) if f.name != "bands"}
        found = {name: pairs(column) for name, column in columns.items()}
        return replace(self, **found, bands=self.bands.of(journey))

    def of(self, journeys: Indices) -> "Prospects":
        """Those of some journeys only."""
        found = {
            f.name: getattr(self, f.name)[journeys] for f in fields(Prospects) if f.name != "bands"
        }
        return replace(self, **found, bands=self.bands.of(journeys))

    def known_ready(self, journeys: Flags) -> "Prospects":
        """The same where fruit on these ``journeys`` was felt, each of it, to be ready for its
        buyers: in every truth all of it is saleable."""
        if not journeys.any():
            return self

        def told(column: Floats, value: float) -> Floats:
            own = journeys.reshape(-1, *[1] * (column.ndim - 1))
            return np.where(own, value, column)

        return replace(
            self,
            ripens=told(self.ripens, 1.0),
            there=told(self.there, 1.0),
            at_start=told(self.at_start, -_FAR_AGE),
            at_horizon=told(self.at_horizon, _FAR_AGE),
            start_rate_sd=told(self.start_rate_sd, 0.0),
            horizon_rate_sd=told(self.horizon_rate_sd, 0.0),
            ripe_ago=told(self.ripe_ago, -_FAR_AGE),
        )

    def expected(self) -> Floats:
        """Expected saleable share of all fruit, with every uncertainty in it."""
        share = np.zeros(self.at_start.shape[:2])
        for lines, part, off_sds, sds in self.bands.each():
            mean = self.mean_age[lines] + off_sds * self.fruit_sd[lines]
            sd = np.hypot(sds * self.fruit_sd[lines], self.doubt_sd[lines])
            ready_age, soft_age = self.ready_age[lines], self.too_soft_age[lines]
            for course in range(self.at_start.shape[2]):
                horizon = self.at_horizon[lines][:, :, course]
                horizon_sd = self.horizon_rate_sd[lines][:, :, course]
                start, ripe_ago = self._by_start(lines, course)
                start_sd = self.start_rate_sd[lines][:, :, course]
                (ready,) = shares_beyond((ready_age,), mean, horizon, sd, horizon_sd)
                past = past_share(mean, start, ripe_ago, sd, start_sd, ready_age, soft_age)
                counts = part * self.weight[lines, :, course]
                share[lines] += counts * np.maximum(ready - past, 0.0)
        return np.asarray(self.there * self.ripens * share)

    def expected_roughly(self) -> Floats:
        """:meth:`expected` at a fraction of the cost: doubt about the rate is added to the spread
        of ages, as if both were Normal. Off by 0.02 (sd) and, in the tails, by 0.06."""
        share = np.zeros(self.at_start.shape[:2])
        for lines, part, off_sds, sds in self.bands.each():
            mean = self.mean_age[lines] + off_sds * self.fruit_sd[lines]
            sd = np.hypot(sds * self.fruit_sd[lines], self.doubt_sd[lines]) + _SMALLEST_SD
            to_ready, to_soft = mean - self.ready_age[lines], mean - self.too_soft_age[lines]
            for course in range(self.at_start.shape[2]):
                horizon = self.at_horizon[lines][:, :, course]
                rate_sd = self.horizon_rate_sd[lines][:, :, course]
                spread = np.hypot(sd, horizon * rate_sd)
                ready = ndtr((to_ready + horizon * (1.0 + 0.25 * rate_sd * rate_sd)) / spread)
                start, ripe_ago = self._by_start(lines, course)
                spread = np.hypot(sd, start * self.start_rate_sd[lines][:, :, course])
                past = (
                    [ndtr((to_soft + start) / spread)]
                    if not ripe_ago
                    else [
                        ndtr(np.maximum(to_soft + start, to_ready + ago) / spread)
                        for ago in ripe_ago
                    ]
                )
                counts = part * self.weight[lines, :, course]
                share[lines] += counts * np.maximum(ready - sum(past) / len(past), 0.0)
        return np.asarray(self.there * self.ripens * share)

    def under(
        self,
        rate_z: Floats,
        age_z: Floats,
        ripens_z: Floats | None = None,
        life_z: Floats | None = None,
        opening: Floats | None = None,
        ready_z: Floats | float = 0.0,
    ) -> tuple[Floats, Floats]:
        """Shares (saleable, past) if the rate, the mean age, what can ripen, how fast ripe fruit
        uses up its life and the age at which it is ready are so many sds off, and gates open by the
        course at that quantile of all.

        What is left is how fruit differ. Without ``ripens_z`` the expected share can ripen, without
        ``life_z`` or ``opening`` shares are means over lives or courses. All arguments broadcast
        against (pairs, truths).
        """
        middle = self.mean_age + age_z * self.doubt_sd
        rate_z = np.broadcast_to(rate_z, middle.shape)
        ripens = np.broadcast_to(self._able(ripens_z), middle.shape)
        of_life = self._of_each_life(life_z, middle.shape)
        of_course = self._of_each_course(opening, middle.shape)
        ready_at = np.broadcast_to(self.ready_age + ready_z * self.ready_sd, middle.shape)
        saleable, lost = np.zeros(middle.shape), np.zeros(middle.shape)
        for lines, part, off_sds, sds in self.bands.each():
            mean = middle[lines] + off_sds * self.fruit_sd[lines]
            sd = sds * self.fruit_sd[lines]
            ready_age, soft_age = ready_at[lines], self.too_soft_age[lines]
            there, z = self.there[lines], rate_z[lines]
            for course in range(self.at_start.shape[2]):
                horizon = self.at_horizon[lines][:, :, course]
                horizon = horizon * np.exp(z * self.horizon_rate_sd[lines][:, :, course])
                start, ripe_ago = self._by_start(lines, course)
                factor = np.exp(z * self.start_rate_sd[lines][:, :, course])
                ago = tuple(gained * factor for gained in ripe_ago)
                ready = ndtr((mean + horizon - ready_age) / (sd + _SMALLEST_SD))
                lives = None if of_life is None else of_life[:, lines]
                past = past_at_rate(mean, start * factor, ago, sd, ready_age, soft_age, lives)
                weight = part * of_course[course][lines] * ripens[lines]
                saleable[lines] += weight * there * np.maximum(ready - past, 0.0)
                lost[lines] += weight * np.where(there > 0.0, past, 1.0)
        return saleable, lost

    def _of_each_course(self, opening: Floats | None, shape: tuple[int, ...]) -> Floats:
        """How much each course counts, (courses, pairs, truths) or (courses, pairs, 1)."""
        weight = np.moveaxis(self.weight, 2, 0)
        if opening is None:
            return weight
        upto = np.cumsum(weight, axis=0)
        at = np.broadcast_to(opening, shape)
        return np.asarray((upto - weight <= at) & (at < upto), dtype=float)

    def _of_each_life(self, life_z: Floats | None, shape: tuple[int, ...]) -> Floats | None:
        """How much each clock of ripe life, from fast to slow, counts where it runs so many sds
        fast: the two on either side, by how near they are; (lives, pairs, truths)."""
        lives = self.ripe_ago.shape[3]
        if life_z is None or not lives:
            return None
        slow_to_fast, z = even_z(lives), np.broadcast_to(life_z, shape)
        return np.stack([np.interp(z, slow_to_fast, own) for own in np.eye(lives)[::-1]])

    def _able(self, ripens_z: Floats | None) -> Floats:
        """The share that can ripen if its log odds are so many sds off their middle, which is so
        that the mean share is ``ripens``: to within 0.01, by the probit that a logistic resembles
        (MacKay 1992, Neural Computation 4:720-736, from memory)."""
        if ripens_z is None:
            return self.ripens
        wider = np.sqrt(1.0 + np.pi / 8.0 * np.square(self.ripens_sd))
        return np.asarray(expit(wider * logit(self.ripens) + ripens_z * self.ripens_sd))

    def _by_start(self, lines: Indices | slice, course: int) -> tuple[Floats, tuple[Floats, ...]]:
        """Ages gained by the start, and one ripe life before it."""
        lives = range(self.ripe_ago.shape[3])
        ripe_ago = tuple(self.ripe_ago[lines][:, :, course, life] for life in lives)
        return self.at_start[lines][:, :, course], ripe_ago
