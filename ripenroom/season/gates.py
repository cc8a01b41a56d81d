"""Gates of the crops, put between the clocks and the projection."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.special import ndtr

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
    """Ageing behind each crop's gate, and the lines as shares are to be worked out from them.

    Dates take the range of the gate's opening as it is; to the lines it is added as doubt about
    their age, alike either way.

    ``need`` counts shares of the gate's need that are met. A gate that may open some days sooner
    or later makes the age after it uncertain by as many days of ageing; a batch that gets barely
    enough may in part not ripen at all.
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
    batches = lines.batches
    # Where the need's high end is never met, only its early half says how far off the date is.
    for_sure = np.isfinite(met[:, 2])
    span = np.where(for_sure, (days[:, 2] - days[:, 0]) / 2.0, days[:, 1] - days[:, 0])
    doubt = batches.rate_per_day * (1.0 - meanwhile) * span / TAIL_80
    enough = np.where(for_sure | ~np.isfinite(opens_h), 1.0, _likely_enough(need, far, low, high))
    known = replace(
        batches,
        doubt_sd=np.hypot(batches.doubt_sd, doubt),
        ripens=batches.ripens * enough,
    )
    opening = (np.maximum(met[:, n], picked_h) for n in (0, 2))
    return GatedAgeing(ageing, opens_h, meanwhile, *opening), replace(lines, batches=known)


def _likely_enough(need: Progress, far: Floats, low: Floats, high: Floats) -> Floats:
    """How likely it is that what a batch gets of its need is enough to open the gate."""
    met = need.at(far)[:, 2]
    log_sd = np.maximum(np.log(high / low) / (2.0 * TAIL_80), 1e-9)
    return np.asarray(ndtr(np.log(np.maximum(met, 1e-9)) / log_sd))


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
