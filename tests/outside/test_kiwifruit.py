"""What sources say of kiwifruit in words, held against what the program projects.

Two regimes: fruit that had ethylene or weeks of cold, and fruit that had neither. The first is
known well enough. Of the second it is known that it hardly softens, and that cold changes this; by
how much and after how long (two weeks to five) sources disagree.
"""

from collections.abc import Sequence

import numpy as np

from ripenroom.records.crop.statement import Asks, Start
from ripenroom.units import newtons
from tests.outside.asked import asked
from tests.outside.crate import FOR_GOOD, Stay, follow, readings_around

KIWIFRUIT = "kiwifruit"
AT_HARVEST = readings_around(70.0)
"""N; about what it has at physiological maturity (Journal of Berry Research)."""

TREATED_H = 12.0
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


def test_small_and_large_fruit_lie_in_the_range_at_0_c() -> None:
    """Crisosto, Garner & Saez 1999, California Agriculture 53(4):29-31: 5 lbf after 8 weeks (small)
    to 12 (large), without ethylene; in whole weeks.
    """
    soft = asked(KIWIFRUIT, Asks.MARK, Start(), (0.0, FOR_GOOD), mark_n=newtons(5.0, "lbf"))
    assert soft.low <= 8.5 * 7.0
    assert soft.high >= 11.5 * 7.0


def test_without_a_trigger_the_cool_softens_it_most() -> None:
    """Asiche et al. 2017, Horticulture Journal 86:403-410: in 8 weeks without ethylene Hayward
    softened faster at 5 and 10 C than at 0, 15 and 20 C.
    """
    left = {
        celsius: float(firmness_n([(celsius, FOR_GOOD)], [56.0])[0])
        for celsius in (0.0, 5.0, 10.0, 15.0, 20.0)
    }
    assert max(left[5.0], left[10.0]) < min(left[0.0], left[15.0], left[20.0])


def test_fruit_that_had_neither_cold_nor_ethylene_hardly_softens_in_ten_days() -> None:
    """Curico, Chile, 1999: no softening at 20 C. Held to 1.5 lbf, which no gauge tells apart."""
    assert lost_n(0.0) < 1.5 * POUND_N


def test_ethylene_opens_at_once_what_cold_opens_in_five_weeks() -> None:
    """Crisosto, Optimum procedures for ripening kiwifruit: 100 ppm for 12 hours; after 5 weeks of
    cold it ripens by itself at 15-21 C.
    """
    treated = follow(KIWIFRUIT, [(20.0, FOR_GOOD)], readings_n=AT_HARVEST, ethylene_h=TREATED_H)
    assert treated.able_days <= 0.51
    assert asked(KIWIFRUIT, Asks.ABLE, Start(), (0.0, FOR_GOOD)).low <= 5.0 * 7.0
    cold = follow(KIWIFRUIT, [(0.0, 40.0), (18.0, FOR_GOOD)], readings_n=AT_HARVEST)
    assert cold.opens.low < 50.0
    assert 40.0 < cold.opens.mid < 55.0
    assert follow(KIWIFRUIT, [(20.0, FOR_GOOD)], readings_n=AT_HARVEST).able_days == np.inf


def test_cold_after_ethylene_puts_ripening_off() -> None:
    """Ritenour et al. 1999: 0 C before, during or after the treatment delays softening; by how
    much is not in the abstract.
    """
    at_0, at_20 = (
        days_to(5.0, (celsius, FOR_GOOD), ethylene_h=TREATED_H) for celsius in (0.0, 20.0)
    )
    assert at_0 > at_20
