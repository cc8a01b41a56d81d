"""What sources say of papaya in words, held against what the program projects.

Sources mean different ends by "ripe" (soft enough to eat, or yellow all over) and differ by a
factor of two and more in pace even so.
"""

from ripenroom.records.crop.statement import Asks, Start
from ripenroom.season.projection import EndCause
from tests.outside.asked import asked
from tests.outside.crate import FOR_GOOD
from tests.outside.looks import crate, days_to_ready

PAPAYA = "papaya"


def test_both_sources_of_the_speed_lie_in_its_range() -> None:
    """Jones & Kubota 1940: ripe 3-4 days after the first yellow. An & Paull 1990: 10-18 days to
    yellow all over, read as 5 % green: a tinge is left.
    """
    colour_break = Start(feel=1)
    opens = asked(PAPAYA, Asks.READY, colour_break, (25.0, FOR_GOOD))
    yellow = asked(PAPAYA, Asks.MARK, colour_break, (25.0, FOR_GOOD), mark_n=5.0)
    assert opens.low <= 4.0
    assert yellow.high >= 10.0


def test_no_fruit_ripens_below_15_c_within_three_weeks() -> None:
    """Widjanarko & Wills 1997: none while held at 5-15 C for 7-21 days; slowly at 17 C, more
    slowly than at 20 C.
    """
    at_17, at_20 = (days_to_ready(PAPAYA, "color break", celsius) for celsius in (17.0, 20.0))
    assert at_17 > at_20
    for celsius in (8.0, 10.0, 12.0):
        opens = crate(PAPAYA, "color break", (celsius, FOR_GOOD)).opens
        assert opens.never or opens.mid > 21.0


def test_two_weeks_at_10_c_do_no_harm_and_five_do() -> None:
    """An & Paull 1990: ripened normally after 14 days at 10 C. UC Davis: 2-4 weeks at 13 C."""
    two = crate(PAPAYA, "color break", (10.0, 14.0), (22.5, FOR_GOOD))
    assert 14.0 < two.opens.mid < two.closes.mid
    five = crate(PAPAYA, "color break", (10.0, 35.0), (22.5, FOR_GOOD))
    assert five.opens.never
    assert five.cause in (EndCause.CHILLING, EndCause.STORAGE_LIFE)


def test_heat_does_not_hurry_papaya() -> None:
    """An & Paull 1990: fruit at 32.5 C for 10 days did not ripen properly; 22.5-27.5 C is best."""
    assert days_to_ready(PAPAYA, "color break", 34.0) > days_to_ready(PAPAYA, "color break", 27.5)
