"""What the program says in published cases: the same as an open season would say."""

import csv
import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from ripenroom.paths import resource
from ripenroom.records.batch import FEELS
from ripenroom.records.crop.document import CropDocument
from ripenroom.records.crop.library import shipped_profiles, shipped_text
from ripenroom.records.crop.statement import BASE_OF, Asks, Start, Statement, Waits
from ripenroom.records.crop.statement_file import shipped_statements
from ripenroom.season.published import WrittenCrop, middles, said
from ripenroom.units import NEWTONS_PER, newtons
from tests.outside.crate import FOR_GOOD, Days, Stay, follow
from tests.records.crop.made import HELD, WINTER, winter_but

HARD, SLIGHT_GIVE, GIVES = Start(feel=0), Start(feel=1), Start(feel=2)
SAME_DAYS = 0.02
"""Days by which two ways to one number may differ: some steps of the grid of hours."""


def statement(asks: Asks, start: Start, *stays: Stay | Waits, **more: Any) -> Statement:
    waits = [stay if isinstance(stay, Waits) else Waits(stay[0], 0.0, stay[1]) for stay in stays]
    if waits and waits[-1].days == FOR_GOOD:
        waits[-1] = replace(waits[-1], days=None)
    facts: dict[str, Any] = {
        "low": 1.0, "high": 2.0, "rounding": 0.5, "kind": "trial", "source": "made",
    }  # fmt: skip
    return Statement(asks=asks, start=start, stays=tuple(waits), **(facts | more))


def told(text: str, *statements: Statement) -> list[Days]:
    """Low, middle and high of each statement by the crop of a profile's text."""
    found = said({"crop": WrittenCrop.of_text(text)}, [("crop", s) for s in statements])
    return [Days(*map(float, ends)) for ends in zip(found.low, found.mid, found.high, strict=True)]


def same(one: Days, other: Days, begun: float = 0.0) -> None:
    """``one`` counts from ``begun``, ``other`` from the pick; days that are over count as 0."""
    for a, b in ((one.low, other.low), (one.mid, other.mid), (one.high, other.high)):
        if math.isnan(b):
            assert math.isnan(a)
        else:
            assert a == pytest.approx(max(b - begun, 0.0), abs=SAME_DAYS)


# What an open season says.


@pytest.mark.parametrize(
    ("crop", "feel", "stays", "ethylene_h"),
    [
        ("pawpaw", 1, [(20.0, FOR_GOOD)], 0.0),
        ("pawpaw", 2, [(4.0, 14.0), (22.0, FOR_GOOD)], 0.0),
        ("pawpaw", 1, [(4.0, 56.0), (20.0, FOR_GOOD)], 0.0),  # injured: never ready
        ("tomato", 1, [(15.0, FOR_GOOD)], 0.0),
        ("kiwifruit", None, [(0.0, 28.0), (20.0, FOR_GOOD)], 12.0),
        ("comice", 0, [(20.0, 2.0), (0.0, 30.0), (20.0, FOR_GOOD)], 0.0),
        ("bosc", 0, [(20.0, FOR_GOOD)], 0.0),  # without cold
        ("banana", None, [(18.0, FOR_GOOD)], 24.0),
        ("fig", None, [(0.0, 5.0), (20.0, FOR_GOOD)], 0.0),
    ],
)  # fmt: skip
def test_it_is_what_an_open_season_says(
    crop: str, feel: int | None, stays: Sequence[Stay], ethylene_h: float
) -> None:
    start = Start(feel=feel)
    asked = [
        statement(asks, start, *stays, ethylene_h=ethylene_h)
        for asks in (Asks.READY, Asks.KEPT, Asks.ABLE, Asks.WONT_RIPEN)
    ]
    ready, kept, able, wont_ripen = told(shipped_text(crop), *asked)
    season = follow(crop, stays, feel=None if feel is None else FEELS[feel], ethylene_h=ethylene_h)
    begun = sum(days for _, days in stays[:-1])
    same(ready, season.opens, begun)
    same(kept, season.closes, begun)
    assert wont_ripen.mid == pytest.approx(100.0 * season.wont_ripen)
    if math.isfinite(season.able_days):
        assert able.mid == pytest.approx(max(season.able_days - begun, 0.0), abs=SAME_DAYS)
    else:
        assert able.never


@pytest.mark.parametrize("feel", [1, 2])
def test_firmness_is_what_the_story_of_an_open_season_says(feel: int) -> None:
    stays = [(4.0, 7.0), (20.0, 3.0)]
    start = Start(feel=feel)
    at_end, left = told(
        shipped_text("pawpaw"),
        statement(Asks.FIRMNESS, start, *stays),
        statement(Asks.FIRMNESS_LEFT, start, *stays),
    )
    first_n, last_n = follow(
        "pawpaw", [(4.0, 7.0), (20.0, FOR_GOOD)], feel=FEELS[feel], asked_days=[0.0, 10.0]
    ).firmness_n
    assert at_end.mid == pytest.approx(last_n, rel=0.01)
    assert left.mid == pytest.approx(100.0 * last_n / first_n, rel=0.01)
    assert at_end.low < at_end.mid < at_end.high


def test_the_middle_fruit_has_its_mark_after_the_days_to_it() -> None:
    """Both ways round: firmness after as many days as it takes to come to a mark is the mark."""
    mark_n = newtons(5.0, "lbf")
    (days,) = told(
        shipped_text("peach"), statement(Asks.MARK, HARD, (20.0, FOR_GOOD), mark_n=mark_n)
    )
    assert 0.0 < days.low < days.mid < days.high
    (at_end,) = told(shipped_text("peach"), statement(Asks.FIRMNESS, HARD, (20.0, days.mid)))
    assert at_end.mid == pytest.approx(mark_n, rel=0.01)


def test_half_is_ready_at_the_end_of_the_days_to_ready() -> None:
    (days,) = told(shipped_text("pawpaw"), statement(Asks.READY, GIVES, (20.0, FOR_GOOD)))
    at_end, before = told(
        shipped_text("pawpaw"),
        statement(Asks.READY_PCT, GIVES, (20.0, days.mid)),
        statement(Asks.READY_PCT, GIVES, (20.0, days.low)),
    )
    assert at_end.mid == pytest.approx(50.0, abs=1.0)
    assert before.mid < at_end.mid
    assert at_end.low <= at_end.mid <= at_end.high


def test_fruit_at_its_mark_of_ready_and_fruit_called_ready_are_ready() -> None:
    ripe, at_mark, firm = told(
        WINTER,
        statement(Asks.READY, Start(ready=True), (20.0, FOR_GOOD), ethylene_h=72.0),
        statement(Asks.READY, Start(at_n=13.0), (20.0, FOR_GOOD), ethylene_h=72.0),
        statement(Asks.READY, Start(at_n=62.0), (20.0, FOR_GOOD), ethylene_h=72.0),
    )
    assert ripe.mid == pytest.approx(0.0, abs=0.01)
    assert at_mark.mid == pytest.approx(0.0, abs=0.01)
    assert firm.mid > 2.0


@pytest.mark.parametrize("at_n", [0.0, 0.5, 1e9])
def test_fruit_beyond_the_ends_of_its_curve_is_near_its_end(at_n: float) -> None:
    (days,) = told(
        WINTER, statement(Asks.KEPT, Start(at_n=at_n), (20.0, FOR_GOOD), ethylene_h=72.0)
    )
    assert math.isfinite(days.mid)


def test_dates_of_a_crop_judged_by_nothing_are_those_of_its_profile() -> None:
    """Twelve days at 10 C and four at 20 C are what the made-up keeper says."""
    cool, warm, kept = told(
        HELD,
        statement(Asks.READY, Start(), (10.0, FOR_GOOD)),
        statement(Asks.READY, Start(), (20.0, FOR_GOOD)),
        statement(Asks.KEPT, Start(ready=True), (20.0, FOR_GOOD)),
    )
    assert cool.mid == pytest.approx(12.0, abs=0.1)
    assert warm.mid == pytest.approx(4.0, abs=0.1)
    assert 2.0 < kept.mid <= 4.0


# The gate.


def test_cold_that_the_crop_needs_takes_the_days_of_its_profile() -> None:
    """The made-up winter pear needs 30 days at 0 C, 10 at 10 C, and gets none above 15 C."""
    at_0, at_10, at_20, after = told(
        WINTER,
        statement(Asks.ABLE, HARD, (0.0, FOR_GOOD)),
        statement(Asks.ABLE, HARD, (10.0, FOR_GOOD)),
        statement(Asks.ABLE, HARD, (20.0, FOR_GOOD)),
        statement(Asks.ABLE, HARD, (0.0, 15.0), (10.0, FOR_GOOD)),
    )
    assert at_0.mid == pytest.approx(30.0, abs=0.3)
    assert at_10.mid == pytest.approx(10.0, abs=0.2)
    assert at_0.low < at_0.mid < at_0.high
    assert after.mid == pytest.approx(5.0, abs=0.2)
    assert at_20.never
    assert math.isnan(at_20.low)
    assert math.isnan(at_20.high)


def test_ethylene_stands_in_for_the_cold_and_days_that_are_over_count_as_none() -> None:
    gassed, later = told(
        WINTER,
        statement(Asks.ABLE, HARD, (20.0, FOR_GOOD), ethylene_h=72.0),
        statement(Asks.ABLE, HARD, (20.0, 5.0), (18.0, FOR_GOOD), ethylene_h=72.0),
    )
    assert gassed.mid == pytest.approx(2.0, abs=0.1)
    assert later.mid == 0.0


# Never.


def test_what_never_happens_is_nan() -> None:
    never = told(
        WINTER,
        statement(Asks.INJURY, HARD, (20.0, FOR_GOOD)),
        statement(Asks.ABLE, HARD, (20.0, FOR_GOOD)),
    )
    assert all(one.never for one in never)
    (ready,) = told(
        shipped_text("pawpaw"), statement(Asks.READY, SLIGHT_GIVE, (2.0, 56.0), (20.0, FOR_GOOD))
    )
    assert ready.never


# Doubt about temperatures.


def test_a_temperature_in_doubt_widens_the_range_and_leaves_the_middle() -> None:
    exact, doubted = told(
        shipped_text("pawpaw"),
        statement(Asks.READY, SLIGHT_GIVE, Waits(21.0, 0.0, None)),
        statement(Asks.READY, SLIGHT_GIVE, Waits(21.0, 3.0, None)),
    )
    assert doubted.mid == exact.mid
    assert doubted.low < exact.low
    assert doubted.high > exact.high
    # As another, independent doubt: by the root of the sum of squares.
    cool, warm = told(
        shipped_text("pawpaw"),
        statement(Asks.READY, SLIGHT_GIVE, (18.0, FOR_GOOD)),
        statement(Asks.READY, SLIGHT_GIVE, (24.0, FOR_GOOD)),
    )
    mid = exact.mid
    assert doubted.high - mid == pytest.approx(math.hypot(exact.high - mid, cool.mid - mid))
    assert mid - doubted.low == pytest.approx(math.hypot(mid - exact.low, mid - warm.mid))


def test_exact_and_doubtful_statements_do_not_disturb_one_another() -> None:
    many = [
        statement(Asks.READY, SLIGHT_GIVE, (20.0, FOR_GOOD)),
        statement(Asks.KEPT, GIVES, Waits(4.0, 2.0, None)),
        statement(Asks.READY, GIVES, (18.0, FOR_GOOD)),
        statement(Asks.FIGURE, Start(), figure=("firmness", "ready")),
        statement(Asks.READY, SLIGHT_GIVE, Waits(21.0, 3.0, None)),
    ]
    together = told(shipped_text("pawpaw"), *many)
    for one, alone in zip(
        together, [told(shipped_text("pawpaw"), s)[0] for s in many], strict=True
    ):
        assert (one.low, one.mid, one.high) == pytest.approx((alone.low, alone.mid, alone.high))
    crops = {"crop": WrittenCrop.of_text(shipped_text("pawpaw"))}
    assert middles(crops, [("crop", s) for s in many]).tolist() == [one.mid for one in together]


# Times as long.


def test_times_as_long_are_the_ratio_of_two_temperatures() -> None:
    times, cold, warm = told(
        shipped_text("apple"),
        statement(Asks.KEPT, Start(), (0.0, FOR_GOOD), times_at_c=10.0),
        statement(Asks.KEPT, Start(), (0.0, FOR_GOOD)),
        statement(Asks.KEPT, Start(), (10.0, FOR_GOOD)),
    )
    assert times.mid == pytest.approx(cold.mid / warm.mid)
    assert times.low <= times.mid <= times.high
    # Most of the doubt moves both.
    assert times.high / times.low < cold.high / cold.low * warm.high / warm.low


def test_as_long_at_the_same_temperature_is_once_without_doubt() -> None:
    (times,) = told(
        shipped_text("apple"), statement(Asks.KEPT, Start(), (0.0, FOR_GOOD), times_at_c=0.0)
    )
    assert (times.low, times.mid, times.high) == pytest.approx((1.0, 1.0, 1.0))


def test_times_of_nothing_and_of_never_are_never() -> None:
    """A fig is ready when it is picked, at any temperature; a winter pear never without cold."""
    (fig,) = told(
        shipped_text("fig"), statement(Asks.READY, Start(), (0.0, FOR_GOOD), times_at_c=20.0)
    )
    assert fig.never
    pear = replace(statement(Asks.INJURY, HARD, (20.0, FOR_GOOD)), times_at_c=25.0)
    (injured,) = told(WINTER, pear)
    assert injured.never


# Figures.


@pytest.mark.parametrize(
    ("text", "path", "in_days_or_newtons"),
    [
        (WINTER, ("gate", "ethylene_days"), (1.0, 2.0, 3.0)),
        (WINTER, ("gate", "needs", 1, "days"), (8.0, 10.0, 12.0)),
        (WINTER, ("ripe_life", "q10"), (1.8, 2.0, 2.2)),
        (
            winter_but(
                'ready = { value = 14, low = 10, high = 18, unit = "N"',
                'ready = { value = 3, low = 2, high = 4, unit = "lbf"',
            ),
            ("firmness", "ready"),
            tuple(newtons(lbf, "lbf") for lbf in (2.0, 3.0, 4.0)),
        ),
    ],
)
def test_a_figure_is_that_of_the_profile_whatever_unit_it_is_written_in(
    text: str, path: tuple[str | int, ...], in_days_or_newtons: tuple[float, ...]
) -> None:
    (found,) = told(text, statement(Asks.FIGURE, Start(), figure=path))
    assert (found.low, found.mid, found.high) == pytest.approx(in_days_or_newtons)


def test_a_figure_without_a_range_is_its_value() -> None:
    (found,) = told(WINTER, statement(Asks.FIGURE, Start(), figure=("ripening", "limit_c")))
    assert (found.low, found.mid, found.high) == (28.0, 28.0, 28.0)


def test_figures_are_in_days_newtons_and_degrees_celsius_whatever_they_are_written_in() -> None:
    document = CropDocument(shipped_text("tomato"))
    ends = {"value": 59, "low": 50, "high": 68}
    document.put(("chilling", "threshold"), {**ends, "unit": "F", "source": "ucdavis"})
    crop = WrittenCrop.of_text(document.text)
    # 50, 59 and 68 F are 10, 15 and 20 C by the scale's definition.
    assert crop.figure(("chilling", "threshold")) == pytest.approx((10.0, 15.0, 20.0))


def test_a_figure_that_the_profile_does_not_have_is_never() -> None:
    (found,) = told(WINTER, statement(Asks.FIGURE, Start(), figure=("storage", "freezing")))
    assert found.never


@pytest.mark.parametrize("crop", sorted(shipped_profiles()))
def test_published_figures_are_of_figures_that_there_are_and_of_their_kind(crop: str) -> None:
    """Days against days, newtons against newtons, and all else in one and the same unit."""
    document = WrittenCrop.of_text(shipped_text(crop)).document
    text = (resource("crops", "statements") / f"{crop}.csv").read_text("utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    for one, row in zip(shipped_statements(crop), rows, strict=True):
        if one.asks is not Asks.FIGURE:
            continue
        if isinstance(document.get(one.figure), float | int):
            # Without a range; its key says C.
            assert (row["unit"], str(one.figure[-1])[-2:]) == ("C", "_c"), row
            continue
        unit = str(document.table(one.figure).get("unit"))
        if row["unit"] in BASE_OF:
            assert unit in BASE_OF, row
            assert (unit in NEWTONS_PER) == (row["unit"] in NEWTONS_PER), row
        else:
            assert unit == row["unit"] or (unit, row["unit"]) == ("F", "C"), row
