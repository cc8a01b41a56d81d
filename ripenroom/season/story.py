"""One batch over time, for its chart."""

import math

import numpy as np

from ripenroom.science.softening import firmness_n_at_age
from ripenroom.science.spread import TAIL_80, age_at_quantile
from ripenroom.season.crop_constants import CropConstants
from ripenroom.season.findings import BatchStory
from ripenroom.season.outlook import BookOutlook

_STEP_H = 3.0
_LONGEST_H = 24.0 * 120.0
_AFTER_H = 24.0 * 3.0


def story(outlook: BookOutlook, crop: CropConstants, now_h: float) -> BatchStory:
    """The story of the only batch of an outlook, from its pick to some days past its window."""
    batches, windows = outlook.batches, outlook.eat_by
    picked_h = float(batches.picked_h[0])
    ends = [now_h, float(windows.closes.high[0]), float(windows.closes.mid[0])]
    end_h = max((h for h in ends if math.isfinite(h)), default=now_h) + _AFTER_H
    hours = np.arange(picked_h, min(end_h, picked_h + _LONGEST_H) + _STEP_H, _STEP_H)
    gained = outlook.gained(hours)
    rate_sd = gained.rate_sd[0]

    def firmness_n(z: float) -> np.ndarray:
        age = age_at_quantile(z, batches.mean_age, gained.advance[0], batches.doubt_sd, rate_sd)
        return firmness_n_at_age(age, crop.highest_n, crop.lowest_n)

    ready, past = outlook.shares_as_estimated(hours)
    low, _, high = outlook.ready_range(hours)
    here = outlook.in_supply(hours)[0]
    air_c, pulp_c = outlook.temperatures_c(0, hours)
    return BatchStory(
        batch_id=outlook.lines.ids[0],
        hours=hours,
        firmness_low_n=firmness_n(TAIL_80),
        firmness_n=firmness_n(0.0),
        firmness_high_n=firmness_n(-TAIL_80),
        ready_low=low[0] * here,
        ready=ready[0] * here,
        ready_high=high[0] * here,
        past=past[0],
        air_c=air_c,
        pulp_c=pulp_c,
    )
