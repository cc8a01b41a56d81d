"""Published statements about tomatoes against what the program projects.

The table of days to table-ripe by stage and temperature (Cantwell, UC Davis) sets speed, slope and
the mark of ready with two of its rows at three temperatures; the rest of it is left to check them,
as are other sources. It prints whole days, so half a day either way is allowed. Its row of 12.5 C
was read where it is restated, the others are from memory.

Sources disagree on fruit picked mature-green, whose first colour may be a day away or three weeks:
18 days at 12.5 C by the table, 25-28 at 12.8 C by Michigan State University. One statement at that
temperature holds both.

Not met, and kept out, because the profile is not of their kind: grape and mini-pear tomatoes took
6 days at 20 C from breaker or turning to light red (Roberts, Sargent & Fox, Proc. Fla. State Hort.
Soc.), twice as long as here. Nor is the flavour that two days below 13 C are said to cost.
"""

from functools import partial

import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.projection import EndCause
from tests.outside.crate import FOR_GOOD
from tests.outside.looks import crate, days_kept, days_to_green, days_to_ready
from tests.outside.statements import Role, Statement, label

TOMATO = "tomato"
CANTWELL = "Cantwell, UC Davis, Optimum procedures for ripening tomatoes"
UC_DAVIS = "Suslow & Cantwell, UC Davis produce facts"
MSU = "Michigan State University Extension 1997"
REVIEW = "Chilling injury in tomato fruit, review chapter, fig. 5.1"
NC_STATE = "NC State Extension, freshness facts"

TABLE_C = (12.5, 15.0, 17.5, 20.0, 22.5, 25.0)
TABLE_DAYS = {
    "green": (None, 15, 12, 10, 8, 7),
    "breaker": (16, 13, 10, 8, 6, 5),
    "turning": (13, 10, 8, 6, 4, 3),
    "pink": (10, 8, 6, 4, 3, 2),
}
"""Days to table-ripe; green fruit at 12.5 C has a statement of its own."""

FITTED = {(look, celsius) for look in ("breaker", "pink") for celsius in (12.5, 20.0, 25.0)}
WHOLE_DAYS = 0.5


def from_the_table(look: str, celsius: float, days: int) -> Statement:
    return Statement(
        TOMATO,
        f"days to table-ripe from {look} at {celsius:g} C",
        CANTWELL,
        Role.FIT if (look, celsius) in FITTED else Role.CHECK,
        days - WHOLE_DAYS,
        days + WHOLE_DAYS,
        partial(days_to_ready, TOMATO, look, celsius),
    )


def kept_turning_or_pink(celsius: float) -> float:
    return (days_kept(TOMATO, "turning", celsius) + days_kept(TOMATO, "pink", celsius)) / 2.0


def traded(celsius: float, low: float, high: float) -> Statement:
    return Statement(
        TOMATO,
        f"days within which turning and pink fruit is best sold at {celsius:g} C",
        "Sugri, New Perspectives in Agriculture and Crop Science, vol. 1, ch. 2 (abstract)",
        Role.CHECK,
        low,
        high,
        partial(kept_turning_or_pink, celsius),
    )


def kept(look: str, celsius: float, low: float, high: float, source: str, role: Role) -> Statement:
    return Statement(
        TOMATO,
        f"days that {look} fruit keeps at {celsius:g} C",
        source,
        role,
        low,
        high,
        partial(days_kept, TOMATO, look, celsius),
    )


STATEMENTS = [
    from_the_table(look, celsius, days)
    for look, row in TABLE_DAYS.items()
    for celsius, days in zip(TABLE_C, row, strict=True)
    if days is not None
]
STATEMENTS += [
    Statement(
        TOMATO,
        "days to table-ripe from green at 12.5-12.8 C: 18 or 25-28",
        f"{CANTWELL}; {MSU}",
        Role.CHECK,
        18,
        28,
        lambda: days_to_ready(TOMATO, "green", 12.65),
    ),
    Statement(
        TOMATO,
        "days to an eating stage from green at 65-70 F, here the middle",
        MSU,
        Role.CHECK,
        14 - WHOLE_DAYS,
        14 + WHOLE_DAYS,
        lambda: days_to_ready(TOMATO, "green", 19.7),
    ),
    Statement(
        TOMATO,
        "days to ripe from green to a blush at 57 F: about three weeks",
        "When there's frost on the green tomatoes, Washington Post, 7 October 1977",
        Role.CHECK,
        19,
        23,
        lambda: days_to_ready(TOMATO, "green", 13.9),
    ),
    kept("red", 8.5, 8, 10, f"{UC_DAVIS}: 7-10 C, after firm-ripe", Role.FIT),
    kept("breaker", 5.0, 6, 8, f"{UC_DAVIS}: injured beyond that", Role.FIT),
    kept("breaker", 10.0, 7, 14, f"{UC_DAVIS}: two weeks; {REVIEW}: 7-8 days", Role.FIT),
    kept("green", 14.5, 21, 28, f"{NC_STATE}: 58-60 F", Role.FIT),
    kept("red", 11.4, 7, 14, "Nebraska Extension: 50-55 F", Role.CHECK),
    kept("red", 9.0, 7 - WHOLE_DAYS, 7 + WHOLE_DAYS, "Cargo Handbook: 8-10 C", Role.CHECK),
    kept("red", 20.0, 2, 4, f"{NC_STATE}: no temperature given, here a room's", Role.CHECK),
    kept("pink", 9.4, 7, 14, f"{NC_STATE}: 48-50 F", Role.CHECK),
    traded(30.0, 2, 4),
    traded(20.0, 8, 12),
    traded(15.0, 10, 15),
    kept("breaker", 7.5, 7 - WHOLE_DAYS, 7 + WHOLE_DAYS, f"{REVIEW}: 7-8 C", Role.CHECK),
    kept("breaker", 3.0, 3 - WHOLE_DAYS, 3 + WHOLE_DAYS, f"{REVIEW}: 3 C", Role.CHECK),
]

FITTED_WITHIN_PCT = 20.0
"""The six days of the table that set three figures do not lie on one curve."""


@pytest.mark.parametrize("statement", STATEMENTS, ids=label)
def test_a_statement_comes_out_as_well_as_the_profile_says(statement: Statement) -> None:
    held_to = shipped_profiles()[TOMATO].held_to
    assert held_to is not None
    within = FITTED_WITHIN_PCT if statement.role is Role.FIT else held_to.error_pct
    assert statement.error_pct() <= within


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
