"""How far off the program is from a source that was left out, in made-up cases."""

import math

import pytest

from ripenroom.records.crop.library import shipped_text
from ripenroom.records.crop.profile import LeftOutSources
from ripenroom.records.crop.statement import Asks, Statement
from ripenroom.records.crop.statement_file import shipped_statements
from ripenroom.season.published import WrittenCrop, said
from tests.fits.crop_model import CropModel
from tests.fits.effects import START, fitted
from tests.fits.left_out import MOST_PCT, Missed, left_out, summary
from tests.fits.written import document_with

NEVER = (math.nan, math.nan, math.nan)


def missed(
    low: float | None,
    high: float | None,
    ours: tuple[float, float, float],
    *,
    asks: Asks = Asks.READY,
    source: str = "made",
    rounding: float = 0.5,
) -> Missed:
    one = Statement(asks=asks, low=low, high=high, rounding=rounding, kind="trial", source=source)
    return Missed(one, *ours)


@pytest.mark.parametrize(
    ("low", "high", "middle", "error_pct", "outside_pct"),
    [
        (4.0, 6.0, 5.0, 0.0, 0.0),
        (4.0, 6.0, 6.0, 20.0, 0.0),
        (4.0, 6.0, 9.0, 80.0, 50.0),
        (4.0, 6.0, 2.5, 50.0, 20.0),
        (4.0, None, 40.0, 0.0, 0.0),
        (4.0, None, 1.5, 50.0, 50.0),
        (None, 10.0, 1.0, 0.0, 0.0),
        (None, 10.0, 13.0, 25.0, 25.0),
        (4.0, 6.0, 1e6, MOST_PCT, MOST_PCT),
    ],
)
def test_the_error_is_from_the_middle_and_outside_from_the_nearer_end(
    low: float | None, high: float | None, middle: float, error_pct: float, outside_pct: float
) -> None:
    found = missed(low, high, (middle, middle, middle))
    assert found.error_pct == pytest.approx(error_pct)
    assert found.outside_pct == pytest.approx(outside_pct)


def test_never_is_as_far_off_as_anything_is_told_to_be_unless_no_end_is_published() -> None:
    for one in (missed(4.0, 6.0, NEVER), missed(None, 6.0, NEVER)):
        assert one.error_pct == one.outside_pct == MOST_PCT
        assert not one.in_range
    open_end = missed(4.0, None, NEVER)
    assert open_end.error_pct == open_end.outside_pct == 0.0
    assert open_end.in_range


def test_shares_are_off_in_percent_of_all_fruit() -> None:
    share = missed(80.0, None, (60.0, 70.0, 79.8), asks=Asks.WONT_RIPEN)
    assert share.error_pct == pytest.approx(9.5)
    assert share.in_range  # by the half percent in which it was printed


@pytest.mark.parametrize(
    ("low", "high", "range_low", "range_high", "in_range"),
    [
        (4.0, 6.0, 3.0, 5.2, True),
        (4.0, 6.0, 3.0, 4.6, True),  # meets the middle within half a day
        (4.0, 6.0, 3.0, 4.4, False),  # meets an end, but not the middle
        (4.0, 6.0, 5.6, 9.0, False),
        (4.0, 6.0, 5.4, math.nan, True),  # may never be
        (4.0, None, 1.0, 3.6, True),
        (4.0, None, 1.0, 3.4, False),
        (4.0, None, 50.0, 90.0, True),
        (None, 6.0, 6.4, 9.0, True),
        (None, 6.0, 6.6, 9.0, False),
        (None, 6.0, 0.0, 0.1, True),
    ],
)
def test_it_is_in_range_where_the_range_meets_the_middle_or_the_open_side(
    low: float | None, high: float | None, range_low: float, range_high: float, in_range: bool
) -> None:
    middle = 0.5 * (range_low + (20.0 if math.isnan(range_high) else range_high))
    assert missed(low, high, (range_low, middle, range_high)).in_range is in_range


def test_a_profile_tells_how_many_the_median_one_in_ten_and_the_worst() -> None:
    """Ten errors of 0, 10, … 90 percent from three sources; three of them in range."""
    known = [
        missed(10.0, 10.0, (10.0 + n - 0.6 * (n < 3), 10.0 + n, 20.0), source=f"{n % 3}")
        for n in range(10)
    ]
    assert summary(known) == LeftOutSources(
        sources=3, statements=10, median_pct=45, tenth_pct=80, worst_pct=90, in_range=2
    )


def test_one_statement_is_its_own_median_and_worst() -> None:
    (found,) = [summary([missed(10.0, 10.0, (9.0, 12.0, 15.0))])]
    assert (found.median_pct, found.tenth_pct, found.worst_pct) == (20, 20, 20)
    assert (found.sources, found.statements, found.in_range) == (1, 1, 1)


@pytest.mark.long
@pytest.mark.parametrize(("crop", "source"), [("persimmon", "tarutani1960")])
def test_a_source_left_out_is_foretold_about_as_by_a_fit_that_never_knew_it(
    crop: str, source: str
) -> None:
    """Both are of the same crop by the same other sources; one starts from all sources' figures and
    keeps their slopes, the other starts from the profile. Within a quarter of the range.
    """
    known = shipped_statements(crop)
    text = shipped_text(crop)
    found = list(left_out(fitted(CropModel.of(crop, text, known), START)))
    others = fitted(CropModel.of(crop, text, [one for one in known if one.source != source]), START)
    blind = {crop: WrittenCrop.of_text(document_with(others).text)}
    about = [one for one in found if one.statement.source == source]
    assert about
    again = said(blind, [(crop, one.statement) for one in about])
    for n, one in enumerate(about):
        assert abs(one.middle - again.mid[n]) < 0.25 * (again.high[n] - again.low[n])
