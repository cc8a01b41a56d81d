"""What sources say of tomatoes in words, held against what the program projects."""

from ripenroom.season.projection import EndCause
from tests.outside.crate import FOR_GOOD
from tests.outside.looks import crate, days_to_green, days_to_ready

TOMATO = "tomato"


def test_red_is_reached_last_in_the_order_of_the_grades() -> None:
    """USDA grades: turning from 10 % coloured, pink from 30, light red from 60, red from 90."""
    days = [days_to_green(TOMATO, "breaker", green, 20.0) for green in (90, 70, 40, 10)]
    assert days == sorted(days)
    assert 0.0 < days[0] < days[-1] < days_to_ready(TOMATO, "breaker", 20.0)


def test_heat_does_not_hurry_red() -> None:
    """Nebraska Extension: no red colour above 86 F (30 C), 68-77 F is best."""
    assert days_to_ready(TOMATO, "breaker", 33.0) > days_to_ready(TOMATO, "breaker", 27.0)


def test_green_fruit_may_fail_and_fruit_with_colour_does_not() -> None:
    """UC Davis: fruit picked before its seeds lie in jelly ripens poorly; how much of it there is
    in a pick was not published.
    """
    green, breaker = (crate(TOMATO, look, (20.0, FOR_GOOD)) for look in ("green", "breaker"))
    assert 0.01 < green.wont_ripen < 0.2
    assert breaker.wont_ripen < 0.01


def test_cold_ends_unripe_fruit_and_ripe_life_red_fruit() -> None:
    """UC Davis: 10 C beyond two weeks chills; red fruit is stored at 7-10 C."""
    assert crate(TOMATO, "breaker", (5.0, FOR_GOOD)).cause is EndCause.CHILLING
    assert crate(TOMATO, "red", (15.0, FOR_GOOD)).cause is EndCause.RIPE_LIFE
