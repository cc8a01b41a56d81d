"""What sources say of Bartlett-type pears in words, held against what the program projects.

Pears ripen at full speed once they had ethylene or some weeks of cold; fresh ones lag.
"""

from ripenroom.season.projection import EndCause
from ripenroom.units import newtons
from tests.outside.crate import FOR_GOOD, follow, readings_around
from tests.outside.spans import days_to_ready

PEAR = "pear"
AT_HARVEST_N = readings_around(80.0)
"""Gauge readings at commercial maturity: 18 lbf, HortTechnology 6(1):24-27 (1996)."""
AT_HARVEST_LBF = 18.0


def test_the_six_days_after_four_weeks_of_cold_lie_in_the_range() -> None:
    """HortTechnology 6(1):24-27 (1996)."""
    opens = follow(PEAR, [(-1.0, 28.0), (20.0, FOR_GOOD)], readings_n=AT_HARVEST_N).opens
    assert opens.low - 28.0 <= 6 <= opens.high - 28.0


def test_pears_are_firm_enough_to_ship_after_75_days_at_minus_1_c() -> None:
    """USDA Handbook 66: 60-90 days. Firm enough: no softer than the 11-12 lbf at which
    conditioning is stopped.
    """
    outcome = follow(PEAR, [(-1.0, FOR_GOOD)], readings_n=AT_HARVEST_N, asked_days=[75.0])
    assert outcome.cause is EndCause.STORAGE_LIFE
    assert outcome.firmness_n[0] > newtons(11.0, "lbf")


def test_heat_does_not_hurry_pears() -> None:
    """Maxie et al. 1974: 30 C spoils ripening and 40 C stops it.

    The model slows down and knows no spoilage: it must not promise fruit sooner at 30 C than at
    25 C, nor within a week at 40 C.
    """
    at_25, at_30, at_40 = (
        follow(PEAR, [(celsius, FOR_GOOD)], readings_n=AT_HARVEST_N).opens
        for celsius in (25.0, 30.0, 40.0)
    )
    assert at_30.mid > at_25.mid
    assert at_40.mid > 7


def test_the_longer_pears_were_cold_the_sooner_they_ripen() -> None:
    """Colorado State University, PlantTalk 1220; Agar et al. 2000 found the same."""
    days = [
        days_to_ready(PEAR, AT_HARVEST_LBF, 20.0, [(-1.0, cold)])
        for cold in (0.0, 14.0, 28.0, 56.0)
    ]
    assert days == sorted(days, reverse=True)
    assert days[0] - days[-1] > 1


def test_triggered_pears_go_on_ripening_in_the_cold_and_slowest_at_0_c() -> None:
    """Washington State University, Shipping Pears: the closer to 0 C the slower."""
    part_ripe = readings_around(50.0)
    lost = []
    for celsius in (0.0, 2.0, 5.0):
        start, end = follow(
            PEAR, [(celsius, FOR_GOOD)], readings_n=part_ripe, asked_days=[0.0, 14.0]
        ).firmness_n
        lost.append(start - end)
    assert lost == sorted(lost)
    assert lost[0] > 0.0
