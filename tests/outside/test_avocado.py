"""What sources say of Hass avocado in words, held against what the program projects.

Days to ripe of Hass differ by a factor of two with season and orchard. The wait before softening is
folded into one logistic clock: published firmness during the first days at 20 C, or in the cold,
will not fit it well.
"""

import pytest

from ripenroom.records.crop.statement import Asks, Start
from ripenroom.season.projection import EndCause
from ripenroom.units import newtons
from tests.outside.asked import asked
from tests.outside.crate import FOR_GOOD, follow, readings_around

AVOCADO = "avocado"
HALF_A_DAY = 0.5
AT_HARVEST_N = readings_around(200.0)
"""Gauge readings around the mean firmness at harvest, from the pre-ripening study."""


@pytest.mark.parametrize(("cold_days", "published"), [(0.0, 9.5), (14.0, 5.7)])
def test_days_to_ripe_with_and_without_cold_lie_in_the_range(
    cold_days: float, published: float
) -> None:
    """Arpaia 1993. The clock lets two weeks of cold save less than was found."""
    stays = [(5.0, cold_days), (20.0, FOR_GOOD)]
    opens = follow(AVOCADO, stays, readings_n=AT_HARVEST_N).opens
    assert opens.low - cold_days <= published <= opens.high - cold_days


def test_early_and_late_seasons_lie_in_the_range() -> None:
    """Growers' table, avocadotoyou.co.nz: from 5-7 days late to 8-11 days early in the season."""
    opens = follow(AVOCADO, [(20.0, FOR_GOOD)], readings_n=AT_HARVEST_N).opens
    assert opens.low < 6
    assert opens.high > 9.5


@pytest.mark.parametrize("celsius", [5.0, 7.0])
def test_fruit_that_was_stored_for_two_weeks_still_ripens(celsius: float) -> None:
    """Cantwell, UC Davis storage table: 2-4 weeks at 3-7 C, met by the 80 % range."""
    injury = asked(AVOCADO, Asks.INJURY, Start(), (celsius, FOR_GOOD))
    assert injury.never or injury.high >= 14.0


@pytest.mark.parametrize("celsius", [0.0, 1.0, 2.0])
def test_a_week_at_0_to_2_c_does_no_harm_and_three_do(celsius: float) -> None:
    """UC Davis: skin blackens after more than 7 days at 0-2 C (from memory). Woolf et al. 2003,
    Postharvest Biol. Technol. 28:113-122: three weeks at 0 C blacken nearly all of it.
    """
    week = follow(AVOCADO, [(celsius, 7.0), (20.0, FOR_GOOD)], readings_n=AT_HARVEST_N)
    assert not week.opens.never
    three = follow(AVOCADO, [(celsius, 21.0), (20.0, FOR_GOOD)], readings_n=AT_HARVEST_N)
    assert three.opens.never
    assert three.cause is EndCause.CHILLING


def test_heat_does_not_hurry_avocados() -> None:
    """Hopkirk et al. 1994, New Zealand J. Crop Hort. Sci. 22:305-311: no proper ripening at 30 C.

    The model slows down and knows no disorder: it must not promise fruit sooner at 30 than at 25 C.
    """
    at_25, at_30 = (
        follow(AVOCADO, [(celsius, FOR_GOOD)], readings_n=AT_HARVEST_N).opens.mid
        for celsius in (25.0, 30.0)
    )
    assert at_30 > at_25


@pytest.mark.parametrize(("pressure_lbf", "published"), [(20.0, 3.0), (12.5, 2.0), (7.5, 1.0)])
def test_the_trades_day_lies_between_its_mark_of_ready_and_that_of_trials(
    pressure_lbf: float, published: float
) -> None:
    """Trade table of five stages, casadelaguacate.com, in whole days: it calls fruit ready from
    5 lbf, where trials let it soften further. Middle fruit is at 5 lbf no later than the trade
    says, and the eat-by window opens no earlier, by the 80 % ranges of both.
    """
    start = Start(at_n=newtons(pressure_lbf, "lbf"))
    mark = asked(AVOCADO, Asks.MARK, start, (20.0, FOR_GOOD), mark_n=newtons(5.0, "lbf"))
    assert mark.low <= published + HALF_A_DAY
    assert asked(AVOCADO, Asks.READY, start, (20.0, FOR_GOOD)).high >= published - HALF_A_DAY
