"""Forecasts for many possible journeys: how much fruit will be saleable, and how much past.

Fruit is saleable on a market day if it is not past when the market begins, and is ready then or
becomes ready where its buyers keep it, within the days in which they eat it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace

import numpy as np

from ripenroom.science.ages import Bands
from ripenroom.science.clock import Indices
from ripenroom.science.compiled import expit, logit, ndtr
from ripenroom.science.past_share import past_at_rate, past_share
from ripenroom.science.softening import Flags, Floats
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
        ready_at = np.broadcast_to(self.ready_age + ready_z * self.ready_sd, middle.shape)
        saleable, lost = np.zeros(middle.shape), np.zeros(middle.shape)
        for weight, course in self._courses(opening, middle.shape):
            lives, of_life = course.lives_at(life_z, middle.shape)
            fast_or_slow = np.exp(rate_z * course.of(self.start_rate_sd))
            start = course.of(self.at_start) * fast_or_slow
            lives = tuple(ago * fast_or_slow for ago in lives)
            horizon = course.of(self.at_horizon)
            horizon = horizon * np.exp(rate_z * course.of(self.horizon_rate_sd))
            for lines, part, off_sds, sds in self.bands.each():
                mean = middle[lines] + off_sds * self.fruit_sd[lines]
                sd = sds * self.fruit_sd[lines]
                ready_age, soft_age = ready_at[lines], self.too_soft_age[lines]
                ready = ndtr((mean + horizon[lines] - ready_age) / (sd + _SMALLEST_SD))
                ago = tuple(gained[lines] for gained in lives)
                counts = None if of_life is None else of_life[:, lines]
                past = past_at_rate(mean, start[lines], ago, sd, ready_age, soft_age, counts)
                there, parts = self.there[lines], part * weight[lines] * ripens[lines]
                saleable[lines] += parts * there * np.maximum(ready - past, 0.0)
                lost[lines] += parts * np.where(there > 0.0, past, 1.0)
        return saleable, lost

    def _courses(
        self, opening: Floats | None, shape: tuple[int, ...]
    ) -> "Iterator[tuple[Floats, _Course]]":
        """Courses with how much each counts: all of them, or one for each truth where an
        ``opening`` says which it has."""
        courses = self.weight.shape[2]
        if opening is None or courses == 1:
            for number in range(courses):
                yield self.weight[:, :, number], _Course(self, np.array(number))
            return
        upto = np.cumsum(self.weight, axis=2)[:, :, :-1]
        of_truth = (np.broadcast_to(opening, shape)[:, :, None] >= upto).sum(axis=2)
        yield np.ones((shape[0], 1)), _Course(self, of_truth)

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


@dataclass(frozen=True, slots=True)
class _Course:
    """One course of prospects, by its ``number``: one for all, or one for each pair and truth."""

    prospects: Prospects
    number: Indices

    def of(self, column: Floats, life: Indices | None = None) -> Floats:
        """What a column of prospects has on this course, and for one clock of ripe life of each
        pair and truth."""
        pairs, days = np.ogrid[: column.shape[0], : column.shape[1]]
        which = (pairs, days, self.number)
        return np.asarray(column[which if life is None else (*which, life)])

    def lives_at(
        self, life_z: Floats | None, shape: tuple[int, ...]
    ) -> tuple[tuple[Floats, ...], Floats | None]:
        """Ages gained one ripe life before the start, by all clocks (None: all alike likely); or,
        where ripe life runs so many sds fast in each truth, by the two clocks on either side, with
        how near each is, (2, pairs, truths)."""
        ripe_ago = self.prospects.ripe_ago
        lives = ripe_ago.shape[3]
        if life_z is None or lives < 2:
            return tuple(self.of(ripe_ago, np.array(life)) for life in range(lives)), None
        from_slow = np.interp(np.broadcast_to(life_z, shape), even_z(lives), np.arange(lives))
        slower = np.minimum(from_slow.astype(np.intp), lives - 2)
        nearer_fast = from_slow - slower
        # Clocks lie from fast to slow.
        slow, fast = (self.of(ripe_ago, lives - 1 - slower - n) for n in (0, 1))
        return (slow, fast), np.stack([1.0 - nearer_fast, nearer_fast])
