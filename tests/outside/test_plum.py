"""What sources say of Japanese plums in words, held against what the program projects.

A gauge in two hands differs by 3-4 lbf on firm fruit, which is half of what a plum has to lose.
"""

from ripenroom.season.projection import EndCause
from tests.outside.crate import FOR_GOOD
from tests.outside.spans import crate, days_to_ready

PLUM = "plum"
AT_PICKING_LBF = 9.0
"""8-10 lbf for most plums that are cooled at once (Growing Organic Orchard Fruits)."""


def test_fruit_from_5_c_is_lost_sooner_than_from_0_c() -> None:
    """The same chapter: in all cultivars a much longer market life at 0 C than at 5 C."""
    at_0, at_5 = (crate(PLUM, AT_PICKING_LBF, (celsius, FOR_GOOD)) for celsius in (0.0, 5.0))
    assert at_5.closes.mid < at_0.closes.mid
    assert at_5.cause is EndCause.CHILLING


def test_plums_soften_in_a_week_at_15_c_without_cold() -> None:
    """Kruger, Cook & Holcroft 2002: Pioneer and Sapphire soften significantly, no number given."""
    soft = crate(PLUM, AT_PICKING_LBF, (15.0, 7.0), (20.0, FOR_GOOD)).opens.mid
    assert soft < 7.0 + 0.7 * days_to_ready(PLUM, AT_PICKING_LBF, 20.0)
