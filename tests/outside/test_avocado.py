"""Published statements about Hass avocado against what the program projects.

Days to ripe of Hass differ by a factor of two with season and orchard, and ``FIT`` statements do
not lie on one curve. The wait before softening is folded into one logistic clock: published
firmness during the first days at 20 C, or in the cold, will not fit it well.

The worst error is the last stage of the trade's table, whose pressures were used for the hand feel
and whose days were not: the trade calls fruit ready from 5 lbf (22 N), the profile from 6.7 N as
the trials do, which is most of a day later.

Half a day either way is allowed for whole days, since room temperature is only taken to be 20 C.

Not met, and kept out: what packers tell their customers of hard fruit from a shop (ripe in 3 to 5
days, ten days in a refrigerator: McDaniel), part of whose storage was over before it was bought;
and fruit pre-conditioned with ethylene, which is not the profile's.
"""

from functools import partial

import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.projection import EndCause
from ripenroom.units import force_in, newtons
from tests.outside.crate import FOR_GOOD, Stay, follow, readings_around
from tests.outside.spans import crate, days_kept, days_to_ready, firmness_left_pct
from tests.outside.statements import Role, Statement, label

FIT, CHECK = Role.FIT, Role.CHECK
AVOCADO = "avocado"
AT_HARVEST_N = readings_around(200.0)
"""Gauge readings around the mean firmness at harvest, from the pre-ripening study."""
AT_HARVEST_LBF = force_in(200.0, "lbf")
RIPE_LBF = force_in(6.0, "lbf")
HALF_A_DAY = 0.5

ARPAIA = "Arpaia 1993, California Avocado Society Yearbook 77:79-88"
UC_DAVIS = "Kader & Arpaia, UC Davis produce facts"
TRADE = "trade table of five stages, casadelaguacate.com"
ZAUBERMAN = "Zauberman et al. 1977, as cited in the pre-ripening study"
CANTWELL = "Cantwell, UC Davis storage table: 2-4 weeks at 3-7 C"
INJURY = f"{UC_DAVIS}: more than 7 days; Woolf et al. 2003: three weeks blacken nearly all of it"
IMPORTER = "importer's guide, deliciousavocados.co.uk"


def days_by_feel(feel: str) -> float:
    return follow(AVOCADO, [(20.0, FOR_GOOD)], feel=feel).opens.mid


def soonest_days() -> float:
    """Days to ripe at 20 C at the fast end of the range."""
    return crate(AVOCADO, AT_HARVEST_LBF, (20.0, FOR_GOOD)).opens.low


def from_harvest(
    low: float, high: float, source: str, role: Role, before: tuple[Stay, ...] = ()
) -> Statement:
    after = f" after {before[0][1]:g} days at {before[0][0]:g} C" if before else ""
    return Statement(
        AVOCADO,
        f"days to ripe at 20 C from harvest{after}, {low:g} to {high:g}",
        source,
        role,
        low,
        high,
        partial(days_to_ready, AVOCADO, AT_HARVEST_LBF, 20.0, before),
    )


def by_stage(lbf: float, days: float) -> Statement:
    return Statement(
        AVOCADO,
        f"days to ready at 20 C from {lbf:g} lbf: {days:g}",
        TRADE,
        CHECK,
        days - HALF_A_DAY,
        days + HALF_A_DAY,
        partial(days_to_ready, AVOCADO, lbf, 20.0),
    )


def kept(lbf: float, celsius: float, low: float, high: float, source: str, role: Role) -> Statement:
    return Statement(
        AVOCADO,
        f"days that fruit of {lbf:.2g} lbf keeps at {celsius:g} C, {low:g} to {high:g}",
        source,
        role,
        low,
        high,
        partial(days_kept, AVOCADO, lbf, celsius),
    )


STATEMENTS = [
    from_harvest(9, 10, f"{ARPAIA}: 9.5 days", FIT),
    from_harvest(5.2, 6.2, f"{ARPAIA}: 5.7 days", FIT, ((5.0, 14.0),)),
    Statement(
        AVOCADO,
        "days to ripe at 20 C with ethylene, here the fast end of the range",
        UC_DAVIS,
        FIT,
        3,
        6,
        soonest_days,
    ),
    kept(5.0, 20.0, 2 - HALF_A_DAY, 3 + HALF_A_DAY, f"{TRADE}: 2-3 days", FIT),
    kept(RIPE_LBF, 3.5, 4, 8, f"{TRADE}: up to a week at 36-40 F", FIT),
    Statement(
        AVOCADO,
        "percent of firmness left after 14 days at 12 C: softer than part-ripe fruit (80 N)",
        ZAUBERMAN,
        FIT,
        0,
        40,
        partial(firmness_left_pct, AVOCADO, AT_HARVEST_LBF, 12.0, 14.0),
    ),
    Statement(
        AVOCADO,
        "percent of firmness left after 14 days at 5 C: no softening below 10 C",
        ZAUBERMAN,
        FIT,
        65,
        100,
        partial(firmness_left_pct, AVOCADO, AT_HARVEST_LBF, 5.0, 14.0),
    ),
    *(kept(AT_HARVEST_LBF, celsius, 14, 28, CANTWELL, FIT) for celsius in (5.0, 7.0)),
    *(kept(AT_HARVEST_LBF, celsius, 7, 21, INJURY, FIT) for celsius in (0.0, 1.0, 2.0)),
    by_stage(20.0, 3),
    by_stage(12.5, 2),
    by_stage(7.5, 1),
    *(
        Statement(
            AVOCADO,
            f"days to ready at 20 C from {feel}, {low:g} to {high:g}",
            IMPORTER,
            CHECK,
            low,
            high,
            partial(days_by_feel, feel),
        )
        for feel, low, high in (("hard", 5, 7), ("slight give", 2, 5))
    ),
    from_harvest(5, 11, "avocadotoyou.co.nz, growers: 5-7 days late to 8-11 early", CHECK),
    from_harvest(7, 14, "ppod.foodrisk.org: one to two weeks in a room", CHECK),
    from_harvest(7, 10, "UC Cooperative Extension Ventura: typically ripe in 7 to 10 days", CHECK),
    from_harvest(3, 10, "Cambro, freshness: 67-70 F, by season, with ethylene or without", CHECK),
    kept(RIPE_LBF, 4.4, 4, 5 + HALF_A_DAY, "McDaniel Avocado, packers: up to 5 days", CHECK),
    kept(RIPE_LBF, 4.5, 5, 7, "Markon, foodservice: 5 to 7 days at 3-6 C", CHECK),
    kept(AT_HARVEST_LBF, 8.5, 14, 21, "reefer guideline table, agileshipping.in: 4-13 C", CHECK),
]

FITTED_WITHIN_PCT = 25.0
"""Arpaia's 9.5 days without cold are the slow end of the range, where those after cold are not."""


@pytest.mark.parametrize("statement", STATEMENTS, ids=label)
def test_a_statement_comes_out_as_well_as_the_profile_says(statement: Statement) -> None:
    held_to = shipped_profiles()[AVOCADO].held_to
    assert held_to is not None
    within = FITTED_WITHIN_PCT if statement.role is FIT else held_to.error_pct
    assert statement.error_pct() <= within


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


def test_ripe_fruit_in_a_refrigerator_ends_by_age() -> None:
    outcome = follow(AVOCADO, [(3.5, FOR_GOOD)], readings_n=readings_around(6.0))
    assert outcome.cause is EndCause.RIPE_LIFE


@pytest.mark.parametrize("celsius", [5.0, 7.0])
def test_fruit_that_was_stored_for_two_weeks_still_ripens(celsius: float) -> None:
    """Cantwell, UC Davis storage table: 2-4 weeks at 3-7 C."""
    two = follow(AVOCADO, [(celsius, 14.0), (20.0, FOR_GOOD)], readings_n=AT_HARVEST_N)
    assert not two.opens.never


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
def test_the_trades_day_lies_between_its_mark_of_ready_and_the_profiles(
    pressure_lbf: float, published: float
) -> None:
    """Middle fruit is at the trade's 5 lbf no later than the trade says, and the eat-by window
    opens, at the profile's 6.7 N, no earlier.
    """
    outcome = follow(
        AVOCADO,
        [(20.0, FOR_GOOD)],
        readings_n=readings_around(newtons(pressure_lbf, "lbf")),
        asked_days=[published],
    )
    assert outcome.firmness_n[0] <= newtons(5.0, "lbf")
    assert outcome.opens.mid >= published
