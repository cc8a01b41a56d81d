"""When each batch's gate opens, what never ripens for want of it, and how far on it is.

How a gate opens is told in :mod:`.gate`, how its need is met in :mod:`.trigger`; here both are put
between the clocks and the dates of batches.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from ripenroom.science.batches import BatchAges
from ripenroom.science.dates import Flags
from ripenroom.science.gate import AnyAgeing, GatedAgeing
from ripenroom.science.progress import ClockAdvance
from ripenroom.science.softening import Floats, FloatsLike
from ripenroom.science.spread import TAIL_80
from ripenroom.science.trigger import GateNeed

_LOOK_AHEAD_H = 24.0 * 365.0

RIPENS_SHUT: Final = 0.25
"""Fruit that goes at this share of its full speed or faster behind a shut gate ripens all the same,
only later (an estimate: four times as late it is mostly past before it is good)."""

_LEAST_NEED, _MOST_NEED = 0.05, 2.0
"""No pick is followed to needing next to nothing, or more than twice what is usual: published picks
lie within four weeks or so (Sugar & Einhorn 2011)."""


def need_at_age(age: FloatsLike, usual_age: float, per_age: float) -> Floats:
    """How many times its kind's usual need fruit has of these mean ages at pick, any shape.

    The need of a pick that is riper by one age is ``per_age`` times as much, and that of one of
    ``usual_age`` the usual one. The mean age is taken as it is believed; the doubt about it is left
    to the range of the need, which sources give over all maturities.
    """
    times = per_age ** (np.asarray(age) - usual_age)
    return np.clip(times, _LEAST_NEED, _MOST_NEED)


@dataclass(frozen=True, slots=True)
class Gates:
    """The gate of each batch: whether it has one (``shut``) and its share of speed ``meanwhile``,
    both (batches,), and how many times the need each ``part`` opens at, (batches, parts)."""

    shut: Flags
    meanwhile: Floats
    part: Floats


def gated(
    ageing: ClockAdvance, need: GateNeed, batches: BatchAges, gates: Gates
) -> tuple[GatedAgeing, BatchAges]:
    """Ageing behind each batch's gate, and the batches less what may never ripen for want of it.

    Of a gate that opens by and by, the middle counts for that: when half of full speed is free.
    ``need`` is each batch's own, met where it is used up. A batch that gets barely enough may in
    part not ripen at all, unless its fruit ripens behind a shut gate too. Of a batch that was
    checked after its gate had opened, what is left of the doubt about when is part of that about
    its age.
    """
    behind = np.flatnonzero(gates.shut)
    need = need.of(behind)
    meanwhile, parts, picked_h = gates.meanwhile, gates.part, batches.picked_h

    def opening(met_h: Floats) -> Floats:
        opens_h = np.repeat(picked_h[:, None], parts.shape[1], axis=1)
        opens_h[behind] = np.maximum(met_h, opens_h[behind])
        return opens_h

    low_h, opens_h, high_h = (opening(met_h) for met_h in need.when(parts[behind]))
    half = parts.shape[1] // 2
    barely = np.isfinite(opens_h[:, half]) & ~np.isfinite(high_h[:, half])
    barely &= meanwhile < RIPENS_SHUT
    enough, some = np.ones(barely.size), np.flatnonzero(barely[behind])
    enough[behind[some]] = need.of(some).likely_met(picked_h[behind[some]] + _LOOK_AHEAD_H)
    # An opening that may never come is counted among what won't ripen, not as a late one.
    high_h = np.where(barely[:, None], opens_h, high_h)
    if batches.checked is not None:
        seen = batches.checked.known_h[:, None] >= high_h
        low_h, high_h = np.where(seen, opens_h, low_h), np.where(seen, opens_h, high_h)
        # A part that was seen open may have done so later than the low end of the next.
        low_h = np.maximum.accumulate(low_h, axis=1)
    behind_gate = GatedAgeing(ageing, opens_h, meanwhile, low_h, high_h)
    return behind_gate, replace(batches, ripens=batches.ripens * enough)


def waits_for_ever(ageing: AnyAgeing) -> Flags:
    """Which batches stand behind a gate of which so little ever opens that they go too slowly to
    be good before they shrivel: no date is told of them, (batches,)."""
    if isinstance(ageing, ClockAdvance):
        return np.zeros(ageing.stays.start_h.shape[0], dtype=bool)
    opens = np.isfinite(ageing.opens_h).mean(axis=1)
    return np.asarray(ageing.meanwhile + (1.0 - ageing.meanwhile) * opens < RIPENS_SHUT)


def gate_columns(
    ageing: AnyAgeing, need: GateNeed | None, by_h: float
) -> tuple[Floats, Floats, Floats]:
    """When each batch's gate opens (h, inf: never), how much of its need is met by an hour, and how
    many times its crop's usual need that is, each (batches,).

    nan, all, where a batch has no gate.
    """
    batches = ageing.stays.start_h.shape[0]
    if isinstance(ageing, ClockAdvance) or need is None:
        none = np.full(batches, np.nan)
        return none, none, none
    has_gate = ageing.meanwhile < 1.0
    met = np.minimum(need.shares_at(np.full(batches, by_h))[1], 1.0)
    opens_h = ageing.half_open_h
    met = np.where(opens_h <= by_h, 1.0, met)
    opens_h, met, times = (
        np.where(has_gate, column, np.nan) for column in (opens_h, met, need.by_clock.shares[:, 1])
    )
    return opens_h, met, times


def doubt_of_opening(ageing: AnyAgeing, rate_per_day: Floats, known_h: Floats) -> Floats:
    """What not knowing when a gate opened adds to the doubt about age (sd), where fruit was looked
    at ``known_h`` (h), since; (batches,), 0 where there is no gate or it was shut then.

    A gate that opened earlier makes fruit older by the same from then on, as an older pick does.
    """
    if not isinstance(ageing, GatedAgeing):
        return np.zeros(known_h.size)
    opened = known_h[:, None] >= ageing.opens_high_h
    early, late = (
        ageing.opening_at(np.where(opened, end_h, ageing.opens_h)).at(known_h[:, None])[:, 0]
        for end_h in (ageing.opens_low_h, ageing.opens_high_h)
    )
    return np.asarray(rate_per_day * np.abs(early - late) / (2.0 * TAIL_80))
