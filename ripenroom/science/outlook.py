"""How batches age on their ways, and the dates and the shares at any hour that follow."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ripenroom.science.age_gain import AgeGain, Gaining
from ripenroom.science.air import Air
from ripenroom.science.allowances import AllowanceClocks
from ripenroom.science.batches import BatchAges
from ripenroom.science.blocks import in_blocks, joined
from ripenroom.science.clock import Indices
from ripenroom.science.eat_by_dates import EatBy, eat_by
from ripenroom.science.gate_opening import GateNeed, waits_for_ever
from ripenroom.science.gated_ageing import AnyAgeing, GatedAgeing
from ripenroom.science.progress import ClockAdvance
from ripenroom.science.ready import (
    expected_shares,
    ready_range,
    shares_as_estimated,
    shares_at_rate,
)
from ripenroom.science.reference_point import ReferencePoint, on_way, ways
from ripenroom.science.softening import Flags, Floats, FloatsLike
from ripenroom.science.unsettled import Unsettled

_MOST = 0.5
"""Share of fruit that can ripen below which a batch is one that won't, and gets no dates."""


@dataclass(frozen=True, slots=True)
class BatchAgeing:
    """How every batch ages on its way, and what can end it.

    ``batches`` are less what may never ripen for want of a gate; ``airs`` are those of all places
    that the stays of ``ageing`` name by number; ``slope`` counts ``d theta / d activation energy``.
    """

    airs: Sequence[Air]
    batches: BatchAges
    ageing: AnyAgeing
    slope: ClockAdvance
    limits: AllowanceClocks
    gate_need: GateNeed | None
    unsettled: Unsettled


@dataclass(frozen=True)
class Outlook:
    """How batches travel, and the dates and the shares at any hour that follow.

    ``batches`` are those of ``travel`` on their ways: age and doubt are those at the reference
    point, and what may never ripen for want of a gate is counted out. ``gaining`` tells what each
    batch has gained by any hour.
    """

    travel: BatchAgeing
    way: ReferencePoint
    batches: BatchAges
    gaining: Gaining

    @classmethod
    def of(cls, travel: BatchAgeing) -> "Outlook":
        """What follows from how batches travel."""
        way = ways(travel.batches, travel.ageing, travel.slope)
        batches = on_way(travel.batches, way)
        life = travel.limits.ripe_life
        gaining = Gaining.along(batches, way, travel.ageing, travel.slope, life)
        return cls(travel, way, batches, gaining)

    @cached_property
    def eat_by(self) -> EatBy:
        """Eat-by windows: worked out when they are asked for, as many journeys are only tried."""
        return eat_by(self.travel.batches, self.gaining, self.travel.limits)

    @property
    def wont_ripen(self) -> Flags:
        """Of which batches most fruit can never ripen, (batches,): they get no dates."""
        return np.asarray(self.batches.ripens < _MOST)

    @property
    def undated(self) -> Flags:
        """Which batches get no dates, (batches,): most of their fruit can never ripen, or waits for
        ever behind its gate and was not ready when it was picked."""
        waits = waits_for_ever(self.ageing)
        ready_at_pick = self.eat_by.opens.mid <= self.batches.picked_h
        return np.asarray(self.wont_ripen | (waits & ~ready_at_pick))

    @property
    def past_h(self) -> Floats:
        """When each batch is past (h), (batches,); inf if never.

        A batch that won't ripen never is, whatever becomes of the few fruit that do: it stands
        where it is until somebody clears it away.
        """
        closes_h = self.eat_by.closes.mid
        return np.where(self.undated | np.isnan(closes_h), np.inf, closes_h)

    @property
    def airs(self) -> Sequence[Air]:
        """The air of every place."""
        return self.travel.airs

    @property
    def limits(self) -> AllowanceClocks:
        """What can end each batch."""
        return self.travel.limits

    @property
    def gate_need(self) -> GateNeed | None:
        """Shares of the gates' needs that are met; None where no crop has a gate."""
        return self.travel.gate_need

    @property
    def unsettled(self) -> Unsettled:
        """How far from settled each batch's pulp is."""
        return self.travel.unsettled

    @property
    def ageing(self) -> AnyAgeing:
        """Reference days that count."""
        return self.gaining.ageing

    def gained(self, hours: Floats) -> AgeGain:
        """Age gained at increasing ``hours``, the same for all batches."""
        return self.gaining.at_common(hours)

    def ready_as_estimated(self, hours: Floats) -> Floats:
        """Ready share of all fruit at each batch's own hour, (batches,), if all estimates hold.

        What is left is how fruit differ: it tells how even a batch is, not how sure we are.
        """
        gained = self.gaining.usual_at(hours[:, None])
        return shares_as_estimated(self.batches, gained)[0][:, 0]

    def shares_as_estimated(self, hours: Floats) -> tuple[Floats, Floats]:
        """Shares (ready, past) of all fruit at increasing hours if all estimates hold."""
        return shares_as_estimated(self.batches, self.gained(hours))

    def ready_range_at(self, hours: Floats) -> tuple[Floats, Floats]:
        """80 % range of the ready share of all fruit at each batch's own hour, (batches,)."""

        def ranges(part: GateCase) -> tuple[Floats, Floats, Floats]:
            own = part.outlook
            return own._range(own.gaining.at(hours[part.lines, None]))

        low, _, high = self._widest(self._parts_that_differ(hours), ranges)
        return low[:, 0], high[:, 0]

    def shares(self, hours: Floats) -> tuple[Floats, Floats]:
        """Expected shares (ready, past) of all fruit at increasing hours, (batches, hours).

        All uncertainty is in them. Allowances are not: see :meth:`in_supply`.
        """
        parts = self._parts_that_differ(hours.max(initial=-np.inf))
        if len(parts) == 1:
            return self._shares(hours)
        ready = np.zeros((self.batches.picked_h.size, hours.size))
        past = np.zeros_like(ready)
        for part in parts:
            own_ready, own_past = part.outlook._shares(hours)
            ready[part.lines] += part.weight * own_ready
            past[part.lines] += part.weight * own_past
        return ready, past

    def _shares(self, hours: Floats) -> tuple[Floats, Floats]:
        """As :meth:`shares`, as if it were known when each gate opens."""

        def of_block(lines: slice) -> tuple[Floats, Floats]:
            gained = self.gaining.of(lines).at_common(hours)
            return expected_shares(self.batches.of(lines), gained)

        return joined(in_blocks(self.batches.picked_h.size, of_block))

    def parts(self) -> "list[GateCase]":
        """What expected shares add up from: everything, with gates opening as estimated and, for
        the batches behind one, at either end of its range.

        The three openings, the 10, 50 and 90 % points, count 0.3, 0.4 and 0.3 (Swanson's rule).
        """
        ageing = self.ageing
        return self._parts(ageing.behind if isinstance(ageing, GatedAgeing) else np.arange(0))

    def as_estimated(self) -> "GateCase":
        """Everything, with gates opening as estimated, as if that were certain."""
        lines = np.arange(self.batches.picked_h.size)
        return GateCase(lines, np.ones((lines.size, 1)), self)

    def _parts_that_differ(self, until_h: FloatsLike) -> "list[GateCase]":
        """:meth:`parts`, less where all are the same until an hour, one or (batches,): gates whose
        openings are known, never come, or come later."""
        ageing = self.ageing
        if not isinstance(ageing, GatedAgeing):
            return self.parts()
        own = ageing.behind
        of_each = np.broadcast_to(until_h, self.batches.picked_h.shape)[own, None]
        low, mid, high = (
            np.minimum(opens_h[own], of_each)
            for opens_h in (ageing.opens_low_h, ageing.opens_h, ageing.opens_high_h)
        )
        return self._parts(own[((low != mid) | (mid != high)).any(axis=1)])

    def _parts(self, behind: Indices) -> "list[GateCase]":
        """:meth:`parts` with the ends of the range for the batches ``behind`` a gate."""
        everything = np.arange(self.batches.picked_h.size)
        weight = np.ones((everything.size, 1))
        ageing = self.ageing
        if not isinstance(ageing, GatedAgeing) or not behind.size:
            return [GateCase(everything, weight, self)]
        weight[behind] = 0.4
        own = self._block(behind)
        return [
            GateCase(everything, weight, self),
            *(
                GateCase(
                    behind,
                    np.full((behind.size, 1), 0.3),
                    replace(own, gaining=own.gaining.with_ageing(opened)),
                    gate_by,
                )
                for gate_by, opened in zip((0, 2), ageing.of(behind).at_either_end(), strict=True)
            ),
        ]

    def _block(self, lines: Indices) -> "Outlook":
        """Of some batches: all that shares are worked out from."""
        return replace(
            self,
            batches=self.batches.of(lines),
            gaining=self.gaining.of(lines),
            travel=replace(
                self.travel,
                limits=self.limits.of(lines),
                unsettled=self.unsettled.of(lines),
            ),
        )

    def ready_range(self, hours: Floats) -> tuple[Floats, Floats, Floats]:
        """80 % range and median of the ready share of all fruit at increasing hours."""
        parts = self._parts_that_differ(hours.max(initial=-np.inf))
        return self._widest(parts, lambda part: part.outlook._range(part.outlook.gained(hours)))

    def _range(self, gained: AgeGain) -> tuple[Floats, Floats, Floats]:
        return ready_range(self.batches, gained)

    def _widest(
        self, parts: "list[GateCase]", ranges: "Callable[[GateCase], tuple[Floats, Floats, Floats]]"
    ) -> tuple[Floats, Floats, Floats]:
        """A range as estimated, drawn out to hold those with gates opening at either end."""
        everything, *others = parts
        low, mid, high = ranges(everything)
        for part in others:
            own_low, _, own_high = ranges(part)
            low[part.lines] = np.minimum(low[part.lines], own_low)
            high[part.lines] = np.maximum(high[part.lines], own_high)
        return low, mid, high

    def in_supply(self, hours: Floats) -> Floats:
        """1 from the pick until an allowance is used up, else 0; (batches, hours)."""
        there = self.batches.picked_h[:, None] <= hours
        return np.asarray(there & (hours < self.limits.out_h()[:, None]), dtype=float)

    def temperatures_c(self, line: int, hours: Floats) -> tuple[Floats, Floats]:
        """Air and pulp temperature (C) that one batch meets at hours (n,) from its pick on."""
        stays, unsettled = self.ageing.stays, self.unsettled
        lines = np.full(hours.size, line)
        stay = stays.of(lines[:1]).at(hours[None, :])[0]
        place = stays.place[line, stay]
        air, settled = np.empty(hours.size), np.empty(hours.size)
        for number in np.unique(place):
            here = place == number
            air[here] = self.airs[number].air_c(hours[here])
            settled[here] = self.airs[number].pulp_c(hours[here])
        since_h = hours - stays.start_h[line, stay]
        return air, unsettled.pulp_c(lines, stay, since_h, settled)

    def beyond_at_rate(self, gained: AgeGain, z: float) -> tuple[Floats, Floats]:
        """Shares (beyond ready, past) if the rate is ``z`` sds of its log from the middle.

        The doubt about each batch's own age is still spread over, that about the rate is not.
        """
        return shares_at_rate(self.batches, gained, z)


@dataclass(frozen=True, slots=True)
class GateCase:
    """Batches ``lines`` of an outlook under one possible course of things, and how much it counts.

    ``weight`` has shape (lines, 1); the weights of a batch over all parts add up to 1. ``gate_by``
    says by which clock of :attr:`Outlook.gate_need` its gates open: low end, middle or high end.
    """

    lines: Indices
    weight: Floats
    outlook: Outlook
    gate_by: int = 1
