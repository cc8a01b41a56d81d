"""Gates of the crops, put between the clocks and the projection."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ripenroom.science.ageing import Ageing
from ripenroom.science.gate import AnyAgeing, GatedAgeing
from ripenroom.science.progress import Progress
from ripenroom.science.softening import Floats
from ripenroom.science.spread import TAIL_80
from ripenroom.season.crop_constants import GateConstants
from ripenroom.season.lines import Lines

_LOOK_AHEAD_H = 24.0 * 365.0


def gated(
    ageing: Ageing, need: Progress, lines: Lines, gates: Sequence[GateConstants]
) -> tuple[GatedAgeing, Lines]:
    """Ageing behind each crop's gate, and the lines with the doubt about its opening added.

    ``need`` counts shares of the gate's need that are met. A gate that may open some days sooner
    or later makes the age after it uncertain by as many days of ageing.
    """
    shut = np.array([gate.shut for gate in gates])[lines.crop]
    meanwhile = np.array([gate.meanwhile for gate in gates])[lines.crop]
    low = np.array([gate.need.low for gate in gates])[lines.crop]
    high = np.array([gate.need.high for gate in gates])[lines.crop]
    met = need.when(np.column_stack([low, np.ones(low.size), high]))
    picked_h = lines.batches.picked_h
    met = np.minimum(met, lines.treated_h[:, None])
    met = np.where(shut[:, None], met, picked_h[:, None])
    opens_h = np.maximum(met[:, 1], picked_h)
    far = np.minimum(met, picked_h[:, None] + _LOOK_AHEAD_H)
    days = ageing.at(far)
    doubt = lines.batches.rate_per_day * (1.0 - meanwhile) * (days[:, 2] - days[:, 0])
    doubt_sd = np.hypot(lines.batches.doubt_sd, doubt / (2.0 * TAIL_80))
    batches = replace(lines.batches, doubt_sd=doubt_sd)
    return GatedAgeing(ageing, opens_h, meanwhile), replace(lines, batches=batches)


def gate_columns(
    ageing: AnyAgeing, need: Progress | None, lines: Lines, by_h: float
) -> tuple[Floats, Floats]:
    """When each batch's gate opens (h, inf: never) and how much of its need is met by an hour.

    nan, both, where a batch has no gate.
    """
    if isinstance(ageing, Ageing) or need is None:
        none = np.full(len(lines.ids), np.nan)
        return none, none
    has_gate = ageing.meanwhile < 1.0
    met = np.minimum(need.at(np.full((len(lines.ids), 1), by_h))[:, 0], 1.0)
    met = np.where(ageing.opens_h <= by_h, 1.0, met)
    return np.where(has_gate, ageing.opens_h, np.nan), np.where(has_gate, met, np.nan)
