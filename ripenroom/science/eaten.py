"""How far fruit ripens by the time that those who bought it eat it.

Fruit is saleable on a market day if it is not past when the market begins, and is ready then or
becomes ready in a buyer's kitchen within the days that buyers take.

A kitchen has 20 C (68 F): produce guides put room temperature at 65 to 75 F (Oregon State
University Extension on pears, as quoted by growers), and ripening trials are done at 20 C. There a
fruit lies by itself, in still air, and its pulp follows with a half-cooling time of some 2 h (an
estimate: small fruit needs one hour, large fruit three). With ``T_k`` the
kitchen's temperature, ``d`` how much warmer the pulp is when it is sold, and ``A`` the rate of a
process, the days gained in ``D`` days are, as for any move to a steady place
(:mod:`ripenroom.science.cooling_lag`),

    A(T_k) D + z / ln 2 * integral from x(D) to 1 of [A(T_k + d x) - A(T_k)] / x dx

with ``x(D) = 2 ** (-D / z)``, taken by 8-point Gauss-Legendre: exact to 1e-6 reference days for
pulp of -1 to 30 C.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre

from ripenroom.science.age_gain import AgeGain
from ripenroom.science.air import DAY_H
from ripenroom.science.batches import BatchAges
from ripenroom.science.clock import Indices, RateOfTemperature
from ripenroom.science.gated_ageing import GatedAgeing, ungated
from ripenroom.science.journey import Stays
from ripenroom.science.outlook import GateCase
from ripenroom.science.ready import expected_shares, shares_at_rate
from ripenroom.science.softening import Floats, FloatsLike

KITCHEN_C = 20.0
HALF_COOLING_H = 2.0

_NODES, _WEIGHTS = legendre.leggauss(8)
_FROM_0_TO_1 = (1.0 + _NODES) / 2.0


def days_gained(rate: RateOfTemperature, pulp_c: FloatsLike, days: FloatsLike) -> Floats:
    """Days at unit rate gained within ``days`` by fruit of one crop sold at ``pulp_c`` (C).

    The arguments broadcast; ``days`` are 0 or more.
    """
    warmer_k, within = np.broadcast_arrays(
        np.asarray(pulp_c, float) - KITCHEN_C, np.asarray(days, float)
    )
    settled = rate(np.array(KITCHEN_C))
    left = np.exp2(within * (-DAY_H / HALF_COOLING_H))[..., None]
    at = left + (1.0 - left) * _FROM_0_TO_1
    more = rate(KITCHEN_C + warmer_k[..., None] * at) - settled
    whole = (more / at) @ (_WEIGHTS / 2.0) * (1.0 - left[..., 0])
    return np.asarray(settled * within + whole * (HALF_COOLING_H / (math.log(2.0) * DAY_H)))


_LEAST_ADVANCE = 1e-9
"""Keeps 0/0 out where nothing was gained."""

_HALVINGS = 10
"""A gate that opens within a day is found to a minute: the day is halved so often."""

_AT_ONCE = 500_000
"""Parts of gates at sales that are looked at in one go: tables of more would fill the memory."""


@dataclass(frozen=True, slots=True)
class Kitchens:
    """What of the batches of an outlook counts once they are in their buyers' kitchens.

    ``kind`` numbers the kind of each batch, (batches,), and ``place_of_room`` and ``kind_of_room``
    place and kind of each room that the clocks of its ageing are of, (rooms,). By kind,
    ``softening`` is the relative rate of softening by pulp temperature (C), ``slope_per_kj_mol``
    how the log of that rate leans on the activation energy in a kitchen, (kinds,), ``gate_parts``
    how many times its need each part of its gate opens at, (kinds, parts), and ``gate_per_day`` the
    shares of the need that a day at a pulp temperature (C) meets: by its low end, its middle and
    its high end.
    """

    kind: Indices
    place_of_room: Indices
    kind_of_room: Indices
    softening: Sequence[RateOfTemperature]
    slope_per_kj_mol: Floats
    gate_parts: Floats
    gate_per_day: Sequence[tuple[RateOfTemperature, RateOfTemperature, RateOfTemperature]]


@dataclass(frozen=True, slots=True)
class WhenEaten:
    """How far fruit has come by the end of its buyers' days; both of shape (lines, sales).

    ``advance`` is the age gained since the reference point and ``rate_sd`` the sd of the log of
    the rate at which it was: in the cold that is in more doubt than in a kitchen.
    """

    advance: Floats
    rate_sd: Floats

    def ready(self, batches: BatchAges) -> Floats:
        """Expected share of all fruit that is ready by then, or past."""
        ready, past = expected_shares(batches, self._gained)
        return np.asarray(ready + past)

    def ready_at_rate(self, batches: BatchAges, z: float) -> Floats:
        """The same if the rate is ``z`` sds of its log from the middle."""
        return shares_at_rate(batches, self._gained, z)[0]

    @property
    def _gained(self) -> AgeGain:
        return AgeGain(self.advance, (), self.rate_sd, np.zeros_like(self.rate_sd))


def when_eaten(
    part: GateCase,
    gained: AgeGain,
    sold_h: Floats,
    eaten_days: Floats,
    kitchens: Kitchens,
    rough: bool = False,
) -> WhenEaten:
    """How far a part's fruit has come when it is eaten.

    ``gained`` is what it has gained by ``sold_h`` (sales,), ``eaten_days`` (kinds, sales) how long
    buyers take from then on. A ``rough`` answer takes pulp as settled when it is sold, and what is
    shut of a gate then as shut for as long.
    """
    if not eaten_days.any():
        return WhenEaten(gained.advance, gained.rate_sd)
    kitchen = _Kitchen(part, sold_h, eaten_days, kitchens)
    days = kitchen.rough_days() if rough else kitchen.days()
    return _together(part, gained, part.outlook.batches.rate_per_day[:, None] * days, kitchens)


def _together(part: GateCase, gained: AgeGain, there: Floats, kitchens: Kitchens) -> WhenEaten:
    """Ages gained on the way and in the kitchen ``there`` as one.

    Each is a median times a lognormal factor. The rate at the crop's reference temperature is the
    same in both; the slope with temperature leans on each as far as it is from there. Their sum is
    taken as a lognormal of the same mean and variance (Fenton 1960, IRE Trans. Commun. Syst.
    8:57-67; cited from memory).
    """
    outlook, advance = part.outlook, gained.advance
    rates = outlook.way.rates.of(part.lines)
    lean = kitchens.slope_per_kj_mol[kitchens.kind[part.lines]]
    on_way = np.square(gained.rate_sd)
    in_kitchen = rates.variance(lean)[:, None]
    shared = rates.covariance(lean, gained.per_kj_mol.T).T

    # Age that is lost back to the reference point is no median of anything.
    before = np.maximum(advance, 0.0)
    mean = before * np.exp(on_way / 2.0) + there * np.exp(in_kitchen / 2.0)
    square = (
        before**2 * np.exp(2.0 * on_way)
        + 2.0 * before * there * np.exp((on_way + in_kitchen) / 2.0 + shared)
        + there**2 * np.exp(2.0 * in_kitchen)
    )
    mean, square = np.maximum(mean, _LEAST_ADVANCE), np.maximum(square, _LEAST_ADVANCE**2)
    variance = np.maximum(np.log(square / mean**2), 0.0)
    median = mean * np.exp(variance / -2.0)
    return WhenEaten(median + np.minimum(advance, 0.0), np.sqrt(variance))


class _Kitchen:
    """The kitchens to which the fruit of a part of an outlook comes, sale by sale."""

    def __init__(
        self, part: GateCase, sold_h: Floats, eaten_days: Floats, kitchens: Kitchens
    ) -> None:
        outlook = part.outlook
        self._part, self._sold_h, self._kitchens = part, sold_h, kitchens
        self._ageing, self._stays = outlook.ageing, outlook.ageing.stays
        self._unsettled = outlook.unsettled
        lines = self._stays.start_h.shape[0]
        self._stay = self._stays.at(np.broadcast_to(sold_h, (lines, sold_h.size)))
        rooms = Stays.entry(ungated(outlook.ageing).clock, self._stay)
        self._room = np.broadcast_to(rooms, self._stay.shape)
        place_of_room, self._kind_of_room = kitchens.place_of_room, kitchens.kind_of_room
        in_place = {n: outlook.airs[n].pulp_c(sold_h) for n in set(place_of_room.tolist())}
        self._settled_c = np.empty((place_of_room.size, sold_h.size))
        for room, place in enumerate(place_of_room.tolist()):
            self._settled_c[room] = in_place[place]
        self._eaten_days = eaten_days[self._kind_of_room]

    def days(self) -> Floats:
        """Reference days that count, (lines, sales)."""
        days = self._settled_days()
        since_h = self._sold_h - Stays.entry(self._stays.start_h, self._stay)
        on_its_way = since_h < Stays.entry(self._unsettled.over_h, self._stay)
        line, sale = np.nonzero(on_its_way & (since_h >= 0.0))
        days[line, sale] = self._softening(line, sale, self._eaten(line, sale))
        if isinstance(self._ageing, GatedAgeing):
            self._count_shut(days, self._ageing)
        return days

    def rough_days(self) -> Floats:
        """:meth:`days` of settled pulp, and as if what is shut of a gate stayed so."""
        days, ageing = self._settled_days(), self._ageing
        if isinstance(ageing, GatedAgeing):
            own = ageing.behind
            parts = [ageing.opens_h[own, n, None] for n in range(ageing.opens_h.shape[1])]
            opened = sum((self._sold_h >= opens_h).astype(float) for opens_h in parts) / len(parts)
            meanwhile = ageing.meanwhile[own, None]
            days[own] *= meanwhile + (1.0 - meanwhile) * opened
        return days

    def _settled_days(self) -> Floats:
        """Reference days of fruit as warm as its place when it is sold, as if no gate were shut."""
        # Most fruit has the temperature of its place when it is sold: one figure for each room.
        of_room = np.empty(self._settled_c.shape)
        for room, kind in enumerate(self._kind_of_room.tolist()):
            softening = self._kitchens.softening[kind]
            of_room[room] = days_gained(softening, self._settled_c[room], self._eaten_days[room])
        return np.asarray(of_room[self._room, np.arange(self._sold_h.size)])

    def _count_shut(self, days: Floats, ageing: GatedAgeing) -> None:
        """Take off what fruit does not ripen while its gate is still shut."""
        own, parts = ageing.behind, ageing.opens_h.shape[1]
        step = max(1, _AT_ONCE // (parts * max(self._sold_h.size, 1)))
        for first in range(0, own.size, step):
            some = own[first : first + step]
            shut = self._sold_h < ageing.opens_h[some].T[:, :, None]
            part, number, sale = np.nonzero(shut)
            if not part.size:
                continue
            line = some[number]
            opens_days = self._days_to_opening(ageing, part, line, sale)
            shut_days = np.minimum(opens_days, self._eaten(line, sale))
            lost = self._softening(line, sale, shut_days)
            np.subtract.at(days, (line, sale), (1.0 - ageing.meanwhile[line]) / parts * lost)

    def _days_to_opening(
        self, ageing: GatedAgeing, part: Indices, line: Indices, sale: Indices
    ) -> Floats:
        """Days in a kitchen until parts of the gates of fruit that is sold behind them open, each
        of shape (n,)."""
        need = self._part.outlook.gate_need
        assert need is not None  # as some crop has a gate
        lines = self._part.lines[line]
        end = self._part.gate_by
        by_clock = need.by_clock
        own, whole = by_clock.clocks[end].of(lines), by_clock.shares[lines, end]
        opens_h = ageing.opens_h[line, part]
        times = self._kitchens.gate_parts
        treated = need.of(lines).treated_share(self._sold_h[sale, None], end)[:, 0]
        # Nobody gives ethylene in a kitchen.
        wanted = whole * (times[self._kitchens.kind[lines], part] - treated)
        comes = np.isfinite(opens_h)
        wanted[comes] = own.of(np.flatnonzero(comes)).at(opens_h[comes, None])[:, 0]
        met = own.at(self._sold_h[sale, None])[:, 0]
        gates = [per_day[end] for per_day in self._kitchens.gate_per_day]
        a_day = np.array([float(gate(np.array(KITCHEN_C))) for gate in gates])
        a_day = a_day[self._kind_of_room[self._room[line, sale]]]
        lacks = wanted - met
        # After a day the pulp has the kitchen's temperature, and every day adds as much.
        short = lacks - self._gained(gates, line, sale, np.ones(line.size))
        with np.errstate(divide="ignore", invalid="ignore"):
            # A kitchen too warm to add to it may still find enough on the pulp's way there.
            days = 1.0 + short / a_day
        soon = np.flatnonzero(short <= 0.0)
        days[soon] = self._within_a_day(gates, line[soon], sale[soon], lacks[soon])
        return np.asarray(days)

    def _within_a_day(
        self, gates: Sequence[RateOfTemperature], line: Indices, sale: Indices, lacks: Floats
    ) -> Floats:
        """Days until fruit has met what its gate ``lacks``, while its pulp is on its way to the
        kitchen's temperature: a day is enough for each."""
        low, high = np.zeros(line.size), np.ones(line.size)
        for _ in range(_HALVINGS):
            days = (low + high) / 2.0
            enough = self._gained(gates, line, sale, days) >= lacks
            low, high = np.where(enough, low, days), np.where(enough, days, high)
        return np.asarray((low + high) / 2.0)

    def _eaten(self, line: Indices, sale: Indices) -> Floats:
        return np.asarray(self._eaten_days[self._room[line, sale], sale])

    def _softening(self, line: Indices, sale: Indices, days: Floats) -> Floats:
        """Reference days of single fruit and sales within days."""
        return self._gained(self._kitchens.softening, line, sale, days)

    def _gained(
        self, rates: Sequence[RateOfTemperature], line: Indices, sale: Indices, days: Floats
    ) -> Floats:
        """What a process of each crop gains in single fruit and sales within days, by their own
        pulp temperature."""
        room, stay = self._room[line, sale], self._stay[line, sale]
        since_h = np.maximum(self._sold_h[sale] - self._stays.start_h[line, stay], 0.0)
        pulp_c = self._unsettled.pulp_c(line, stay, since_h, self._settled_c[room, sale])
        gained = np.empty(line.size)
        kind = self._kind_of_room[room]
        for number in np.unique(kind):
            own = kind == number
            gained[own] = days_gained(rates[number], pulp_c[own], days[own])
        return gained
