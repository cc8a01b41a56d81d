"""How often and how much a farm picks, and which picks that makes likely."""

import math
from datetime import datetime, timedelta
from itertools import pairwise

import pytest

from ripenroom.records.book import Book
from ripenroom.records.orchard import FROST_ID, Cultivar, DayWeather, FrostDates, WeatherSource
from ripenroom.science.orchard.harvest_course import Course, course_of
from ripenroom.season.plans.expected_picks import count_range, likely_ahead
from ripenroom.season.plans.harvests import (
    DAY_TO_DAY,
    FEWEST,
    ONLY_DOUBT,
    PAUSE_DAYS,
    SEVERAL_SPREAD_DAYS,
    SPREAD_LOG_SD,
)
from ripenroom.season.plans.pick_rhythm import MOST_GAP, ONLY_GAP, rhythm_of
from ripenroom.season.plans.plan import LikelyPick, roughly
from ripenroom.season.state import SeasonState
from tests.season.farm import NOW, batch_and_move
from tests.season.plans.planning import CROPS, LISBON, farm_book
from tests.season.plans.test_likely import TODAY, picked


def likely(book: Book, later_days: int = 0) -> tuple[LikelyPick, ...]:
    """What is likely so many days from now, if nothing happens until then."""
    return likely_ahead(SeasonState(book, CROPS, NOW + timedelta(days=later_days), LISBON))


def on_days(found: tuple[LikelyPick, ...]) -> list[int]:
    """In how many days from now each comes."""
    return [(one.pick.on - TODAY).days for one in found]


def ago(days: int) -> datetime:
    return NOW - timedelta(days=days)


def in_all(found: tuple[LikelyPick, ...]) -> int:
    """Fruit of all of them."""
    return sum(one.pick.count for one in found)


def test_the_gap_is_the_middle_one_of_the_last_few() -> None:
    days = [TODAY - timedelta(days=ago) for ago in (0, 2, 5, 8, 11, 14, 30)]
    rhythm = rhythm_of(days)
    assert (rhythm.gap, rhythm.last) == (3.0, TODAY)
    # Nine days are looked back on, and the middle gap is one of five.
    assert (rhythm.looked_back, rhythm.gaps) == (TODAY - timedelta(days=8), 5)
    assert rhythm_of([TODAY, TODAY - timedelta(days=40)]).gap == MOST_GAP
    assert (rhythm_of([TODAY]).gap, rhythm_of([TODAY]).only) == (ONLY_GAP, True)
    with pytest.raises(ValueError, match="no day"):
        rhythm_of([])


def course(days: list[int], fruit: float) -> Course:
    """What picks of so much fruit each tell where nobody says of which cultivar they are."""
    counts = [fruit] * len(days)
    return course_of(days, counts, SEVERAL_SPREAD_DAYS, SPREAD_LOG_SD, DAY_TO_DAY)


def test_picks_go_on_as_often_with_the_fruit_that_comes_due_by_then() -> None:
    found = likely(farm_book(*picked(1, 3, 5, 7, 9, 11)))
    own = course([0, 2, 4, 6, 8, 10], 60)
    days = on_days(found)
    assert days == list(range(1, days[-1] + 1, 2))
    for n, one in enumerate(found):
        assert one.pick.count == round(own.comes(2.0 * n, 2.0 * n + 2.0)[0])
    assert 5 * FEWEST > found[-1].pick.count >= FEWEST


def test_whoever_picks_weekly_gets_weekly_picks() -> None:
    found = likely(farm_book(*picked(0, 7)))
    assert on_days(found)[:2] == [7, 14]
    assert [day % 7 for day in on_days(found)] == [0] * len(found)
    assert found[0].pick.count == round(course([0, 7], 60).comes(0.0, 7.0)[0])


def test_whoever_picks_daily_gets_picks_of_two_days_each() -> None:
    found = likely(farm_book(*picked(0, 1, 2, 3, 4)))
    assert on_days(found)[:3] == [1, 3, 5]
    assert found[0].pick.count == round(course([0, 1, 2, 3, 4], 60).comes(0.0, 2.0)[0])


def test_a_harvest_that_began_small_grows_and_one_that_brings_less_ends_soon() -> None:
    def of(*counts: int) -> Book:
        days = range(2 * len(counts) - 2, -1, -2)
        return farm_book(
            Cultivar(id="early", crop="pawpaw", name="Early"),
            *(
                record
                for day, count in zip(days, counts, strict=True)
                for record in picked(day, count=count, cultivar_id="early")
            ),
        )

    grows, ends = likely(of(15, 40)), likely(of(20, 60, 90, 70, 30, 10))
    assert grows[0].pick.count > 40
    assert in_all(grows) > 3 * 55
    assert in_all(ends) < 20


def test_after_a_pause_another_harvest_begins() -> None:
    before = (3 + PAUSE_DAYS, 5 + PAUSE_DAYS)
    again, alone = (
        likely(farm_book(*picked(0, 2), *picked(*before, count=500))),
        likely(farm_book(*picked(0, 2))),
    )
    assert [one.pick for one in again] == [one.pick for one in alone]
    # They tell how often this farm picks all the same.
    assert again[0].of_rate < alone[0].of_rate


@pytest.mark.parametrize("gap", [1, 2, 3, 5, 7, 9])
def test_a_day_on_which_nothing_happens_changes_little(gap: int) -> None:
    book = farm_book(*picked(*range(0, 3 * gap, gap)))
    found = [likely(book, later) for later in range(30)]
    comes = [in_all(some) for some in found]
    assert comes[0] > 0
    for later, (before, after) in enumerate(pairwise(comes)):
        if later + 1 < gap:  # nothing is due yet: all is as it was
            assert found[later + 1] == found[later]
        assert before >= after >= before - 0.3 * comes[0] - 2 * FEWEST
        if found[later + 1]:  # what is due comes tomorrow, what is not when it is due
            assert on_days(found[later + 1])[0] == max(gap, later + 2)
    assert comes[-1] == 0


def test_a_pick_that_is_long_overdue_says_that_the_harvest_is_over() -> None:
    book = farm_book(*picked(0, 2, 4))
    comes = [in_all(likely(book, later)) for later in (1, 3, 5)]
    assert comes[0] > comes[1] > comes[2] > 0
    assert likely(book, 9) == ()


def test_one_day_of_picking_makes_one_more_likely_in_wide_doubt() -> None:
    (only,) = likely(farm_book(*picked(0)))
    assert on_days((only,)) == [ONLY_GAP]
    count = 60
    assert only.pick.count == count
    assert only.of_day == only.of_rate == pytest.approx(ONLY_DOUBT * count)
    assert only.count.low <= 0.1 * count
    (late,) = likely(farm_book(*picked(0)), 4)
    assert on_days((late,)) == [5]
    assert late.pick.count < count
    assert likely(farm_book(*picked(0)), 12) == ()


def test_two_days_on_end_may_be_one_round_of_the_trees() -> None:
    """A second pick tells that picking goes on, but hardly how often: all that comes may be little
    more than one day brought, and is told so."""
    found = likely(farm_book(*picked(0, 1, count=30)))
    assert {one.pick_days for one in found} == {2}
    low, mid, high = count_range(found)
    assert low <= 60 < 300 < mid
    assert high > 1.7 * mid
    # Once the rhythm is known the range is narrower.
    low, mid, high = count_range(likely(farm_book(*picked(*range(0, 11, 2), count=30))))
    assert low > 0
    assert high < 1.9 * mid


def test_a_harvest_that_lasted_long_is_not_over_at_once() -> None:
    found = likely(farm_book(*picked(*range(1, 40, 2))))
    assert on_days(found)[:3] == [1, 3, 5]
    counts = [one.pick.count for one in found]
    assert counts == sorted(counts, reverse=True)
    weekly = likely(farm_book(*picked(*range(0, 50, 7))))
    assert on_days(weekly)[0] == 7


def test_each_cultivar_has_a_course_of_its_own() -> None:
    early_late = [Cultivar(id=key, crop="pawpaw", name=key) for key in ("early", "late")]
    early = picked(*range(1, 18, 2), cultivar_id="early")
    both = [*early_late, *early, *picked(2, count=20, cultivar_id="late")]
    alone, found = likely(farm_book(*early_late, *early)), likely(farm_book(*both))
    # What began two days ago goes on when the early ones are over, and brings about as much.
    assert on_days(found)[-1] > on_days(alone)[-1]
    assert in_all(found) > in_all(alone) + 5 * 20


def test_the_doubt_of_a_pick_is_what_its_parts_make_it() -> None:
    (first, *_) = likely(farm_book(*picked(1, 3, 5, 7, 9, 11)))
    count, sd = course([0, 2, 4, 6, 8, 10], 60).comes(0.0, 2.0)
    assert first.of_day == pytest.approx(0.3 * round(count))
    # Six days of picking tell how much, five gaps how often.
    assert first.of_rate == pytest.approx(count * math.hypot(0.3 / math.sqrt(6), 0.6 / 5))
    assert first.pick_days == 6
    assert first.of_end == pytest.approx(sd)
    spread = math.hypot(first.of_day, first.of_rate, first.of_end)
    low, mid, high = first.count
    assert first.count == count_range([first])
    assert (low, mid, high) == (
        roughly(round(count - 1.2816 * spread)),
        roughly(round(count)),
        roughly(round(count + 1.2816 * spread)),
    )


# Frost


def night(days: int, min_c: float, source: WeatherSource = "read") -> DayWeather:
    """The weather so many days from now."""
    on = TODAY + timedelta(days=days)
    return DayWeather(id=f"weather {on}", on=on, min_c=min_c, max_c=12.0, source=source)


def test_a_killing_frost_ends_all_that_is_likely() -> None:
    picks = picked(1, 3, 5)
    assert likely(farm_book(*picks, night(0, 3.0)))
    assert likely(farm_book(*picks, night(0, -8.0))) == ()
    # A light one lets fruit fall for four days.
    light = likely(farm_book(*picks, night(0, -1.0)))
    assert on_days(light) == [1, 3]
    # One that was picked for long after did no harm; one of long before the first pick neither.
    everything = likely(farm_book(*picks))
    for harmless in (night(-10, -1.0), night(-60, -4.0)):
        assert likely(farm_book(*picked(1, 3, 5, 12), harmless)) == likely(
            farm_book(*picked(1, 3, 5, 12))
        )
    assert in_all(light) < in_all(everything) / 3


def test_a_frost_that_is_forecast_ends_it_with_its_doubt() -> None:
    picks = picked(1, 3, 5)
    warm = likely(farm_book(*picks))
    cold = likely(farm_book(*picks, night(4, -7.0, "forecast"), night(5, -8.0, "forecast")))
    assert on_days(cold) == [day for day in on_days(warm) if day <= 3]
    assert [one.pick.count for one in cold] == [one.pick.count for one in warm[: len(cold)]]
    some = likely(farm_book(*picks, night(4, 1.0, "forecast")))
    assert in_all(cold) < in_all(some) < in_all(warm)
    after = [one for one in some if one.pick.on > TODAY + timedelta(days=4)]
    for one, other in zip(after, warm[2:], strict=False):
        assert one.of_end / one.pick.count > other.of_end / other.pick.count


def test_usual_frost_dates_are_the_latest_end() -> None:
    picks = picked(1, 3, 5)
    warm = likely(farm_book(*picks))

    def with_dates(even_days: int) -> tuple[LikelyPick, ...]:
        even = TODAY + timedelta(days=even_days)
        dates = FrostDates(id=FROST_ID, even_on=even, tenth_on=even - timedelta(days=9))
        return likely(farm_book(*picks, dates))

    assert with_dates(90) == warm
    soon = with_dates(8)
    assert in_all(soon) < in_all(warm)
    assert soon[0].pick.count >= 0.75 * warm[0].pick.count
    assert on_days(soon)[-1] < on_days(warm)[-1]


def test_frost_takes_the_same_of_every_crop() -> None:
    pears = [r for days in (2, 4) for r in batch_and_move(days, picked_at=ago(days), crop="pear")]
    assert {one.pick.crop for one in likely(farm_book(*picked(1, 3, 5), *pears))} == {
        "pawpaw",
        "pear",
    }
    assert likely(farm_book(*picked(1, 3, 5), *pears, night(0, -8.0))) == ()
