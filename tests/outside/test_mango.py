"""What sources say of mango in words, held against what the program projects.

No series of firmness by an 8 mm probe and temperature was found, so what is held to the world is
dates. Chilling differs between cultivars by more than any model can mend: 10 C is safe for five
weeks for Kensington and injures Kent and Ataulfo within one.
"""

from ripenroom.records.crop.statement import Asks, Start
from ripenroom.season.projection import EndCause
from tests.outside.asked import asked
from tests.outside.crate import FOR_GOOD
from tests.outside.spans import crate, days_to_ready

MANGO = "mango"
MATURE_GREEN_LBF = 22.0


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
    """Kader & Brecht 2014: up to a week, in whole days."""
    closes = asked(MANGO, Asks.KEPT, Start(ready=True), (11.5, FOR_GOOD))
    assert closes.low <= 7.0
    assert closes.high >= 6.5
