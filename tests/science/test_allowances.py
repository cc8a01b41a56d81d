"""When an allowance and the ends of its range are used up along a journey, against plain sums."""

import numpy as np
import pytest

from ripenroom.science.air import ScheduledAir
from ripenroom.science.allowances import Allowance, AllowanceRange, UsedUp
from ripenroom.science.progress import ClockAdvance
from ripenroom.science.temperature import Process
from tests.science.journeys import progress_of

COLD, COOL = 0, 1
AIRS = [ScheduledAir([0.0], [celsius], half_cooling_h=1e-3) for celsius in (0.0, 8.0)]
JOURNEYS = [[(0.0, COLD)], [(0.0, COOL)], [(0.0, COLD), (240.0, COOL)]]
TABLE = AllowanceRange(
    Allowance((0.0, 8.0), (50.0, 10.0), none_from_c=12.0),
    Allowance((0.0, 8.0), (60.0, 28.0), none_from_c=12.0),
    Allowance((0.0, 8.0), (75.0, 42.0), none_from_c=12.0),
)


def progress(allowance: Allowance) -> ClockAdvance:
    return progress_of(AIRS, JOURNEYS, Process(allowance.use_per_day, allowance.none_from_c))


def test_an_end_that_is_one_share_of_the_middle_runs_on_its_clock() -> None:
    mid = Allowance((0.0, 8.0), (60.0, 28.0), none_from_c=12.0)
    half = Allowance((0.0, 8.0), (30.0, 14.0), none_from_c=12.0)
    allowed = AllowanceRange(half, mid, TABLE.high)
    assert allowed.soonest.allowance is mid
    assert allowed.soonest.share == pytest.approx(0.5)
    assert allowed.latest == (TABLE.high, 1.0)


def test_each_end_is_used_up_at_its_own_figures_and_shares_add_up() -> None:
    """Ten days at 0 C use up 10/50, 10/60 and 10/75; the rest goes at the figures of 8 C."""
    tables = TABLE.low, TABLE.mid, TABLE.high
    soonest, used, latest = (progress(table) for table in tables)
    used_up = UsedUp(used, np.ones((3, 3)), lambda: (soonest, latest))
    out = used_up.out()
    for edge, table in zip((out.low, out.mid, out.high), tables, strict=True):
        cold, cool = table.days
        days = [cold, cool, 10.0 + (1.0 - 10.0 / cold) * cool]
        assert (edge / 24.0).tolist() == pytest.approx(days, abs=0.01)
    shares = used_up.shares_at(np.full(3, 240.0))
    for share, table in zip(shares, tables, strict=True):
        cold, cool = table.days
        assert share.tolist() == pytest.approx([10.0 / cold, 10.0 / cool, 10.0 / cold], abs=0.01)
    some = used_up.of(np.array([2, 0]))
    np.testing.assert_allclose(some.out().high, out.high[[2, 0]])


def test_on_one_clock_the_ends_are_shares_of_the_middle() -> None:
    used = progress(TABLE.mid)
    used_up = UsedUp.on_one_clock(used, np.full(3, 0.5), np.full(3, 2.0))
    assert (used_up.out().low / 24.0).tolist() == pytest.approx(
        [30.0, 14.0, 10.0 + 28.0 / 3.0], abs=0.01
    )
    low, mid, high = used_up.shares_at(np.full(3, 120.0))
    np.testing.assert_allclose(low, 2.0 * mid)
    np.testing.assert_allclose(high, 0.5 * mid)
    some = used_up.of(np.array([1]))
    assert some.ends == (some.used, some.used)
