"""Published statements about Japanese plums against what the program projects.

The rate is that of two cultivars in one table, both slow ripeners. Rates are printed to 0.1 kgf a
day, so they are taken as 0.05 either way. A gauge in two hands differs by 3-4 lbf on firm fruit,
which is half of what a plum has to lose.
"""

from functools import partial

import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.projection import EndCause
from tests.outside.crate import FOR_GOOD
from tests.outside.spans import crate, days_kept, days_to_ready
from tests.outside.statements import Role, Statement, label

PLUM = "plum"
AT_PICKING_LBF = 9.0
"""8-10 lbf for most plums that are cooled at once (Growing Organic Orchard Fruits)."""

KGF_TO_LOSE = (9.0 - 3.0) * 0.4536
"""From picking to ready to eat, 3 lbf (UC Davis)."""

TABLE = "Crop Post-Harvest Science and Technology, Table 10.9"
VOYAGE = [(-0.5, 21.0)]
"""A voyage from South Africa to the Netherlands, taken as three weeks: the abstract has no days."""


def softening(celsius: float, least_kgf: float, most_kgf: float, cultivars: str) -> Statement:
    return Statement(
        PLUM,
        f"days from 9 to 3 lbf at {celsius:g} C",
        f"{TABLE}, {cultivars}",
        Role.FIT,
        KGF_TO_LOSE / most_kgf,
        KGF_TO_LOSE / least_kgf,
        partial(days_to_ready, PLUM, AT_PICKING_LBF, celsius),
    )


def after_the_voyage(celsius: float) -> Statement:
    return Statement(
        PLUM,
        f"days to ready at {celsius:g} C after a voyage, 100-120 degree days",
        "GreenCHAINge WP6, ripening of plum fruit (abstract), Pioneer",
        Role.CHECK,
        100 / celsius,
        120 / celsius,
        partial(days_to_ready, PLUM, AT_PICKING_LBF, celsius, VOYAGE),
    )


def kept(celsius: float, low: float, high: float, source: str, role: Role) -> Statement:
    return Statement(
        PLUM,
        f"days kept at {celsius:g} C, {low:g} to {high:g}",
        source,
        role,
        low,
        high,
        partial(days_kept, PLUM, AT_PICKING_LBF, celsius),
    )


CHAPTER = "Crop Post-Harvest Science and Technology, chapter 10"

STATEMENTS = [
    softening(20.0, 0.25, 0.35, "Black Beaut and Santa Rosa: 0.3 kgf a day"),
    softening(25.0, 0.25, 0.45, "Black Beaut 0.3 and Santa Rosa 0.4 kgf a day"),
    softening(10.0, 0.05, 0.15, "Santa Rosa 0.1 kgf a day"),
    kept(0.0, 14, 28, "USDA Handbook 66 in Morris & Brady 2005", Role.FIT),
    kept(5.0, 7, 35, "Crisosto, Mitchell & Ju 1999, all cultivars within five weeks", Role.FIT),
    after_the_voyage(16.0),
    after_the_voyage(20.0),
    after_the_voyage(24.0),
    kept(0.0, 21, 42, "Cargo Handbook, Plums", Role.CHECK),
    kept(-0.5, 15, 30, "frutas-hortalizas.com, postharvest of plum", Role.CHECK),
    kept(0.0, 14, 28, f"{CHAPTER}: Friar and Showtime within four weeks", Role.CHECK),
    kept(0.0, 35, 49, f"{CHAPTER}: Blackamber and Fortune beyond five weeks", Role.CHECK),
]


@pytest.mark.parametrize("statement", STATEMENTS, ids=label)
def test_a_statement_comes_out_as_well_as_the_profile_says(statement: Statement) -> None:
    held_to = shipped_profiles()[PLUM].held_to
    assert held_to is not None
    assert statement.error_pct() <= held_to.error_pct


def test_fruit_from_5_c_is_lost_sooner_than_from_0_c() -> None:
    """The same chapter: in all cultivars a much longer market life at 0 C than at 5 C."""
    at_0, at_5 = (crate(PLUM, AT_PICKING_LBF, (celsius, FOR_GOOD)) for celsius in (0.0, 5.0))
    assert at_5.closes.mid < 0.75 * at_0.closes.mid
    assert at_5.cause is EndCause.CHILLING


def test_plums_soften_in_a_week_at_15_c_without_cold() -> None:
    """Kruger, Cook & Holcroft 2002: Pioneer and Sapphire soften significantly, no number given."""
    soft = crate(PLUM, AT_PICKING_LBF, (15.0, 7.0), (20.0, FOR_GOOD)).opens.mid
    assert soft < 7.0 + 0.7 * days_to_ready(PLUM, AT_PICKING_LBF, 20.0)
