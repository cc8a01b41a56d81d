"""Age that every batch has gained by any hour, and what it had gained one ripe life before.

A fruit that became ready more than one ripe life ago is past. So besides the age gained by now it
matters what was gained by then: *then* is where the clock of ripe life, which sees the pulp as all
clocks do, ran one ripe life less.
"""

from dataclasses import dataclass, replace

import numpy as np

from ripenroom.science.batches import BatchAges
from ripenroom.science.clock import Indices
from ripenroom.science.gated_ageing import (
    AnyAgeing,
    GatedAgeing,
    in_days_that_count,
    in_days_that_count_at_common,
    ungated,
)
from ripenroom.science.progress import ClockAdvance
from ripenroom.science.reference_point import ReferencePoint
from ripenroom.science.softening import Floats

_NONE_BEYOND_SDS = 3.5
"""So many sds before the mean there is no fruit worth counting."""

_SAME_DAYS = 1e-6
"""Days this near to each other are the same; they are sums of many roundings."""


LIVES = 5
"""Clocks of ripe life."""


@dataclass(frozen=True, slots=True)
class RipeLifeClocks:
    """How long ripe fruit lasts: ``days`` (batches,) on the clock of ripe life; inf: for ever.

    ``clocks`` run from fast to slow: the 90, 70, 50, 30 and 10 % points of how fast ripe life is
    used up, by what is not known of its days and of how they depend on temperature; or the usual
    one alone.
    """

    clocks: tuple[ClockAdvance, ...]
    days: Floats

    def of(self, lines: Indices | slice) -> "RipeLifeClocks":
        """That of some batches only."""
        return RipeLifeClocks(tuple(clock.of(lines) for clock in self.clocks), self.days[lines])

    @property
    def usual(self) -> ClockAdvance:
        """The clock in the middle."""
        return self.clocks[len(self.clocks) // 2]

    @property
    def ends(self) -> tuple[ClockAdvance, ClockAdvance, ClockAdvance]:
        """The fastest, the usual and the slowest: ends and middle of the 80 % range."""
        return self.clocks[0], self.usual, self.clocks[-1]

    @property
    def known(self) -> bool:
        """Whether any batch has one."""
        return bool(np.isfinite(self.days).any())


@dataclass(frozen=True, slots=True)
class AgeGain:
    """Age gained by every batch since its reference point at the median rate, (batches, hours).

    A batch that was never checked has its pick for a reference point
    (:mod:`.reference_point`); before it the gain is negative. ``ripe_ago`` is what had been
    gained one ripe life before, by clocks from fast to slow or by the usual one alone; -inf
    where no ripe life has passed since the pick. Empty where no batch has a ripe life. ``rate_sd``,
    (batches, hours) or (batches, 1), is the sd of the log of the rate at which it was gained, and
    ``per_kj_mol`` what a kJ/mol more of activation energy adds to that log.
    """

    advance: Floats
    ripe_ago: tuple[Floats, ...]
    rate_sd: Floats
    per_kj_mol: Floats

    def of(self, lines: Indices | slice) -> "AgeGain":
        """What some batches have gained."""
        ripe_ago = tuple(ago[lines] for ago in self.ripe_ago)
        return AgeGain(self.advance[lines], ripe_ago, self.rate_sd[lines], self.per_kj_mol[lines])

    def at_hours(self, which: Indices) -> "AgeGain":
        """What was gained by some of the hours, which may repeat."""
        return AgeGain(
            self.advance[:, which],
            tuple(ago[:, which] for ago in self.ripe_ago),
            np.broadcast_to(self.rate_sd, self.advance.shape)[:, which],
            np.broadcast_to(self.per_kj_mol, self.advance.shape)[:, which],
        )

    @property
    def usual(self) -> "AgeGain":
        """The same by the usual clock alone."""
        middle = len(self.ripe_ago) // 2
        return replace(self, ripe_ago=self.ripe_ago[middle : middle + 1])


@dataclass(frozen=True, slots=True)
class Gaining:
    """Looks up :class:`AgeGain`. Made by :meth:`along`.

    ``slope`` counts ``d theta / d activation energy``. ``rate_per_day`` and ``begun`` (batches,)
    are each batch's rate and the age it gained by its reference point; ``earliest`` the advance
    below which none of its fruit can be ready.
    """

    ageing: AnyAgeing
    slope: ClockAdvance
    ripe_life: RipeLifeClocks
    way: ReferencePoint
    rate_per_day: Floats
    begun: Floats
    earliest: Floats

    @classmethod
    def along(
        cls,
        batches: BatchAges,
        way: ReferencePoint,
        ageing: AnyAgeing,
        slope: ClockAdvance,
        ripe_life: RipeLifeClocks,
    ) -> "Gaining":
        """Of batches on their ways (:func:`ripenroom.science.reference_point.on_way`)."""
        ages = batches.ages
        oldest = np.where(ages.part > 0.0, ages.off_sds + _NONE_BEYOND_SDS * ages.sds, -np.inf)
        reach = oldest.max(axis=1) * batches.fruit_sd + _NONE_BEYOND_SDS * batches.doubt_sd
        earliest = batches.ready_age - batches.mean_age - reach
        fastest = np.exp(np.sign(earliest) * -_NONE_BEYOND_SDS * way.rate_sd)
        begun = batches.rate_per_day * way.from_days
        return cls(ageing, slope, ripe_life, way, batches.rate_per_day, begun, earliest * fastest)

    def of(self, lines: Indices | slice) -> "Gaining":
        """Of some batches only."""
        return Gaining(
            self.ageing.of(lines),
            self.slope.of(lines),
            self.ripe_life.of(lines),
            self.way.of(lines),
            self.rate_per_day[lines],
            self.begun[lines],
            self.earliest[lines],
        )

    def with_ageing(self, ageing: AnyAgeing) -> "Gaining":
        """The same with gates opening at other hours."""
        return replace(self, ageing=ageing, way=self.way.along(ageing, self.slope))

    def at(self, hours: Floats) -> AgeGain:
        """Gained by each batch at its own hours, by the usual clock of ripe life alone; shapes
        (batches, n)."""
        days = self.ageing.at(hours)
        slope_days = in_days_that_count(self.ageing, self.slope, hours)
        per_kj_mol = self.way.per_kj_mol_until(days, slope_days)
        rate_sd = self.way.rate_sd_of(per_kj_mol)
        return AgeGain(self._age(days), self._usual_ago(hours), rate_sd, per_kj_mol)

    def usual_at(self, hours: Floats) -> AgeGain:
        """:meth:`at`, with the rate of the opening."""
        ripe_ago, way = self._usual_ago(hours), self.way
        rate_sd, per_kj_mol = way.rate_sd[:, None], way.per_kj_mol[:, None]
        return AgeGain(self.advance_at(hours), ripe_ago, rate_sd, per_kj_mol)

    def advance_at(self, hours: Floats) -> Floats:
        """Age gained by each batch at its own hours alone; shapes (batches, n)."""
        return self._age(self.ageing.at(hours))

    def at_common(self, hours: Floats) -> AgeGain:
        """Gained at increasing ``hours`` (n,), the same for all batches; answers (batches, n)."""
        days = self.ageing.at_common(hours)
        slope_days = in_days_that_count_at_common(self.ageing, self.slope, hours)
        per_kj_mol = self.way.per_kj_mol_until(days, slope_days)
        advance = self._age(days)
        ripe_ago = tuple(self._ago_at_common(clock, hours, advance) for clock in self._clocks)
        return AgeGain(advance, ripe_ago, self.way.rate_sd_of(per_kj_mol), per_kj_mol)

    @property
    def _clocks(self) -> tuple[ClockAdvance, ...]:
        """The clocks of ripe life; none where no batch has one."""
        return self.ripe_life.clocks if self.ripe_life.known else ()

    def _age(self, days: Floats) -> Floats:
        """Reference days since the pick as age since the reference point, in place."""
        days *= self.rate_per_day[:, None]
        days -= self.begun[:, None]
        return days

    def _usual_ago(self, hours: Floats) -> tuple[Floats, ...]:
        return (self._ago(self.ripe_life.usual, hours),) if self.ripe_life.known else ()

    def _ago(self, clock: ClockAdvance, hours: Floats) -> Floats:
        days = self.ripe_life.days[:, None]
        finite = np.isfinite(days)
        used = np.where(finite, clock.at(hours) - np.where(finite, days, 0.0), -1.0)
        ago = self._age(self.ageing.at(clock.when(used)))
        # Fruit that could have been ready before it was picked has no such limit yet; the very end
        # of its ripe life, which may be its best day, still counts.
        return np.where(used > _SAME_DAYS, ago, -np.inf)

    def _ago_of(self, lines: Indices, clock: ClockAdvance, hours: Floats) -> Floats:
        """:meth:`_ago` of single batches, which have a ripe life, and hours; (n,)."""
        used = clock.at_single(lines, hours) - self.ripe_life.days[lines]
        days = self.ageing.at_single(lines, clock.when_single(lines, used))
        ago = days * self.rate_per_day[lines] - self.begun[lines]
        return np.where(used > _SAME_DAYS, ago, -np.inf)

    def _ago_at_common(self, clock: ClockAdvance, hours: Floats, advance: Floats) -> Floats:
        """Read from the clocks of each batch's last place, which all batches there share.

        Where the ripe life reaches back beyond that stay, or to pulp that had not settled, it is
        followed batch by batch, but only if any of the batch's fruit can be ready by then; where
        none can, and its gate was not wholly open, nothing is told either.
        """
        plain, days = ungated(self.ageing), self.ripe_life.days
        room = clock.clock[:, -1]
        rooms = np.arange(clock.shelf.clocks)
        days_of_room = np.full(rooms.size, np.inf)
        days_of_room[room] = days
        then_h = clock.shelf.hours_at(
            rooms[:, None], clock.shelf.table(hours) - days_of_room[:, None]
        )
        ago = plain.shelf.theta_at(rooms[:, None], then_h)[room]
        offset = plain.offset[:, -1]
        if plain.lag is not None:
            offset = offset + plain.lag.whole[:, -1]
        since_h = np.maximum(plain.settled_h(), clock.settled_h())
        ago += offset[:, None]
        some_ready = advance > self.earliest[:, None]
        if isinstance(self.ageing, GatedAgeing):
            ago = self.ageing.counted(ago)
            shut = then_h[room] < self.ageing.wholly_open_h[:, None]
            ago[shut & ~some_ready] = -np.inf
        ago = self._age(ago)
        reaches_back = then_h[room] < since_h[:, None]
        ago[reaches_back] = -np.inf
        line, hour = np.nonzero(reaches_back & some_ready & np.isfinite(days)[:, None])
        if line.size:
            ago[line, hour] = self._ago_of(line, clock, hours[hour])
        ago[~np.isfinite(days)] = -np.inf
        return ago
