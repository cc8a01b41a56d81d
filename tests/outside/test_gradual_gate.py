"""A gate that opens by and by, against fruit followed one by one in half hours.

The true fruit gains speed smoothly, by the Normal probability of the log of the share of its need
that is met; the program frees full speed in equal parts. So its speed may at any time be off by
half a part, a little over one in twenty, and it is right again as each part opens.
"""

from dataclasses import replace

import numpy as np
import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.crop.profile import CropProfile, Figure
from ripenroom.science.gated_ageing import PARTS
from tests.draws import first_every_day
from tests.outside.drawn_fruit import evenly
from tests.outside.season_says import Says, season_says
from tests.outside.true_dates import dates_of
from tests.outside.true_fruit import follow_fruit
from tests.outside.true_pulp import Journey, course_of, ended_h

DAYS = 90
UNTIL_H = 24.0 * DAYS
FRUIT = 1000
A_QUARTER_OF_A_DAY_H = 6.0
HALF_A_PART = 0.5 / PARTS
WAYS = {
    "out before": Journey(20.0, 4.0, ((0.0, 1.0), (15.0 * 24.0, 20.0))),
    "out about then": Journey(20.0, 4.0, ((0.0, 1.0), (30.0 * 24.0, 20.0))),
    "out after": Journey(20.0, 4.0, ((0.0, 1.0), (60.0 * 24.0, 20.0))),
    "in and out": Journey(20.0, 4.0, ((0.0, 5.0), (96.0, 20.0), (144.0, 5.0), (480.0, 20.0))),
}


def gradual(crop: str, width: float) -> CropProfile:
    shipped = shipped_profiles()[crop]
    assert shipped.gate is not None
    return replace(shipped, gate=replace(shipped.gate, width=Figure(width, width, width, "made")))


@pytest.mark.parametrize("width", first_every_day([0.4, 0.15, 0.8]))
@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("crop", ["pear", "kiwifruit"])
def test_dates_are_those_of_fruit_that_gains_speed_smoothly(
    crop: str, way: str, width: float
) -> None:
    says = season_says(crop, WAYS[way], feel_counts=(0, 20, 0, 0, 0), profile=gradual(crop, width))
    course = course_of(WAYS[way], UNTIL_H)
    fates = follow_fruit(says.profile, evenly(says.profile, says.ages, FRUIT), course)
    true = dates_of(fates, ended_h(course, says.profile), UNTIL_H)
    said_h = Says.hour_of(says.projection().opens_h)
    out_h = WAYS[way].stays[-1][0]
    if np.isnan(true.opens_h) or np.isnan(said_h):
        # Of what goes so slowly behind its gate that it shrivels first no date is told.
        untold = bool(says.outlook.undated[0])
        assert untold or np.isnan(true.opens_h) or true.opens_h > 0.95 * UNTIL_H
        return
    # Half a part of its speed moves what is left after it came into the warm by as much; fruit that
    # ripens before that, all of its way.
    left_h = true.opens_h - out_h if true.opens_h > out_h else true.opens_h
    slack_h = A_QUARTER_OF_A_DAY_H + HALF_A_PART * left_h / _share_then(says, out_h)
    assert said_h == pytest.approx(true.opens_h, abs=slack_h)


def _share_then(says: Says, hour: float) -> float:
    """Share of full speed that is free from then on, at least."""
    gate = says.profile.gate
    assert gate is not None
    ageing = says.outlook.ageing
    opens_h = ageing.opens_h[0] - ageing.stays.start_h[0, 0]  # type: ignore[union-attr]
    return gate.meanwhile.value + (1.0 - gate.meanwhile.value) * float((opens_h <= hour).mean())
