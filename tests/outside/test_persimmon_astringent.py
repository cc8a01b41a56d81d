"""What sources say of astringent persimmons in words, held against what the program projects.

Hardly any were found that give days.
"""

from ripenroom.units import force_in
from tests.outside.spans import crate, days_to_ready

PERSIMMON = "persimmon_astringent"
AT_HARVEST_LBF = force_in(44.0, "lbf")
TREATED_H = 72.0


def test_ethylene_takes_its_astringency_long_before_a_room_does() -> None:
    """UC Davis produce facts: 10 ppm at 20 C removes astringency, and softens."""
    treated = crate(PERSIMMON, AT_HARVEST_LBF, (20.0, 100.0), ethylene_h=TREATED_H)
    left = crate(PERSIMMON, AT_HARVEST_LBF, (20.0, 100.0))
    assert treated.able_days <= TREATED_H / 24.0 + 0.01
    assert left.able_days > treated.able_days
    assert treated.opens.mid < left.opens.mid


def test_it_waits_longest_in_the_cold() -> None:
    """Common practice, no source: astringent kinds are kept firm at 0 C."""
    days = [days_to_ready(PERSIMMON, AT_HARVEST_LBF, celsius) for celsius in (12.0, 16.0, 20.0)]
    assert days == sorted(days, reverse=True)
