"""Published statements about kiwifruit against what the program projects.

Two regimes: fruit that had ethylene or weeks of cold, and fruit that had neither. The first is
known well enough. Of the second it is known that it hardly softens, and that cold changes this; by
how much and after how long sources disagree, and Chilean fruit after 35 days at 0 C softened more
slowly at 20 C than Californian practice lets expect. That is the largest error here, and it hides
a larger one: the gate stands at 36 days, and fruit that is just past it softens ten times as fast.

Not met, and kept out: 9 lbf fruit softened alike with and without ethylene after 3 weeks of cold
(HortScience abstract 239), 2 weeks in another trial (Ritenour et al. 1999). They are in the range.
"""

from collections.abc import Sequence
from functools import partial

import numpy as np
import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.units import newtons
from tests.outside.crate import FOR_GOOD, Stay, follow, readings_around
from tests.outside.statements import Role, Statement, label

KIWIFRUIT = "kiwifruit"
AT_HARVEST = readings_around(70.0)
"""N; about what it has at physiological maturity (Journal of Berry Research)."""

TREATED_H = 12.0
CRISOSTO = "Crisosto, Optimum procedures for ripening kiwifruit"
CHILE = "Curico, Chile, 1999, mean of four orchards; read to a pound-force either way"
POUND_N = newtons(1.0, "lbf")


def firmness_n(stays: Sequence[Stay], days: Sequence[float], ethylene_h: float = 0.0) -> np.ndarray:
    """Firmness of the middle fruit after ``days``, from harvest on."""
    outcome = follow(
        KIWIFRUIT, stays, readings_n=AT_HARVEST, asked_days=days, ethylene_h=ethylene_h
    )
    return np.array(outcome.firmness_n)


def days_to(lbf: float, *stays: Stay, ethylene_h: float = 0.0, within: float = 150.0) -> float:
    """Days until the middle fruit is down to ``lbf``, counted from the last stay."""
    before = sum(days for _, days in stays[:-1])
    looked_at = np.linspace(0.0, within, 601)
    at = firmness_n(stays, (before + looked_at).tolist(), ethylene_h)
    # np.interp wants what it looks up to rise, and firmness falls.
    return float(np.interp(newtons(lbf, "lbf"), at[::-1], looked_at[::-1]))


def lost_n(cold_days: float) -> float:
    """Firmness (N) lost in ten days at 20 C, after so many at 0 C and without ethylene."""
    stays = [(0.0, cold_days), (20.0, FOR_GOOD)]
    start, end = firmness_n(stays, [cold_days, cold_days + 10.0])
    return float(start - end)


def ripe_kept(celsius: float) -> float:
    """Days that ripe fruit keeps."""
    ripe = readings_around(newtons(2.5, "lbf"))
    return follow(KIWIFRUIT, [(celsius, FOR_GOOD)], readings_n=ripe).closes.mid


def kept_from_harvest() -> float:
    return follow(KIWIFRUIT, [(0.0, FOR_GOOD)], readings_n=AT_HARVEST).closes.mid


def from_chile(cold_days: float, per_day_n: float, role: Role) -> Statement:
    lost = 10.0 * per_day_n
    return Statement(
        KIWIFRUIT,
        f"N lost in 10 days at 20 C after {cold_days:g} at 0 C",
        CHILE,
        role,
        lost - POUND_N,
        lost + POUND_N,
        partial(lost_n, cold_days),
    )


STATEMENTS = [
    Statement(
        KIWIFRUIT,
        "days to 5 lbf at 0 C without ethylene, medium fruit: 10 weeks",
        "Crisosto, Garner & Saez 1999, California Agriculture 53(4):29-31",
        Role.FIT,
        66.5,
        73.5,
        lambda: days_to(5.0, (0.0, FOR_GOOD)),
    ),
    Statement(
        KIWIFRUIT,
        "days at 20 C to 3 lbf, treated and held up to 5 weeks near 0 C, here 4",
        CRISOSTO,
        Role.FIT,
        2,
        3,
        lambda: days_to(3.0, (0.0, 28.0), (20.0, FOR_GOOD), ethylene_h=TREATED_H, within=20.0),
    ),
    from_chile(10.0, 0.67, Role.FIT),
    Statement(
        KIWIFRUIT,
        "days that ripe fruit keeps at 20 C",
        "Produce Market Guide: 3-7 at room temperature",
        Role.FIT,
        3,
        7,
        lambda: ripe_kept(20.0),
    ),
    Statement(
        KIWIFRUIT,
        "days that ripe fruit keeps in a refrigerator at 4 C: a couple of weeks",
        "California kiwifruit, guidelines for consumers",
        Role.FIT,
        10,
        16,
        lambda: ripe_kept(4.0),
    ),
    from_chile(25.0, 1.65, Role.CHECK),
    from_chile(35.0, 2.27, Role.CHECK),
    Statement(
        KIWIFRUIT,
        "days to eating-ripe at 25 C, treated with ethephon",
        "Trial of ethephon (excerpt without its authors): ripe on day 4",
        Role.CHECK,
        3.5,
        4.5,
        lambda: days_to(3.0, (25.0, FOR_GOOD), ethylene_h=TREATED_H, within=20.0),
    ),
    Statement(
        KIWIFRUIT,
        "days kept at 0 C: 3-6 months",
        "J. Berry Research, kiwifruit quality during ripening; Horticulturae 2021, 7(10):358",
        Role.CHECK,
        90,
        180,
        kept_from_harvest,
    ),
    Statement(
        KIWIFRUIT,
        "days kept cold: 4-6 months",
        "Strik, Oregon State University, 2011: in a refrigerator or cold garage, here 0 C",
        Role.CHECK,
        120,
        180,
        kept_from_harvest,
    ),
    Statement(
        KIWIFRUIT,
        "days that ripe fruit keeps in a refrigerator at 4 C: one to two weeks",
        "Iran Fresh Fruit, exporter's questions and answers",
        Role.CHECK,
        7,
        14,
        lambda: ripe_kept(4.0),
    ),
]

FITTED_WITHIN_PCT = 10.0
"""Five statements set five figures; what is left over is their rounding."""


@pytest.mark.parametrize("statement", STATEMENTS, ids=label)
def test_a_statement_comes_out_as_well_as_the_profile_says(statement: Statement) -> None:
    held_to = shipped_profiles()[KIWIFRUIT].held_to
    assert held_to is not None
    within = FITTED_WITHIN_PCT if statement.role is Role.FIT else held_to.error_pct
    assert statement.error_pct() <= within


def test_small_and_large_fruit_lie_in_the_range_at_0_c() -> None:
    """Crisosto, Garner & Saez 1999: 5 lbf after 8 weeks (small) to 12 (large). Ready, at 3 lbf, is
    a tenth later than 5 lbf here.
    """
    opens = follow(KIWIFRUIT, [(0.0, FOR_GOOD)], readings_n=AT_HARVEST).opens
    assert opens.low < 1.15 * 56.0
    assert opens.high > 1.15 * 84.0


def test_without_a_trigger_the_cool_softens_it_most() -> None:
    """Asiche et al. 2017, Horticulture Journal 86:403-410: in 8 weeks without ethylene Hayward
    softened faster at 5 and 10 C than at 0, 15 and 20 C.
    """
    left = {
        celsius: float(firmness_n([(celsius, FOR_GOOD)], [56.0])[0])
        for celsius in (0.0, 5.0, 10.0, 15.0, 20.0)
    }
    assert max(left[5.0], left[10.0]) < 0.5 * min(left[0.0], left[15.0], left[20.0])


def test_fruit_that_had_neither_cold_nor_ethylene_hardly_softens_in_ten_days() -> None:
    """Curico, Chile, 1999: no softening at 20 C. Held to 1.5 lbf, which no gauge tells apart."""
    assert lost_n(0.0) < 1.5 * POUND_N


def test_ethylene_opens_at_once_what_cold_opens_in_five_weeks() -> None:
    """Crisosto: 100 ppm for 12 hours; after 5 weeks of cold it ripens by itself at 15-21 C."""
    treated = follow(KIWIFRUIT, [(20.0, FOR_GOOD)], readings_n=AT_HARVEST, ethylene_h=TREATED_H)
    assert treated.able_days == pytest.approx(0.5, abs=0.01)
    assert treated.opens.mid < 10.0
    cold = follow(KIWIFRUIT, [(0.0, 40.0), (18.0, FOR_GOOD)], readings_n=AT_HARVEST)
    assert 30.0 < cold.able_days < 40.0
    assert 40.0 < cold.opens.mid < 50.0
    assert follow(KIWIFRUIT, [(20.0, FOR_GOOD)], readings_n=AT_HARVEST).able_days == np.inf


def test_cold_after_ethylene_puts_ripening_off() -> None:
    """Ritenour et al. 1999: 0 C before, during or after the treatment delays softening."""
    at_0, at_20 = (
        days_to(5.0, (celsius, FOR_GOOD), ethylene_h=TREATED_H) for celsius in (0.0, 20.0)
    )
    assert at_0 > 4.0 * at_20
