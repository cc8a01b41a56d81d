"""Fruit of several feels kept together against fruit that are drawn feel by feel.

They are a mixture, each feel within its own ages, and no bell curve. If all estimates hold, shares
may differ by 0.05: how wide the fruit of one feel lie within its ages is a matter of judgement.
"""

from functools import cache
from itertools import product

import numpy as np
import pytest

from tests.draws import one_in
from tests.outside.drawn_fruit import drawn_felt, felt
from tests.outside.season_says import Says, season_says
from tests.outside.true_dates import A_TENTH_OF_A_DAY_H, dates_of
from tests.outside.true_fruit import follow_fruit
from tests.outside.true_pulp import Journey, course_of, ended_h

FRUIT = 20_000
UNTIL_H = 720.0
HOURS = np.arange(0.0, UNTIL_H + 1.0, 6.0)
TOLERANCE = 0.05

JOURNEYS = {
    "at 20 C": Journey(20.0, 0.1, ((0.0, 20.0),)),
    "at 12 C": Journey(20.0, 6.0, ((0.0, 12.0),)),
    "cold, then warm": Journey(20.0, 6.0, ((0.0, 4.0), (168.0, 20.0))),
}
Counts = tuple[int, int, int, int, int]
MIXED: list[tuple[str, Counts]] = [
    ("pawpaw", (8, 0, 0, 12, 0)),
    ("pawpaw", (0, 8, 0, 12, 0)),
    ("peach", (0, 12, 0, 8, 0)),
    ("mango", (12, 0, 0, 8, 0)),
    ("avocado", (12, 0, 0, 8, 0)),
]
CASES = one_in(4, [(*mixed, way) for mixed, way in product(MIXED, JOURNEYS)])


@cache
def said(crop: str, counts: Counts, way: str) -> Says:
    return season_says(crop, JOURNEYS[way], feel_counts=counts)


@pytest.mark.parametrize(("crop", "counts", "way"), CASES)
def test_the_ready_share_of_a_mixture(crop: str, counts: Counts, way: str) -> None:
    says = said(crop, counts, way)
    course = course_of(JOURNEYS[way], UNTIL_H)
    fates = follow_fruit(says.profile, felt(says.profile, counts, FRUIT), course)
    true = fates.ready_and_past(HOURS)[0]
    assert says.as_estimated(HOURS)[0] == pytest.approx(true, abs=TOLERANCE)


@pytest.mark.parametrize(("crop", "counts", "way"), CASES)
def test_the_expected_ready_share_of_a_mixture(crop: str, counts: Counts, way: str) -> None:
    says = said(crop, counts, way)
    course = course_of(JOURNEYS[way], UNTIL_H)
    fruit = drawn_felt(says.profile, counts, FRUIT, seed=20250910)
    true = follow_fruit(says.profile, fruit, course).ready_and_past(HOURS)[0]
    assert says.expected(HOURS)[0] == pytest.approx(true, abs=TOLERANCE)


@pytest.mark.parametrize(("crop", "counts", "way"), CASES)
def test_the_dates_of_a_mixture(crop: str, counts: Counts, way: str) -> None:
    """Between two feels there may be days in which little happens, so shares are held, not dates.

    At the opening half of the fruit that can ripen is ready or past (more, at the pick), or it is
    the best day; that has as many ready as any until half is past; at the closing a fifth is past,
    or it is the best day, or a day on which an allowance ends it all.
    """
    says, course = said(crop, counts, way), course_of(JOURNEYS[way], UNTIL_H)
    fates = follow_fruit(says.profile, felt(says.profile, counts, FRUIT), course)
    end_h = ended_h(course, says.profile)
    true = dates_of(fates, end_h, UNTIL_H)
    found = says.projection()
    said_h = np.array([Says.hour_of(d) for d in (found.opens_h, found.best_h, found.closes_h)])
    opens_h, best_h, closes_h = said_h.tolist()
    if not np.isfinite(opens_h):
        # An allowance ends it before half of the fruit is ready.
        ready_by_end = fates.ready_and_past(np.array([end_h]))
        assert sum(float(share[0]) for share in ready_by_end) / fates.weight.sum() < 0.5 + TOLERANCE
        assert closes_h == pytest.approx(end_h, abs=A_TENTH_OF_A_DAY_H)
        return
    ready, past = (share / fates.weight.sum() for share in fates.ready_and_past(said_h))

    assert opens_h <= best_h <= closes_h <= end_h + A_TENTH_OF_A_DAY_H
    assert ready[0] + past[0] >= 0.5 - TOLERANCE or opens_h == pytest.approx(best_h, abs=1e-6)
    assert ready[0] + past[0] <= 0.5 + TOLERANCE or opens_h == pytest.approx(0.0, abs=1e-6)
    assert ready[1] >= true.ready_at(true.best_h) / fates.weight.sum() - TOLERANCE
    ended = closes_h == pytest.approx(end_h, abs=A_TENTH_OF_A_DAY_H)
    before = fates.ready_and_past(said_h[2:] - A_TENTH_OF_A_DAY_H)[1] / fates.weight.sum()
    assert before[0] <= 0.2 + TOLERANCE or closes_h == pytest.approx(best_h, abs=1e-6)
    # Fruit that was ready when picked is past all at once: a tenth of a day later it is.
    soon = fates.ready_and_past(said_h[2:] + A_TENTH_OF_A_DAY_H)[1] / fates.weight.sum()
    assert soon[0] >= 0.2 - TOLERANCE or ended


def test_one_pick_with_neighbouring_feels_stays_a_bell_curve() -> None:
    """Nothing there speaks for a mixture, and a bell curve tells more of its fruit."""
    batches = said("pawpaw", (3, 9, 6, 2, 0), "at 20 C").outlook.lines.batches
    assert batches.bands is None


@pytest.mark.parametrize(("crop", "counts"), MIXED)
def test_what_wont_ripen_of_a_mixture_is_what_is_too_hard(crop: str, counts: Counts) -> None:
    says = said(crop, counts, "at 20 C")
    true = 1.0 - float(felt(says.profile, counts, FRUIT).weight.sum())
    assert float(says.projection().wont_ripen[0]) == pytest.approx(true, abs=TOLERANCE)
