"""Everything the science worked out for one set of records and set points."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtr

from ripenroom.science.air import Air
from ripenroom.science.batches import Batches
from ripenroom.science.blocks import in_blocks, joined
from ripenroom.science.clock import Indices
from ripenroom.science.eat_by import EatBy, Limits
from ripenroom.science.gate import AnyAgeing, GatedAgeing
from ripenroom.science.progress import Progress
from ripenroom.science.ready import past_age, ready_and_past, ready_range
from ripenroom.science.softening import Floats
from ripenroom.season.lines import Lines

_NONE_BEYOND_SDS = 3.5
"""So many sds before the mean there is no fruit worth counting."""

_SAME_DAYS = 1e-6
"""Days this near to each other are the same; they are sums of many roundings."""


@dataclass(frozen=True, slots=True)
class Gained:
    """Age gained by every batch since its reference point, and over the last ripe life.

    Both of shape (batches, hours). A batch that was never checked has its pick for a reference
    point (:mod:`ripenroom.science.way`); before it the gain is negative.
    """

    advance: Floats
    ripe_life: Floats | None


@dataclass(frozen=True, slots=True)
class Travel:
    """How every batch ages on its way, and what can end it.

    ``batches`` are those of the lines, less what may never ripen for want of a gate; ``slope``
    counts ``d theta / d activation energy``.
    """

    airs: Sequence[Air]
    batches: Batches
    ageing: AnyAgeing
    slope: Progress
    limits: Limits
    gate_need: Progress | None


@dataclass(frozen=True, slots=True)
class Outlook:
    """Lines, rooms and eat-by windows, and the shares at any hour that follow from them.

    ``batches`` are those of the lines on their way: age and doubt are those at the reference
    point, and what may never ripen for want of a gate is counted out. ``gate_need`` counts shares
    of the gates' needs that are met; None where no crop has a gate.
    """

    lines: Lines
    airs: Sequence[Air]
    batches: Batches
    ageing: AnyAgeing
    limits: Limits
    eat_by: EatBy
    gate_need: Progress | None

    def gained(self, hours: Floats) -> Gained:
        """Age gained at increasing ``hours``, the same for all batches."""
        since_pick = self.ageing.at_common(hours)
        since_pick *= self.batches.rate_per_day[:, None]
        begun = self._gained_by_then()
        if not np.isfinite(self.limits.ripe_days[1]).any():
            since_pick -= begun
            return Gained(since_pick, None)
        ripe_life = self._ripe_life_gained(hours, since_pick)
        return Gained(since_pick - begun, ripe_life)

    def _gained_by_then(self) -> Floats:
        """Age gained from the pick to the reference point, (batches, 1)."""
        return np.asarray(self.batches.rate_per_day * self.eat_by.way.from_days)[:, None]

    def _ripe_life_gained(self, hours: Floats, since_pick: Floats) -> Floats:
        """Age gained over the ripe life before each hour, inf where less than one has passed.

        Read from the clocks of each batch's last place, which all batches there share. Where the
        ripe life reaches back beyond that stay, or to before the batch's gate opened, it is
        followed batch by batch, but only if any of the batch's fruit can be ready by then.
        """
        batches, stays, life = self.batches, self.ageing.stays, self.limits.ripe_life
        days = self.limits.ripe_days[1]
        clock = life.clock[:, -1]
        numbers = np.arange(len(self.lines.rooms))[:, None]
        days_of_clock = np.full(len(self.lines.rooms), np.inf)
        days_of_clock[clock] = days
        begun_h = life.shelf.hours_at(numbers, life.shelf.table(hours) - days_of_clock[:, None])
        shelf = self.ageing.clocked.shelf
        gain = shelf.table(hours) - shelf.theta_at(numbers, begun_h)
        gained = gain[clock]
        gained *= batches.rate_per_day[:, None]

        start_h = stays.start_h[:, -1]
        full_h = life.shelf.hours_at(clock, life.shelf.theta_at(clock, start_h) + days)
        reaches_back = hours < (full_h + self.ageing.lag.over_h[:, -1])[:, None]
        if isinstance(self.ageing, GatedAgeing):
            # The shared clocks know nothing of gates.
            reaches_back |= begun_h[clock] < self.ageing.opens_h[:, None]
        gained[reaches_back] = np.inf
        spread = np.hypot(batches.fruit_sd, batches.doubt_sd)
        earliest = batches.ready_age - batches.mean_age - _NONE_BEYOND_SDS * spread
        fastest = np.exp(np.sign(earliest) * -_NONE_BEYOND_SDS * self.eat_by.way.rate_sd)
        some_ready = since_pick - self._gained_by_then() > (earliest * fastest)[:, None]
        line, hour = np.nonzero(reaches_back & some_ready & np.isfinite(days)[:, None])
        if line.size:
            at = hours[hour][:, None]
            begun = life.of(line)
            used = begun.at(at) - days[line, None]
            ageing = self.ageing.of(line)
            back = ageing.at(begun.when(used))[:, 0]
            own = since_pick[line, hour] - batches.rate_per_day[line] * back
            gained[line, hour] = np.where(used[:, 0] > 0.0, own, np.inf)
        return gained

    def _gained_at(self, hours: Floats) -> Gained:
        """Age gained at each batch's own hour; the answer has shape (batches, 1)."""
        at = hours[:, None]
        return self._gained(self.ageing.at(at), self.limits.ripe_life.at(at))

    def _gained(self, reference_days: Floats, ripe_days_run: Floats) -> Gained:
        """Ages from reference days and days of ripe life run, both since pick."""
        rate = self.batches.rate_per_day[:, None]
        advance = rate * reference_days - self._gained_by_then()
        days = self.limits.ripe_days[1][:, None]
        if not np.isfinite(days).any():
            return Gained(advance, None)
        begun = np.where(np.isfinite(days), ripe_days_run - days, 0.0)
        gained = rate * (reference_days - self.ageing.at(self.limits.ripe_life.when(begun)))
        # Fruit that could have been ready before it was picked has no such limit yet; the very end
        # of its ripe life, which may be its best day, still counts.
        limited = ripe_days_run > days + _SAME_DAYS
        return Gained(advance, np.where(limited, gained, np.inf))

    def ready_as_estimated(self, hours: Floats) -> Floats:
        """Ready share of all fruit at each batch's own hour, (batches,), if all estimates hold.

        What is left is how fruit differ: it tells how even a batch is, not how sure we are.
        """
        return self._as_estimated(self._gained_at(hours))[0][:, 0]

    def shares_as_estimated(self, hours: Floats) -> tuple[Floats, Floats]:
        """Shares (ready, past) of all fruit at increasing hours if all estimates hold."""
        return self._as_estimated(self.gained(hours))

    def _as_estimated(self, gained: Gained) -> tuple[Floats, Floats]:
        batches = self.batches
        certain = replace(batches, doubt_sd=np.zeros_like(batches.doubt_sd))
        no_doubt = np.zeros_like(batches.doubt_sd)
        return ready_and_past(gained.advance, certain, no_doubt, gained.ripe_life)

    def ready_range_at(self, hours: Floats) -> tuple[Floats, Floats]:
        """80 % range of the ready share of all fruit at each batch's own hour, (batches,)."""

        def ranges(part: Part) -> tuple[Floats, Floats, Floats]:
            return part.outlook._range(part.outlook._gained_at(hours[part.lines]))

        low, _, high = self._widest(ranges)
        return low[:, 0], high[:, 0]

    def shares(self, hours: Floats) -> tuple[Floats, Floats]:
        """Expected shares (ready, past) of all fruit at increasing hours, (batches, hours).

        All uncertainty is in them. Allowances are not: see :meth:`in_supply`.
        """
        parts = self.parts()
        if len(parts) == 1:
            return self._shares(hours)
        ready = np.zeros((len(self.lines.ids), hours.size))
        past = np.zeros_like(ready)
        for part in parts:
            own_ready, own_past = part.outlook._shares(hours)
            ready[part.lines] += part.weight * own_ready
            past[part.lines] += part.weight * own_past
        return ready, past

    def _shares(self, hours: Floats) -> tuple[Floats, Floats]:
        """As :meth:`shares`, as if it were known when each gate opens."""

        def of_block(lines: slice) -> tuple[Floats, Floats]:
            block = self._block(lines)
            gained = block.gained(hours)
            rate_sd = block.eat_by.way.rate_sd
            return ready_and_past(gained.advance, block.batches, rate_sd, gained.ripe_life)

        return joined(in_blocks(self.batches.picked_h.size, of_block))

    def parts(self) -> "list[Part]":
        """What expected shares add up from: everything, with gates opening as estimated and, for
        the batches behind one, at either end of its range.

        The three openings, the 10, 50 and 90 % points, count 0.3, 0.4 and 0.3 (Swanson's rule).
        """
        everything = np.arange(self.batches.picked_h.size)
        weight = np.ones((everything.size, 1))
        if not isinstance(self.ageing, GatedAgeing):
            return [Part(everything, weight, self)]
        behind = np.flatnonzero(self.ageing.meanwhile < 1.0)
        weight[behind] = 0.4
        own = self._block(behind)
        return [
            Part(everything, weight, self),
            *(
                Part(behind, np.full((behind.size, 1), 0.3), replace(own, ageing=ageing))
                for ageing in self.ageing.of(behind).at_either_end()
            ),
        ]

    def _block(self, lines: Indices | slice) -> "Outlook":
        """Of some batches: all that shares are worked out from."""
        return replace(
            self,
            batches=self.batches.of(lines),
            ageing=self.ageing.of(lines),
            limits=self.limits.of(lines),
            eat_by=replace(self.eat_by, way=self.eat_by.way.of(lines)),
        )

    def ready_range(self, hours: Floats) -> tuple[Floats, Floats, Floats]:
        """80 % range and median of the ready share of all fruit at increasing hours."""
        return self._widest(lambda part: part.outlook._range(part.outlook.gained(hours)))

    def _range(self, gained: Gained) -> tuple[Floats, Floats, Floats]:
        return ready_range(gained.advance, self.batches, self.eat_by.way.rate_sd, gained.ripe_life)

    def _widest(
        self, ranges: "Callable[[Part], tuple[Floats, Floats, Floats]]"
    ) -> tuple[Floats, Floats, Floats]:
        """A range as estimated, drawn out to hold those with gates opening at either end."""
        everything, *others = self.parts()
        low, mid, high = ranges(everything)
        for part in others:
            own_low, _, own_high = ranges(part)
            low[part.lines] = np.minimum(low[part.lines], own_low)
            high[part.lines] = np.maximum(high[part.lines], own_high)
        return low, mid, high

    def in_supply(self, hours: Floats) -> Floats:
        """1 from the pick until an allowance is used up, else 0; (batches, hours)."""
        whole = np.ones((len(self.lines.ids), 1))
        out_h = np.minimum(self.limits.chilling.when(whole), self.limits.storage.when(whole))
        there = self.batches.picked_h[:, None] <= hours
        return np.asarray(there & (hours < out_h), dtype=float)

    def temperatures_c(self, line: int, hours: Floats) -> tuple[Floats, Floats]:
        """Air and pulp temperature (C) that one batch meets at hours (n,) from its pick on."""
        stays, lag = self.lines.stays, self.ageing.lag
        lines = np.full(hours.size, line)
        stay = stays.of(lines[:1]).at(hours[None, :])[0]
        place = stays.place[line, stay]
        air, settled = np.empty(hours.size), np.empty(hours.size)
        for number in np.unique(place):
            here = place == number
            air[here] = self.airs[number].air_c(hours[here])
            settled[here] = self.airs[number].pulp_c(hours[here])
        left = lag.left(lines, stay, hours - stays.start_h[line, stay])
        return air, settled + lag.difference_k[line, stay] * left

    def beyond_at_rate(self, gained: Gained, z: float) -> tuple[Floats, Floats]:
        """Shares (beyond ready, past) if the rate is ``z`` sds of its log from the middle.

        The doubt about each batch's own age is still spread over, that about the rate is not.
        """
        batches = self.batches
        age = batches.mean_age[:, None] + gained.advance * np.exp(
            z * self.eat_by.way.rate_sd[:, None]
        )
        sd = np.hypot(batches.fruit_sd, batches.doubt_sd)[:, None]
        ripens = batches.ripens[:, None]
        ready = ripens * ndtr((age - batches.ready_age[:, None]) / sd)
        return ready, ripens * ndtr((age - past_age(batches, gained.ripe_life)) / sd)


@dataclass(frozen=True, slots=True)
class Part:
    """Batches ``lines`` of an outlook under one possible course of things, and how much it counts.

    ``weight`` has shape (lines, 1); the weights of a batch over all parts add up to 1.
    """

    lines: Indices
    weight: Floats
    outlook: Outlook
