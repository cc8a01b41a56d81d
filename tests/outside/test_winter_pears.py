"""What sources say of winter pears in words, held against what the program projects.

Two clocks of Anjou, Bosc and Comice are held to the world: how long the cold has to last before a
pear is able to ripen, and how long it then takes in a room. The need of cold halves (Comice), falls
to a third (Anjou) or to nothing (Bosc) within four weeks of later picking (Sugar & Einhorn 2011),
and the abstracts seldom say how mature the fruit was.
"""

import numpy as np
import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.units import newtons
from tests.outside.crate import FOR_GOOD
from tests.outside.spans import (
    crate,
    days_until_able,
    firmness_after,
)

AT_PICKING_LBF = {"anjou": 13.5, "bosc": 14.0, "comice": 11.5}


@pytest.mark.parametrize("crop", AT_PICKING_LBF)
def test_cold_runs_faster_at_10_c_than_at_0_c_and_not_at_20_c(crop: str) -> None:
    """Sugar & Einhorn 2011; unchilled Bosc resisted ripening at 20 C for 12 days (scilit)."""
    at_0, at_10, at_20 = (
        days_until_able(crop, AT_PICKING_LBF[crop], celsius) for celsius in (0.0, 10.0, 20.0)
    )
    assert at_10 < at_0
    assert at_20 == float("inf")


@pytest.mark.parametrize("crop", AT_PICKING_LBF)
def test_unchilled_fruit_resists_ripening_for_12_days_at_20_c(crop: str) -> None:
    """Cold stress of Bosc (scilit abstract): resistant to ripening; held to be so of all three."""
    opens_days = crate(crop, AT_PICKING_LBF[crop], (20.0, FOR_GOOD)).opens.mid
    # No date: it waits for its cold, and shrivels.
    assert np.isnan(opens_days) or opens_days > 12


@pytest.mark.parametrize("crop", AT_PICKING_LBF)
def test_half_the_cold_at_0_and_half_at_10_c_do_together(crop: str) -> None:
    """Shares of the need add up; nobody has published whether they do, so it is only said here."""
    half = 0.5 * days_until_able(crop, AT_PICKING_LBF[crop], -0.5)
    rest = 0.5 * days_until_able(crop, AT_PICKING_LBF[crop], 10.0)
    able = crate(crop, AT_PICKING_LBF[crop], (-0.5, half), (10.0, FOR_GOOD)).able_days
    assert able == pytest.approx(half + rest, rel=0.03)


def test_anjou_is_still_firm_enough_to_ship_after_five_months_at_minus_1_c() -> None:
    """Chen & Mellenthin 1982: quality of fruit picked at the optimum went on improving until 150
    days. It must not ripen in store: conditioning is worth it from 12 lbf up (Pear Bureau), one
    hand reading being good to 3-4 lbf.
    """
    (after_n,) = firmness_after("anjou", AT_PICKING_LBF["anjou"], -1.0, [150.0])
    assert after_n > newtons(9.0, "lbf")


@pytest.mark.parametrize("crop", ["bosc", "comice"])
def test_bosc_and_comice_can_still_ripen_after_eight_weeks(crop: str) -> None:
    """Elgar et al. 1997, Postharvest Biol. Technol. 10:29-37: able to ripen fully, within a week,
    after up to 20 weeks at -0.5 C.
    """
    opens = crate(crop, AT_PICKING_LBF[crop], (-0.5, 56.0), (20.0, FOR_GOOD)).opens
    assert opens.mid > 56.0
    assert opens.low <= 56.0 + 7.0


def test_three_days_of_ethylene_stand_in_for_the_cold_of_anjou() -> None:
    """Chen et al. 1996; Sugar & Basile 2015: 100 ppm for 72 h at 20 C, and not 24 h, at the onset
    of maturity. It ripens in a room within the nine days of chilled fruit (Penn State).
    """
    lbf = AT_PICKING_LBF["anjou"]
    treated = crate("anjou", lbf, (20.0, FOR_GOOD), ethylene_h=72.0)
    assert treated.able_days <= 3.01
    assert treated.opens.low <= 3 + 9
    assert crate("anjou", lbf, (20.0, FOR_GOOD), ethylene_h=24.0).able_days == float("inf")


def test_a_day_of_ethylene_is_enough_for_bosc() -> None:
    """Sugar & Einhorn 2011: 24 h at 20 C, without any cold; met by the 80 % range."""
    gate = shipped_profiles()["bosc"].gate
    assert gate is not None
    assert gate.ethylene_days is not None
    assert gate.ethylene_days.low <= 1.0
