"""A check beside what all others say of it."""

import pytest

from ripenroom.season.learned import CheckKind
from tests.season.learning.checks import FAST, MOSTLY_SOFT, check, farm, learned

UNRIPE = (20, 0, 0, 0, 0)


def test_what_fits_is_not_surprising() -> None:
    found = learned(farm(*FAST))
    assert found.surprising == ()
    for fit in found.checks.values():
        assert abs(fit.z) < 2.0
        assert fit.expected.low <= fit.expected.mid <= fit.expected.high


def test_what_contradicts_everything_is_named() -> None:
    found = learned(farm(*FAST, check(4, 1, 0.5, UNRIPE)))
    assert found.surprising[0] == "check 4"
    fit = found.checks["check 4"]
    assert fit.surprising
    assert fit.z < -3.0
    assert fit.ahead_days < 0.0
    assert fit.pull < 0.0


def test_feel_is_told_as_a_share_from_one_feel_on() -> None:
    fit = learned(farm(*FAST)).checks["check 2"]
    assert fit.kind is CheckKind.FEEL
    assert fit.from_feel in (3, 4)
    assert fit.observed == pytest.approx(0.9 if fit.from_feel == 3 else 0.0)


def test_readings_are_told_as_their_mean_in_newtons() -> None:
    gauge = check(4, 2, 3.0, None, readings=(3.0, 2.5, 2.0), reading_unit="kgf")  # type: ignore[arg-type]
    fit = learned(farm(*FAST, gauge)).checks["check 4"]
    assert (fit.kind, fit.from_feel) == (CheckKind.READINGS, None)
    assert fit.observed == pytest.approx(2.5 * 9.80665)
    assert fit.expected.low < fit.expected.mid < fit.expected.high


def test_a_switched_off_check_is_expected_as_if_it_were_not_there() -> None:
    on = learned(farm(*FAST, check(4, 2, 3.0, MOSTLY_SOFT))).checks["check 4"]
    off = learned(farm(*FAST, check(4, 2, 3.0, MOSTLY_SOFT, counted=False))).checks["check 4"]
    assert on.from_feel == off.from_feel
    assert on.expected.mid == pytest.approx(off.expected.mid, abs=0.05)
    assert on.z == pytest.approx(off.z, abs=0.2)


def test_pull_is_how_far_the_rate_goes_without_it() -> None:
    most = check(4, 1, 0.5, (0, 0, 12, 8, 0))
    whole, without = learned(farm(*FAST, most)), learned(farm(*FAST))
    rates = [found.rate_of("pawpaw", "early") for found in (whole, without)]
    assert rates[0] is not None
    assert rates[1] is not None
    moved = rates[0].log_rate - rates[1].log_rate
    assert moved < -0.03
    assert whole.checks["check 4"].pull == pytest.approx(moved, rel=0.5)
