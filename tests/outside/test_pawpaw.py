"""What sources say of pawpaw in words, held against what the program projects.

No softening rate of pawpaw has been published for any temperature. Sources print whole days and
"room temperature", which is taken as 20 or 22 C where nothing is said.
"""

import numpy as np
import pytest

from ripenroom.records.batch import FEELS
from ripenroom.records.crop.statement import Asks, Start
from ripenroom.season.projection import EndCause
from tests.outside.asked import asked
from tests.outside.crate import FOR_GOOD, Outcome, Stay, follow, readings_around

PAWPAW = "pawpaw"
JUST_RIPE_N = 7.1
"""Mean of the firmest of 16 cultivars when ripe (Brannan et al. 2021 as relayed)."""


def pawpaws(feel: str, *stays: Stay) -> Outcome:
    return follow(PAWPAW, stays, feel=feel)


@pytest.mark.parametrize("celsius", [14.0, 15.0, 16.0])
def test_the_range_in_a_cool_house_meets_that_of_practice(celsius: float) -> None:
    """Common practice without a source: 7-10 days on an indoor shelf in October."""
    opens = pawpaws("slight give", (celsius, FOR_GOOD)).opens
    assert opens.low <= 10
    assert opens.high >= 7


@pytest.mark.parametrize("celsius", [0.0, 2.0, 4.0])
def test_four_weeks_of_cold_still_ripen_and_eight_do_not(celsius: float) -> None:
    """UC Davis: 0-4 C for at most 4 weeks. Archbold et al. 2003: a month at 4 C ripens normally.
    Both met by the 80 % range. Galli 2007 (dissertation) and Archbold & Pomper 2004: at 8 weeks
    very soft, black, unripened.
    """
    injury = asked(PAWPAW, Asks.INJURY, Start(feel=FEELS.index("slight give")), (celsius, FOR_GOOD))
    assert injury.never or injury.high >= 28.0 or np.isnan(injury.high)
    assert injury.mid < 56.0

    eight_weeks = pawpaws("slight give", (celsius, 56.0), (20.0, FOR_GOOD))
    assert eight_weeks.opens.never
    assert eight_weeks.cause is EndCause.CHILLING


def test_what_ripens_of_fruit_picked_hard_is_little() -> None:
    """Archbold, Koslanund & Pomper 2003, HortTechnology 13(3):439-441: immature fruit did not
    ripen, even with ethephon; fruit picked when softening is felt ripens. Read as nearly none and
    nearly all.
    """
    assert pawpaws("hard", (20.0, FOR_GOOD)).wont_ripen > 0.8
    assert pawpaws("gives", (20.0, FOR_GOOD)).wont_ripen < 0.01


def test_neither_ripe_fruit_nor_fruit_after_two_weeks_in_a_refrigerator_ends_by_cold() -> None:
    """Walter Reeves, Pawpaw - When to Pick: cold puts ripening off and does not end it; ripe fruit
    lasts for four or five days there.
    """
    by_itself = (EndCause.RIPE_LIFE, EndCause.TOO_SOFT)
    ripe = follow(PAWPAW, [(4.0, FOR_GOOD)], readings_n=readings_around(JUST_RIPE_N))
    assert ripe.cause in by_itself
    assert pawpaws("slight give", (4.0, 14.0), (22.0, FOR_GOOD)).cause in by_itself


def test_softening_slows_at_4_c_but_does_not_stop() -> None:
    """HortScience 40(4):1088C: some loss during weeks 1-6 at 4 C. Archbold et al. 2003: little in a
    month.

    Read as: less in four weeks of cold than in three days at room temperature, but not nothing.
    """
    cold = follow(PAWPAW, [(4.0, FOR_GOOD)], feel="slight give", asked_days=[0.0, 7.0, 28.0])
    warm = follow(PAWPAW, [(22.0, FOR_GOOD)], feel="slight give", asked_days=[0.0, 3.0])
    at_pick, week, month = cold.firmness_n
    assert at_pick - month < warm.firmness_n[0] - warm.firmness_n[1]
    assert at_pick > week > month


@pytest.mark.parametrize("mean_n", [4.0, 5.5, 7.1])
def test_the_means_of_ripe_cultivars_count_as_ready(mean_n: float) -> None:
    """Brannan et al. 2021 as relayed: ripe fruit of 16 cultivars measured 3.8-7.1 N."""
    outcome = follow(PAWPAW, [(20.0, FOR_GOOD)], readings_n=readings_around(mean_n))
    assert outcome.opens.mid < 0.5
    assert outcome.closes.high > 0.5
