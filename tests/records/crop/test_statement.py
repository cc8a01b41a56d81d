"""How far off what is published a number is, and when a range meets it."""

import math

import pytest

from ripenroom.records.crop.statement import Asks, Statement


def said(
    low: float | None, high: float | None, asks: Asks = Asks.READY, rounding: float = 0.5
) -> Statement:
    return Statement(asks=asks, low=low, high=high, rounding=rounding, kind="trial", source="made")


@pytest.mark.parametrize(
    ("low", "high", "value", "off"),
    [
        (4.0, 6.0, 5.0, 0.0),
        (4.0, 6.0, 3.5, 0.0),  # within half of the step in which it was printed
        (4.0, 6.0, 6.5, 0.0),
        (4.0, 6.0, 7.5, 0.2),
        (4.0, 6.0, 1.0, -0.5),
        (4.0, None, 1e6, 0.0),
        (4.0, None, 1.5, -0.5),
        (None, 10.0, 0.0, 0.0),
        (None, 10.0, 15.5, 0.5),
    ],
)
def test_off_is_told_from_the_end_that_is_missed_in_parts_of_the_middle(
    low: float | None, high: float | None, value: float, off: float
) -> None:
    assert said(low, high).off(value) == pytest.approx(off)


@pytest.mark.parametrize(
    ("low", "high", "value", "error"),
    [
        (4.0, 6.0, 5.0, 0.0),
        (4.0, 6.0, 6.0, 0.2),  # inside, and still not the middle
        (4.0, 6.0, 2.5, -0.5),
        (4.0, None, 9.0, 0.0),
        (None, 10.0, 15.5, 0.5),
    ],
)
def test_the_error_is_told_from_the_middle_or_from_the_only_end(
    low: float | None, high: float | None, value: float, error: float
) -> None:
    assert said(low, high).error(value) == pytest.approx(error)


def test_never_is_right_only_where_no_upper_end_is_published() -> None:
    for told in (said(4.0, 6.0), said(None, 6.0)):
        assert told.off(math.nan) == told.error(math.nan) == math.inf
    assert said(4.0, None).off(math.nan) == said(4.0, None).error(math.nan) == 0.0


@pytest.mark.parametrize("asks", [Asks.READY_PCT, Asks.WONT_RIPEN, Asks.FIRMNESS_LEFT])
def test_shares_are_off_by_shares(asks: Asks) -> None:
    """Two percent of which four are said are off by 0.02, not by a half."""
    assert said(2.0, 2.0, asks).is_share
    assert said(2.0, 2.0, asks).error(4.0) == pytest.approx(0.02)
    assert said(None, 10.0, asks).off(30.5) == pytest.approx(0.2)
    assert not said(2.0, 2.0).is_share


def test_nothing_is_divided_by_zero_or_by_what_is_below_it() -> None:
    """At least half of the step in which it was printed; freezing points lie below zero."""
    assert said(0.0, 0.0).error(1.0) == pytest.approx(2.0)
    frozen = said(-2.2, -1.8, Asks.FIGURE, rounding=0.05)
    assert frozen.error(-1.0) == pytest.approx(0.5)
    assert frozen.error(-3.0) == pytest.approx(-0.5)


@pytest.mark.parametrize(
    ("interval", "ours", "meets"),
    [
        ((3.0, 5.0), (4.0, 9.0), True),
        ((3.0, 5.0), (5.5, 9.0), True),
        ((3.0, 5.0), (5.6, 9.0), False),
        ((3.0, 5.0), (1.0, 2.5), True),
        ((3.0, 5.0), (1.0, 2.4), False),
        ((3.0, 5.0), (1.0, 90.0), True),
        ((3.0, None), (80.0, 90.0), True),
        ((3.0, None), (1.0, 2.0), False),
        ((None, 5.0), (0.0, 0.1), True),
        ((None, 5.0), (6.0, 7.0), False),
        ((3.0, 5.0), (4.0, math.nan), True),
        ((3.0, 5.0), (math.nan, math.nan), False),
        ((3.0, None), (math.nan, math.nan), True),
    ],
)
def test_a_range_meets_an_interval_where_they_touch(
    interval: tuple[float | None, float | None], ours: tuple[float, float], meets: bool
) -> None:
    assert said(*interval).meets(*ours) == meets
