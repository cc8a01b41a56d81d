"""Published statements about crops of which only dates are known, against the program's dates.

These profiles hold published durations, so a ``FIT`` statement tells only that the projection
hands them back. ``CHECK`` statements were not used. Where a source prints whole days or weeks, half
of its last step is allowed either way; where it is about a range of temperatures, the middle is
taken.

Not met, and kept out, because no figure between them could meet both sides: cherimoyas edible after
6 days at 10 C (Alique et al. 1994) where atemoyas do not ripen at all (Australian growers), and
sound atemoyas after 12 days at 6 C (Shiesh) where 15 hours at 4 C blacken them (Smith et al.); figs
sound after 6 weeks at 1 C when picked half-ripe (Acta Hort. 258:31), and quinces stored for five
months (Radovic et al. 2020), which says how long they were looked at.
"""

import math
from collections.abc import Callable
from functools import partial
from itertools import pairwise

import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.projection import EndCause
from tests.outside.crate import FOR_GOOD, Stay, follow
from tests.outside.statements import Role, Statement, label

FIT, CHECK = Role.FIT, Role.CHECK
DAY_OF_ETHYLENE_H = 24.0
MONTH_DAYS = 30.4
BETWEEN_SOURCES_PCT = 25.0


def days_to_ready(crop: str, celsius: float, ethylene_h: float = 0.0) -> float:
    """Days until half of the fruit is ready."""
    return follow(crop, [(celsius, FOR_GOOD)], ethylene_h=ethylene_h).opens.mid


def days_kept(crop: str, celsius: float) -> float:
    """Days until the eat-by window closes, for whatever cause."""
    return follow(crop, [(celsius, FOR_GOOD)]).closes.mid


def days_to_injury(crop: str, celsius: float) -> float:
    """Days until cold has injured the fruit; nan if something else ends it first."""
    outcome = follow(crop, [(celsius, FOR_GOOD)])
    return outcome.closes.mid if outcome.cause is EndCause.CHILLING else math.nan


def days_green(crop: str, celsius: float) -> float:
    """Days until the fruit starts to ripen by itself."""
    return follow(crop, [(celsius, FOR_GOOD)]).able_days


def days_kept_after(crop: str, cold: Stay, celsius: float) -> float:
    """Days until the window closes at ``celsius``, counted from the end of a stay in the cold."""
    return follow(crop, [cold, (celsius, FOR_GOOD)]).closes.mid - cold[1]


def days_sooner(crop: str, warm_c: float, cool_c: float) -> float:
    """By how many days fruit is ready sooner in the warm."""
    return days_to_ready(crop, cool_c) - days_to_ready(crop, warm_c)


def times_longer(crop: str, cold_c: float, warm_c: float) -> float:
    """How many times as long fruit keeps in the cold."""
    return days_kept(crop, cold_c) / days_kept(crop, warm_c)


def gain_had_pct(crop: str, warm_c: float, cool_c: float, cold_c: float) -> float:
    """Of what cold saves in speed of ageing, how much (%) is had at a cool temperature."""
    warm, cool, cold = (1.0 / days_kept(crop, at) for at in (warm_c, cool_c, cold_c))
    return 100.0 * (warm - cool) / (warm - cold)


def said(
    crop: str,
    what: str,
    low: float,
    high: float,
    source: str,
    role: Role,
    model: Callable[[], float],
) -> Statement:
    return Statement(crop, f"{crop}, {what}, {low:g} to {high:g}", source, role, low, high, model)


def ripe(
    crop: str,
    celsius: float,
    low: float,
    high: float,
    source: str,
    role: Role,
    ethylene_h: float = 0.0,
) -> Statement:
    what = f"days to ripe at {celsius:g} C" + (" from ethylene" if ethylene_h else "")
    model = partial(days_to_ready, crop, celsius, ethylene_h)
    return said(crop, what, low, high, source, role, model)


def gassed(
    crop: str, celsius: float, low: float, high: float, source: str, role: Role
) -> Statement:
    return ripe(crop, celsius, low, high, source, role, DAY_OF_ETHYLENE_H)


def kept(crop: str, celsius: float, low: float, high: float, source: str, role: Role) -> Statement:
    model = partial(days_kept, crop, celsius)
    return said(crop, f"days kept at {celsius:g} C", low, high, source, role, model)


def hurt(crop: str, celsius: float, low: float, high: float, source: str, role: Role) -> Statement:
    model = partial(days_to_injury, crop, celsius)
    return said(crop, f"days to injury at {celsius:g} C", low, high, source, role, model)


KHARTOUM = "Musa, Omer & Manzoul, Univ. of Khartoum J. Agric. Sci. 10(1):53-63"
MORRELLI = "Morrelli, Hess-Pierce & Kader 2003, HortTechnology 13(2):328-332"
CYCLES = (
    "Arpaia, UC Davis slides, and a cold-store maker: rooms run 4 days at 18 C to 8 days at"
    " 14-14.5 C, which leaves the fruit more green than yellow, some two days short of ready"
)
HERNANDEZ = "Hernandez 1973, J. Agric. Univ. Puerto Rico 57(2):100-106"
REEFER = "reefer guideline table, agileshipping.in"
CANTWELL = "Cantwell, UC Davis storage table"
UC_DAVIS = "UC Davis produce facts"
PRASANNA = "Prasanna et al. 2000, J. Hort. Sci. Biotechnol. 75:546-550, sweetsop"
TIWARI = "Tiwari et al. 2006, Int. J. Postharvest Technol. Innov. 1(2):170-177"
MASSEY = "Massey University thesis 10179/6969"
USDA = "USDA, Canning, freezing, storing garden produce"
JOHNSTON = "Johnston et al. 2001, Acta Hort. 553:197-200, Royal Gala: most of it is had by 5 C"

STATEMENTS = [
    gassed("banana", 15.0, 6.7, 8.3, KHARTOUM, FIT),
    gassed("banana", 20.0, 4.5, 5.5, KHARTOUM, FIT),
    gassed("banana", 25.0, 2.5, 6, f"{KHARTOUM}, to Braz. Arch. Biol. Technol. 2008 51(5)", FIT),
    said(
        "banana",
        "days sooner ripe at 25 than at 20 C",
        15.5,
        16.5,
        "Pesq. Agropec. Bras. 1985 (20)",
        FIT,
        partial(days_sooner, "banana", 25.0, 20.0),
    ),
    hurt("banana", 10.0, 3, 5, f"{MORRELLI}: none after 3, browned after 5", FIT),
    gassed("banana", 14.5, 8, 10, CYCLES, FIT),
    gassed("banana", 18.0, 4, 6, CYCLES, CHECK),
    said(
        "banana",
        "days sooner ripe at 30 than at 20 C",
        13.5,
        14.5,
        "Zhang, Huang & Scott 1993, Acta Hort. 343:81-85, respiration peaks",
        CHECK,
        partial(days_sooner, "banana", 30.0, 20.0),
    ),
    kept("banana", 13.5, 18, 22, REEFER, CHECK),
    hurt("banana", 7.2, 2 / 24, 1, "banana shipping note: 2 to 24 hours below 13 C", CHECK),
    # Plantain
    ripe("plantain", 29.4, 8.5, 9.5, HERNANDEZ, FIT),
    said(
        "plantain",
        "days green at 20 C",
        15,
        20,
        "Agrosavia, citing Mejia 2013",
        FIT,
        partial(days_green, "plantain", 20.0),
    ),
    hurt("plantain", 7.2, 7, 12, f"{MORRELLI}: none after 7", FIT),
    gassed("plantain", 22.2, 4, 5, "J. Agric. Univ. Puerto Rico (10988), at 72 F", CHECK),
    ripe("plantain", 22.5, 6, 15, "Int. Agrophysics 1996 10(1):37-41, soft after day 6", FIT),
    hurt("plantain", 7.2, 11.5, 12.5, f"{HERNANDEZ}: green 12 days, then signs", CHECK),
    kept("plantain", 12.8, 11.5, 12.5, f"{HERNANDEZ}: green 12 days, then signs", CHECK),
    # Apricot
    kept("apricot", 0.0, 7, 21, CANTWELL, FIT),
    ripe("apricot", 20.0, 1, 3, f"{UC_DAVIS}: 3 lbf a day from 5.5-11 lbf", FIT),
    kept("apricot", 0.0, 7, 14, "Handbook 66 as quoted by Morris & Brady 2005", CHECK),
    kept("apricot", -0.5, 7, 14, REEFER, CHECK),
    said(
        "apricot",
        "days kept at 20 C after a week at 0 C",
        6,
        8,
        "Precoce de Tyrinthe, forced-air cooled (acemap 128618172)",
        FIT,
        partial(days_kept_after, "apricot", (0.0, 7.0), 20.0),
    ),
    # Cherimoya and atemoya
    ripe("cherimoya", 20.0, 4.5, 5.5, "Tropical Fruits (textbook): atemoya African Pride", FIT),
    ripe("cherimoya", 15.0, 8.5, 9.5, PRASANNA, FIT),
    ripe("cherimoya", 25.0, 3.5, 4.5, PRASANNA, FIT),
    hurt("cherimoya", 8.0, 5, 12, "Australian growers, to Alique et al. 1994", FIT),
    kept("cherimoya", 11.0, 6.5, 10.5, "Tropical Fruits (textbook): a week at 10-12 C", FIT),
    ripe("cherimoya", 17.5, 4.5, 5.5, f"{UC_DAVIS}: about 5 days at 15-20 C", CHECK),
    kept("cherimoya", 15.5, 13, 15, "Tropical Fruits (textbook): two weeks at 15-16 C", FIT),
    # Guava
    kept("guava", 25.0, 4, 6, "Rev. Bras. Frutic., Pedro Sato: picked light to dark green", FIT),
    kept("guava", 9.0, 14, 21, UC_DAVIS, FIT),
    hurt("guava", 5.0, 7, 14, f"{TIWARI}: seen after 2 weeks", FIT),
    kept("guava", 20.0, 6.5, 7.5, "Paull & Chen, CTAHR F_N-41", CHECK),
    kept("guava", 22.5, 6, 8, "review, Foods 2024 13(5):805: a week at room temperature", CHECK),
    kept("guava", 8.5, 14, 21, "Western Australia, 7-10 C", CHECK),
    # Feijoa
    kept("feijoa", 4.0, 24.5, 31.5, MASSEY, FIT),
    ripe("feijoa", 20.0, 1, 2, "New Zealand Feijoa Growers Association", FIT),
    hurt("feijoa", 0.0, 14, 21, f"{UC_DAVIS}: seen after 3 weeks", FIT),
    said(
        "feijoa",
        "days kept at 20 C after four weeks at 4 C",
        5,
        7,
        MASSEY,
        FIT,
        partial(days_kept_after, "feijoa", (4.0, 27.0), 20.0),
    ),
    kept("feijoa", 5.0, 28, 35, UC_DAVIS, CHECK),
    kept("feijoa", 4.0, 17.5, 24.5, "Woolf et al. 2005: some 3 weeks at 4 C", CHECK),
    kept("feijoa", 4.0, 28, 35, "Western Australia, 0-4 C", CHECK),
    # Kiwiberry
    kept("kiwiberry", 0.0, 42, 60, "Hassall et al. 1998: firm fruit at least 6 weeks", FIT),
    kept("kiwiberry", 0.0, 42, 61, "Strik, Oregon State University: up to 2 months", CHECK),
    # Quince
    kept("quince", 1.0, 61, 182, "Gunes 2008, Acta Hort. 796:191-196", FIT),
    kept("quince", 0.0, 91, 122, "Tatari & Mousavi 2017: browning from the fourth month", FIT),
    kept("quince", -0.5, 61, 91, "Cargo Handbook", CHECK),
    # Apple
    kept("apple", 0.0, 91, 182, CANTWELL, FIT),
    said(
        "apple",
        "times as long at 0 as at 4.4 C",
        1.9,
        2.1,
        USDA,
        FIT,
        partial(times_longer, "apple", 0.0, 4.4),
    ),
    said(
        "apple",
        "times as long at 4.4 as at 15.6 C",
        2.8,
        3.1,
        USDA,
        FIT,
        partial(times_longer, "apple", 4.4, 15.6),
    ),
    kept("apple", 4.0, 30, 61, f"{CANTWELL}, kinds that the cold injures", CHECK),
    kept("apple", 0.0, 5.5 * MONTH_DAYS, 6.5 * MONTH_DAYS, f"{UC_DAVIS}, Golden Delicious", CHECK),
    kept("apple", 1.5, 61, 213, f"{REEFER}, -1 to 4 C", CHECK),
    said(
        "apple",
        "times as long at 0 as at 10 C",
        2,
        3,
        "Iowa State University Extension",
        CHECK,
        partial(times_longer, "apple", 0.0, 10.0),
    ),
    said(
        "apple",
        "percent of what 0 C saves against 22 C, had at 5 C",
        51,
        100,
        JOHNSTON,
        CHECK,
        partial(gain_had_pct, "apple", 22.0, 5.0, 0.0),
    ),
    # Fig
    kept("fig", 0.0, 7, 14, UC_DAVIS, FIT),
    kept("fig", 20.0, 1.5, 2.5, "Calusne Farms", FIT),
    kept("fig", 1.0, 10, 12, "Produce Market Guide", CHECK),
    kept("fig", 0.0, 7, 10, REEFER, CHECK),
    kept("fig", 6.5, 6.5, 7.5, "frutas-hortalizas.com: a week at 6-7 C in Alicante", CHECK),
    kept("fig", 5.0, 4.5, 5.5, "Waskar 2009, untreated fruit, as quoted in a textbook", CHECK),
]
"""Of fruit that is picked in a usual state and stays at one temperature where nothing is said."""

CROPS = list(dict.fromkeys(statement.crop for statement in STATEMENTS))


@pytest.mark.parametrize("statement", [s for s in STATEMENTS if s.role is FIT], ids=label)
def test_what_set_a_profile_is_handed_back(statement: Statement) -> None:
    """Not to the day where a figure lies between two sources that disagree."""
    assert statement.error_pct() <= BETWEEN_SOURCES_PCT


@pytest.mark.parametrize("statement", [s for s in STATEMENTS if s.role is CHECK], ids=label)
def test_what_was_not_used_comes_out_as_well_as_the_profile_says(statement: Statement) -> None:
    held_to = shipped_profiles()[statement.crop].held_to
    assert held_to is not None
    assert statement.error_pct() <= held_to.error_pct


def test_every_crop_of_which_only_dates_are_known_is_held_to_something() -> None:
    by_dates = {key for key, p in shipped_profiles().items() if p.judged_by == "nothing"}
    assert by_dates == set(CROPS)


@pytest.mark.parametrize("crop", ["apple", "fig", "kiwiberry", "quince"])
@pytest.mark.parametrize("celsius", [0.0, 12.0, 25.0])
def test_fruit_that_is_eaten_as_picked_is_ready_at_once(crop: str, celsius: float) -> None:
    assert days_to_ready(crop, celsius) == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize("crop", [crop for crop in CROPS if crop not in ("banana", "plantain")])
def test_warmth_never_lengthens_what_is_left(crop: str) -> None:
    """From the best storage upwards, within a day or a twentieth. Green bananas and plantains are
    left out: how long they can be stored says when to ripen them, and not that they end.
    """
    temperatures_c = (shipped_profiles()[crop].storage.best_high_c, 20.0, 25.0, 30.0)
    for cooler, warmer in pairwise([days_kept(crop, celsius) for celsius in temperatures_c]):
        assert warmer <= cooler + max(1.0, 0.05 * cooler)
