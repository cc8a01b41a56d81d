"""Published statements about Anjou, Bosc and Comice pears against what the program projects.

Two clocks are held to the world: how long the cold has to last before a pear is able to ripen, and
how long it then takes in a room. The need of cold halves (Comice), falls to a third (Anjou) or to
nothing (Bosc) within four weeks of later picking (Sugar & Einhorn 2011), and the abstracts seldom
say how mature the fruit was: that is the largest error here, and no figure can mend it.

Not met, and kept out, are garden leaflets on cold: Penn State gives two to six weeks for all three
cultivars and Colorado State two weeks for Anjou and Bosc, without a maturity or a mark of ripeness.
Trials on Anjou agree on about 60 days. The same leaflets' days to ripen in a room are used, because
little else was found; they are given for 18-24 C and held against the model at 20 C.
"""

from functools import partial

import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.units import newtons
from tests.outside.crate import FOR_GOOD, Stay
from tests.outside.spans import (
    crate,
    days_between,
    days_kept,
    days_to_ready,
    days_until_able,
    firmness_after,
)
from tests.outside.statements import Role, Statement, label

AT_PICKING_LBF = {"anjou": 13.5, "bosc": 14.0, "comice": 11.5}
CHILLED: dict[str, list[Stay]] = {
    "anjou": [(-1.0, 66.0)],
    "bosc": [(-1.0, 21.0)],
    "comice": [(-1.0, 28.0)],
}
"""Cold that makes each able to ripen, and not much more."""

SUGAR = "Sugar & Einhorn 2011 (abstract)"
SUGAR_BASILE = "Sugar & Basile 2015, Acta Hort. 1094:567-572"
CHEN_1982 = "Chen & Mellenthin 1982, Acta Hort. 124 (article 26)"
PENN_STATE = "Penn State Extension 2017"
COLORADO = "Colorado State University, PlantTalk 1220"
ELGAR = "Elgar et al. 1997, Postharvest Biol. Technol. 10:29-37"
UC_DAVIS = "UC Davis produce facts 1996, all three cultivars"
MICHIGAN = "Michigan State University Extension 1997, pears keep a third longer at 30 than at 32 F"


def cold(crop: str, celsius: float, low: float, high: float, source: str, role: Role) -> Statement:
    return Statement(
        crop,
        f"{crop}, days of cold needed at {celsius:g} C, {low:g} to {high:g}",
        source,
        role,
        low,
        high,
        partial(days_until_able, crop, AT_PICKING_LBF[crop], celsius),
    )


def ripe(crop: str, low: float, high: float, source: str, role: Role) -> Statement:
    return Statement(
        crop,
        f"{crop}, days to ripe at 20 C once chilled, {low:g} to {high:g}",
        source,
        role,
        low,
        high,
        partial(days_to_ready, crop, AT_PICKING_LBF[crop], 20.0, CHILLED[crop]),
    )


def kept(crop: str, low: float, high: float, source: str, role: Role) -> Statement:
    return Statement(
        crop,
        f"{crop}, days kept at -1 C, {low:g} to {high:g}",
        source,
        role,
        low,
        high,
        partial(days_kept, crop, AT_PICKING_LBF[crop], -1.0),
    )


def third_longer(crop: str) -> Statement:
    def model() -> float:
        colder, warmer = (days_kept(crop, AT_PICKING_LBF[crop], at) for at in (-1.1, 0.0))
        return 100.0 * colder / warmer

    return Statement(
        crop,
        f"{crop}, life at -1 C in percent of that at 0 C",
        MICHIGAN,
        Role.CHECK,
        115,
        140,
        model,
    )


STATEMENTS = [
    # Anjou
    cold("anjou", -0.5, 55, 65, f"{SUGAR}; {CHEN_1982}", Role.FIT),
    cold("anjou", 5.0, 25, 35, SUGAR, Role.FIT),
    cold("anjou", 10.0, 10, 18, f"{SUGAR}; {SUGAR_BASILE}", Role.FIT),
    Statement(
        "anjou",
        "anjou, days to ripe at 20 C after 8 weeks of cold, 3 days at 20 C and 14 at -1 C",
        "Puig, Varga & Chen 1995, Tree Fruit Postharvest J. 6(2):24-32",
        Role.FIT,
        4,
        6,
        partial(
            days_to_ready,
            "anjou",
            AT_PICKING_LBF["anjou"],
            20.0,
            [(-1.0, 56.0), (20.0, 3.0), (-1.0, 14.0)],
        ),
    ),
    ripe("anjou", 5, 9, f"Puig et al. 1995 to {PENN_STATE}", Role.FIT),
    kept("anjou", 90, 150, CHEN_1982, Role.FIT),
    cold(
        "anjou", -1.0, 53, 59, "Chen et al. 1996, J. Food Quality 19:375-390: 8 weeks", Role.CHECK
    ),
    cold("anjou", -1.0, 57, 63, "Chen, WSU Postharvest Information Network PC2000H", Role.CHECK),
    cold("anjou", -0.5, 28, 56, UC_DAVIS, Role.CHECK),
    ripe("anjou", 7, 10, COLORADO, Role.CHECK),
    Statement(
        "anjou",
        "anjou, days from 13 to 11 lbf at 18.3 C, at about 1 lbf a day",
        "handling note of a maker of ethylene generators",
        Role.CHECK,
        2 / 1.25,
        2 / 0.75,
        lambda: days_between("anjou", 13.0, 11.0, 18.3, start_lbf=13.5, before=CHILLED["anjou"]),
    ),
    third_longer("anjou"),
    # Bosc
    cold("bosc", -0.5, 10, 15, f"{CHEN_1982} to {SUGAR}", Role.FIT),
    cold("bosc", 5.0, 6, 10, SUGAR, Role.FIT),
    cold("bosc", 10.0, 2, 5, SUGAR, Role.FIT),
    ripe("bosc", 6, 8, PENN_STATE, Role.FIT),
    kept("bosc", 60, 90, f"{CHEN_1982}: quality falls off after 60", Role.FIT),
    cold("bosc", 5.0, 3, 7, "cold stress of Bosc (scilit abstract): 7 days are enough", Role.CHECK),
    cold(
        "bosc", 10.0, 3, 7, "cold stress of Bosc (scilit abstract): 7 days are enough", Role.CHECK
    ),
    cold("bosc", -0.5, 14, 42, f"{ELGAR}: 2-6 weeks by harvest date", Role.CHECK),
    cold("bosc", -0.5, 28, 56, UC_DAVIS, Role.CHECK),
    ripe("bosc", 3, 7, f"{ELGAR}: within a week", Role.CHECK),
    ripe("bosc", 6, 8, COLORADO, Role.CHECK),
    third_longer("bosc"),
    # Comice
    cold("comice", -0.5, 15, 30, SUGAR, Role.FIT),
    cold("comice", 5.0, 9, 18, SUGAR, Role.FIT),
    cold("comice", 10.0, 9, 12, f"{SUGAR_BASILE} to {SUGAR}", Role.FIT),
    ripe("comice", 4, 7, f"Miro et al. 2001, Acta Hort. 553:735-737, to {PENN_STATE}", Role.FIT),
    cold("comice", 1.0, 7, 14, "Miro et al. 2001: two weeks are enough, one is not", Role.CHECK),
    cold("comice", -0.5, 14, 42, f"{ELGAR}: 2-6 weeks by harvest date", Role.CHECK),
    cold("comice", -0.5, 25, 31, "Castagnoli, Oregon State University: four weeks", Role.CHECK),
    cold("comice", -0.5, 28, 56, UC_DAVIS, Role.CHECK),
    ripe("comice", 3, 7, f"{ELGAR}: within a week", Role.CHECK),
    third_longer("comice"),
]


@pytest.mark.parametrize("statement", STATEMENTS, ids=label)
def test_a_statement_comes_out_as_well_as_its_profile_says(statement: Statement) -> None:
    held_to = shipped_profiles()[statement.crop].held_to
    assert held_to is not None
    assert statement.error_pct() <= held_to.error_pct


@pytest.mark.parametrize("crop", AT_PICKING_LBF)
def test_cold_runs_faster_at_10_c_than_at_0_c_and_not_at_20_c(crop: str) -> None:
    """Sugar & Einhorn 2011; unchilled Bosc resisted ripening at 20 C for 12 days (scilit)."""
    at_0, at_10, at_20 = (
        days_until_able(crop, AT_PICKING_LBF[crop], celsius) for celsius in (0.0, 10.0, 20.0)
    )
    assert at_10 < 0.6 * at_0
    assert at_20 == float("inf")


@pytest.mark.parametrize("crop", AT_PICKING_LBF)
def test_unchilled_fruit_resists_ripening_for_12_days_at_20_c(crop: str) -> None:
    """Cold stress of Bosc (scilit abstract); held to be so of all three."""
    start_n, end_n = firmness_after(crop, AT_PICKING_LBF[crop], 20.0, [0.0, 12.0])
    assert end_n > 0.85 * start_n
    assert crate(crop, AT_PICKING_LBF[crop], (20.0, FOR_GOOD)).opens.mid > 12


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
    """Elgar et al. 1997: able to ripen fully after up to 20 weeks at -0.5 C."""
    stays: list[Stay] = [(-0.5, 56.0)]
    assert 2 < days_to_ready(crop, AT_PICKING_LBF[crop], 20.0, stays) <= 7


def test_three_days_of_ethylene_stand_in_for_the_cold_of_anjou() -> None:
    """Chen et al. 1996; Sugar & Basile 2015: 100 ppm for 72 h at 20 C, and not 24 h, at the onset
    of maturity. It ripens in a room within the nine days of chilled fruit (Penn State).
    """
    lbf = AT_PICKING_LBF["anjou"]
    treated = crate("anjou", lbf, (20.0, FOR_GOOD), ethylene_h=72.0)
    assert treated.able_days == pytest.approx(3.0)
    assert 3 + 5 <= treated.opens.mid <= 3 + 9
    assert crate("anjou", lbf, (20.0, FOR_GOOD), ethylene_h=24.0).able_days == float("inf")


def test_a_day_of_ethylene_is_enough_for_bosc() -> None:
    """Sugar & Einhorn 2011: 24 h at 20 C, without any cold."""
    treated = crate("bosc", AT_PICKING_LBF["bosc"], (20.0, FOR_GOOD), ethylene_h=24.0)
    assert treated.able_days == pytest.approx(1.0)
