"""Gates of the crops, put between the clocks and the projection."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ripenroom.science.batches import Batches
from ripenroom.science.clock import Indices
from ripenroom.science.gate import AnyAgeing, GatedAgeing, part_needs
from ripenroom.science.progress import Progress
from ripenroom.science.softening import Floats
from ripenroom.science.trigger import GateNeed
from ripenroom.season.crop_constants import GateConstants
from ripenroom.season.lines import Lines

_LOOK_AHEAD_H = 24.0 * 365.0

_RIPENS_SHUT = 0.25
"""Fruit that goes at this share of its full speed or faster behind a shut gate ripens all the same,
only later (an estimate: four times as late it is mostly past before it is good)."""


def own_needs(batches: Batches, kind: Indices, gates: Sequence[GateConstants]) -> Floats:
    """How many times its kind's usual need each batch has, by how ripe it was picked, (batches,).

    The mean age at pick is taken as it is believed; the doubt about it is left to the range of the
    need, which sources give over all maturities.
    """
    times = np.ones(kind.size)
    for number, gate in enumerate(gates):
        if gate.per_age < 1.0:
            mine = kind == number
            times[mine] = gate.need_of(batches.mean_age[mine])
    return times


def gated(
    ageing: Progress, need: GateNeed, lines: Lines, gates: Sequence[GateConstants]
) -> tuple[GatedAgeing, Batches]:
    """Ageing behind each kind's gate, and the batches less what may never ripen for want of it.

    Of a gate that opens by and by, the middle counts for that: when half of full speed is free.
    ``need`` is each batch's own, met where it is used up. A batch that gets barely enough may in
    part not ripen at all, unless its fruit ripens behind a shut gate too. Of a batch that was
    checked after its gate had opened, what is left of the doubt about when is part of that about
    its age.
    """
    behind = np.flatnonzero(np.array([gate.shut for gate in gates])[lines.kind])
    need = need.of(behind)
    meanwhile = np.array([gate.meanwhile for gate in gates])[lines.kind]
    picked_h = lines.batches.picked_h
    parts = part_needs(np.array([gate.width for gate in gates]))[lines.kind]

    def opening(met_h: Floats) -> Floats:
        opens_h = np.repeat(picked_h[:, None], parts.shape[1], axis=1)
        opens_h[behind] = np.maximum(met_h, opens_h[behind])
        return opens_h

    low_h, opens_h, high_h = (opening(met_h) for met_h in need.when(parts[behind]))
    half = parts.shape[1] // 2
    barely = np.isfinite(opens_h[:, half]) & ~np.isfinite(high_h[:, half])
    barely &= meanwhile < _RIPENS_SHUT
    enough, some = np.ones(barely.size), np.flatnonzero(barely[behind])
    enough[behind[some]] = need.of(some).likely_met(picked_h[behind[some]] + _LOOK_AHEAD_H)
    # An opening that may never come is counted among what won't ripen, not as a late one.
    high_h = np.where(barely[:, None], opens_h, high_h)
    batches = replace(lines.batches, ripens=lines.batches.ripens * enough)
    if batches.checked is not None:
        seen = batches.checked.known_h[:, None] >= high_h
        low_h, high_h = np.where(seen, opens_h, low_h), np.where(seen, opens_h, high_h)
        # A part that was seen open may have done so later than the low end of the next.
        low_h = np.maximum.accumulate(low_h, axis=1)
    return GatedAgeing(ageing, opens_h, meanwhile, low_h, high_h), batches


def waits_for_ever(ageing: AnyAgeing) -> np.ndarray:
    """Which batches stand behind a gate of which so little ever opens that they go too slowly to
    be good before they shrivel: no date is told of them, (batches,)."""
    if isinstance(ageing, Progress):
        return np.zeros(ageing.stays.start_h.shape[0], dtype=bool)
    opens = np.isfinite(ageing.opens_h).mean(axis=1)
    return np.asarray(ageing.meanwhile + (1.0 - ageing.meanwhile) * opens < _RIPENS_SHUT)


def gate_columns(
    ageing: AnyAgeing, need: GateNeed | None, lines: Lines, by_h: float
) -> tuple[Floats, Floats, Floats]:
    """When each batch's gate opens (h, inf: never), how much of its need is met by an hour, and how
    many times its crop's usual need that is.

    nan, all, where a batch has no gate.
    """
    if isinstance(ageing, Progress) or need is None:
        none = np.full(len(lines.ids), np.nan)
        return none, none, none
    has_gate = ageing.meanwhile < 1.0
    met = np.minimum(need.shares_at(np.full(len(lines.ids), by_h))[1], 1.0)
    opens_h = ageing.half_open_h
    met = np.where(opens_h <= by_h, 1.0, met)
    opens_h, met, times = (
        np.where(has_gate, column, np.nan) for column in (opens_h, met, need.by_clock.shares[:, 1])
    )
    return opens_h, met, times
