"""Published statements about mango against what the program projects.

No series of firmness by an 8 mm probe and temperature was found, and the marks of ripeness are from
memory, so what is held to the world is dates. Fruit looked at weekly is taken as that week.

Chilling differs between cultivars by more than any model can mend: 10 C is safe for five weeks for
Kensington and injures Kent and Ataulfo within one. Both set the range.
"""

from functools import partial

import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.projection import EndCause
from tests.outside.crate import FOR_GOOD
from tests.outside.spans import crate, days_kept, days_to_ready, firmness_left_pct
from tests.outside.statements import Role, Statement, label

MANGO = "mango"
MATURE_GREEN_LBF = 22.0
CHAPLIN = "Chaplin et al. 1991, Acta Hort. 291:461-471, Kensington"


def ripe(celsius: float, low: float, high: float, source: str, role: Role) -> Statement:
    return Statement(
        MANGO,
        f"days to ripe at {celsius:g} C, {low:g} to {high:g}",
        source,
        role,
        low,
        high,
        partial(days_to_ready, MANGO, MATURE_GREEN_LBF, celsius),
    )


def kept(celsius: float, low: float, high: float, source: str, role: Role) -> Statement:
    return Statement(
        MANGO,
        f"days kept or unhurt at {celsius:g} C, {low:g} to {high:g}",
        source,
        role,
        low,
        high,
        partial(days_kept, MANGO, MATURE_GREEN_LBF, celsius),
    )


STATEMENTS = [
    ripe(18.0, 5, 9, "Kader & Brecht 2014", Role.FIT),
    ripe(22.0, 5, 9, "Kader & Brecht 2014", Role.FIT),
    kept(13.0, 14, 28, "UC Davis produce facts", Role.FIT),
    kept(10.0, 7, 35, "Osuna-Garcia 2015 (Kent) to O'Hare & Prasad 1993 (Kensington)", Role.FIT),
    kept(7.5, 7, 21, "Osuna-Garcia 2015 (Kent) to O'Hare & Prasad 1993 (at 7 C)", Role.FIT),
    Statement(
        MANGO,
        "percent of firmness left after a week at 15 C: fully firm",
        CHAPLIN,
        Role.FIT,
        85,
        100,
        partial(firmness_left_pct, MANGO, MATURE_GREEN_LBF, 15.0, 7.0),
    ),
    ripe(20.0, 6, 8, f"{CHAPLIN}: ripe after a week", Role.CHECK),
    ripe(15.0, 8, 21, f"{CHAPLIN}: firm after a week, soft and ripe after three", Role.CHECK),
    ripe(20.0, 3, 14, "South African growers' handling note, 18-23 C", Role.CHECK),
    kept(5.0, 3, 7, f"{CHAPLIN}: injured after a week", Role.CHECK),
    kept(1.0, 3, 7, f"{CHAPLIN}: injured after a week", Role.CHECK),
    kept(10.0, 21, 28, f"{CHAPLIN}: unhurt after three weeks, the longest tried", Role.CHECK),
    kept(5.0, 5, 10, "Islam et al., Langra, injured after 10 days", Role.CHECK),
    kept(12.0, 5, 25, "Phakawatmongkol et al. 2004, six Thai cultivars", Role.CHECK),
    kept(12.0, 14, 21, "reefer guideline table, 10-14 C", Role.CHECK),
]


@pytest.mark.parametrize("statement", STATEMENTS, ids=label)
def test_a_statement_comes_out_as_well_as_the_profile_says(statement: Statement) -> None:
    held_to = shipped_profiles()[MANGO].held_to
    assert held_to is not None
    assert statement.error_pct() <= held_to.error_pct


def test_cold_ends_it_below_10_c_and_age_in_a_room() -> None:
    """O'Hare & Prasad 1993: skin browns at 5 C, from one week on."""
    assert crate(MANGO, MATURE_GREEN_LBF, (5.0, FOR_GOOD)).cause is EndCause.CHILLING
    warm = crate(MANGO, MATURE_GREEN_LBF, (20.0, FOR_GOOD))
    assert warm.cause in (EndCause.TOO_SOFT, EndCause.RIPE_LIFE)


def test_heat_does_not_hurry_mangos() -> None:
    """Kader & Brecht 2014: ripening is retarded above 30 C."""
    at_27, at_30, at_34 = (
        days_to_ready(MANGO, MATURE_GREEN_LBF, celsius) for celsius in (27.0, 30.0, 34.0)
    )
    assert at_27 < at_30 < at_34


def test_ripe_mangos_keep_for_up_to_a_week_at_10_to_13_c() -> None:
    """Kader & Brecht 2014, a statement that set the ripe life."""
    closes = crate(MANGO, 5.0, (12.5, FOR_GOOD)).closes
    assert 4 <= closes.mid <= 7
