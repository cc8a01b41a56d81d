"""How often and how much a farm picks, and which picks that makes likely."""

import math
from datetime import datetime, timedelta
from itertools import pairwise

import pytest

from ripenroom.records.book import Book
from ripenroom.records.orchard import FROST_ID, Cultivar, DayWeather, FrostDates, WeatherSource
from ripenroom.season.plans.expected_picks import count_range, likely_ahead
from ripenroom.season.plans.last_picks import (
    CULTIVAR_SPAN,
    MOST_GAP,
    ONLY_DOUBT,
    ONLY_GAP,
    USUAL_SPAN,
    rhythm_of,
)
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
    # Nine days are looked back on: three picks, before each of them three days.
    assert (rhythm.picks, rhythm.days) == (4, 8 + 3.0)
    assert rhythm_of([TODAY, TODAY - timedelta(days=40)]).gap == MOST_GAP
    assert (rhythm_of([TODAY]).gap, rhythm_of([TODAY]).only) == (ONLY_GAP, True)
    with pytest.raises(ValueError, match="no day"):
        rhythm_of([])


def test_two_picks_two_days_apart_are_the_fruit_of_four_days() -> None:
    rhythm = rhythm_of([TODAY, TODAY - timedelta(days=2)])
    assert rhythm.days == 4.0
    found = likely(farm_book(*picked(0, 2, count=80)))
    # Of 40 a day for two days, half way down to nothing in the middle of the 26 days left.
    assert [one.pick.count for one in found[:2]] == [round(80 * (1 - m / 26)) for m in (1, 3)]


def test_picks_go_on_as_often_and_as_much_until_the_usual_span_is_over() -> None:
    found = likely(farm_book(*picked(1, 3, 5, 7, 9, 11)))
    left = USUAL_SPAN.days - 10  # from the last pick on
    assert on_days(found) == [1, 3, 5, 7, 9, 11, 13, 15]
    for one in found:
        middle = (one.pick.on - TODAY).days + 1 - 1
        assert one.pick.count == round(60 * (1 - middle / left))


def test_whoever_picks_weekly_gets_weekly_picks() -> None:
    found = likely(farm_book(*picked(0, 7)))
    assert on_days(found) == [7, 14, 21]
    assert [one.pick.count for one in found] == [
        round(60 * (1 - m / 21)) for m in (3.5, 10.5, 17.5)
    ]


def test_whoever_picks_daily_gets_picks_of_two_days_each() -> None:
    found = likely(farm_book(*picked(0, 1, 2, 3, 4)))
    assert on_days(found)[:3] == [1, 3, 5]
    assert found[0].pick.count == round(120 * (1 - 1 / 24))


@pytest.mark.parametrize("gap", [1, 2, 3, 5, 7, 9])
def test_a_day_on_which_nothing_happens_changes_little(gap: int) -> None:
    book = farm_book(*picked(*range(0, 3 * gap, gap)))
    found = [likely(book, later) for later in range(30)]
    comes = [in_all(some) for some in found]
    assert comes[0] > 0
    for later, (before, after) in enumerate(pairwise(comes)):
        if later + 1 < gap:  # nothing is due yet: all is as it was
            assert found[later + 1] == found[later]
        assert before >= after >= before - 0.3 * comes[0]
        if found[later + 1]:  # what is due comes tomorrow, what is not when it is due
            assert on_days(found[later + 1])[0] == max(gap, later + 2)
    assert comes[-1] == 0


def test_a_pick_that_is_long_overdue_says_that_the_harvest_is_over() -> None:
    book = farm_book(*picked(0, 2, 4))
    first = [some[0].pick.count for some in (likely(book, later) for later in (1, 3, 5))]
    assert first[0] > first[1] > first[2] > 0
    assert likely(book, 9) == ()


def test_one_day_of_picking_makes_one_more_likely_in_wide_doubt() -> None:
    (only,) = likely(farm_book(*picked(0)))
    assert on_days((only,)) == [ONLY_GAP]
    count = round(60 * (1 - 1.5 / 28))
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
    # Once the rhythm is known the range is much narrower.
    low, mid, _ = count_range(likely(farm_book(*picked(*range(0, 11, 2), count=30))))
    assert low > 0.4 * mid


def test_a_harvest_that_lasted_long_is_not_over_at_once() -> None:
    found = likely(farm_book(*picked(*range(1, 40, 2))))
    assert on_days(found) == [1, 3, 5]
    counts = [one.pick.count for one in found]
    assert counts == sorted(counts, reverse=True)
    assert count_range([found[-1]]).low == 0
    weekly = likely(farm_book(*picked(*range(0, 50, 7))))
    assert on_days(weekly) == [7, 14]


def test_each_cultivar_has_a_span_of_its_own() -> None:
    late = Cultivar(id="late", crop="pawpaw", name="Late")
    early = picked(*range(0, 15, 2), cultivar_id="early")
    both = [late, *early, *picked(1, count=200, cultivar_id="late")]
    alone, found = likely(farm_book(*early)), likely(farm_book(*both))
    assert on_days(alone)[-1] < CULTIVAR_SPAN.days - 14
    # What began yesterday goes on when the early ones are over.
    assert CULTIVAR_SPAN.days - 4 <= on_days(found)[-1] <= CULTIVAR_SPAN.days
    assert found[-1].pick.count < found[0].pick.count / 4


def test_the_doubt_of_a_pick_is_what_its_parts_make_it() -> None:
    """Eight days of picks every other day, 18 days of the harvest to come: by hand."""
    (first, *_) = likely(farm_book(*picked(1, 3, 5, 7, 9, 11)))
    count = first.pick.count
    assert first.of_day == pytest.approx(0.3 * count)
    # Four days of picking tell how much, five gaps how often.
    assert first.of_rate == pytest.approx(count * math.hypot(0.3 / math.sqrt(4), 0.6 / 5))
    assert first.pick_days == 4
    # Were the end a week later, the line down would be so much flatter; to first order.
    assert first.of_end == pytest.approx(60 * (1 / 18) * (7 / 18))
    spread = math.hypot(first.of_day, first.of_rate, first.of_end)
    low, mid, high = first.count
    assert first.count == count_range([first])
    assert (low, mid, high) == (
        roughly(round(count - 1.2816 * spread)),
        roughly(count),
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
