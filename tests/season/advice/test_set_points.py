"""Advice on set points: of the practice farm, and of farms where it is plain what is best."""

import threading
from dataclasses import replace
from datetime import timedelta
from functools import cache
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from ripenroom.planning.evaluate import outcome
from ripenroom.records.book import Book
from ripenroom.records.crop.library import shipped_profiles
from ripenroom.records.place import Place, SetPointChange
from ripenroom.season.advice.advice import SetPointAdvice
from ripenroom.season.advice.set_points import FLAT_WITHIN, set_point_advice
from ripenroom.season.advice.shared_itineraries import paid_ground, worth
from ripenroom.season.season import Season
from ripenroom.season.state import SeasonState
from tests.season.farm import NOW, batch_and_move, book_of, market, nothing_more
from tests.worked_out import advised_once

CROPS = shipped_profiles()
ZONE = ZoneInfo("Europe/Lisbon")
COLD, WARM, BENCH = "a cold", "b warm", "c bench"


def advise(book: Book) -> SetPointAdvice:
    advice = set_point_advice(SeasonState(book, CROPS, NOW, ZONE))
    assert advice is not None
    return advice


def farm(
    cold_c: float, warm_c: float, *extra: object, days_ahead: float = 9.0, wanted: int = 400
) -> Book:
    """A pick of 300 in the cold room, a ripening room, and one market day."""
    records: list[object] = [
        Place(id=COLD, name="Cold", kind="cold room", half_cooling_h=5.0, capacity_crates=50),
        Place(id=WARM, name="Warm", kind="ripening room", half_cooling_h=5.0, capacity_crates=50),
    ]
    for key, celsius in ((COLD, cold_c), (WARM, warm_c)):
        at = NOW - timedelta(days=60)
        records.append(SetPointChange(id=f"set {key}", place_id=key, at=at, set_point_c=celsius))
    day, wants = market(days_ahead, {"pawpaw": wanted})
    records += [*batch_and_move(1, COLD, count=300), day, *wants, *extra]
    return book_of(*records)  # type: ignore[arg-type]


@cache
def of_a_cold_and_a_warm_room() -> SetPointAdvice:
    """The advice for rooms at 3 and 20 °C."""
    return advise(farm(3.0, 20.0))


@pytest.mark.long
def test_a_limit_of_hands_is_no_place_where_fruit_chills() -> None:
    free = farm(3.0, 20.0, nothing_more())
    limited = replace(free, season=replace(free.season, crates_moved_per_evening=1000))
    assert advise(limited).places == advise(free).places


@advised_once
@pytest.mark.parametrize("farm", ["few", pytest.param("practice", marks=pytest.mark.long)])
def test_figures_of_the_advice_hang_together(farm: str, request: pytest.FixtureRequest) -> None:
    season: Season = request.getfixturevalue(farm)
    told: list[float] = []
    advice = season.ask.set_point_advice(progress=told.append)
    assert advice is not None
    assert advice.pair is not None
    assert told[-1] == pytest.approx(1.0)
    assert all(before < after for before, after in pairwise(told))
    pair = advice.pair
    assert len(pair.cold_c) == 7
    assert len(pair.ripening_c) == 5
    assert {season.book.places[p.place_id].kind for p in advice.places[:2]} == {
        "cold room",
        "ripening room",
    }
    best = max(max(row) for row in pair.value_minor)
    row, column = pair.advised
    assert pair.value_minor[row][column] >= (1.0 - FLAT_WITHIN) * best
    cold, ripening = advice.places[:2]
    assert cold.advised_c == pytest.approx(pair.cold_c[row])
    assert cold.curve.value_minor == tuple(values[column] for values in pair.value_minor)
    assert ripening.curve.value_minor == pair.value_minor[row]
    assert cold.as_it_is.value_minor == tuple(v[pair.today[1]] for v in pair.value_minor)
    assert cold.curve.other_c == pair.ripening_c[column]
    now_row, now_column = pair.today
    assert advice.value_minor == pair.value_minor[now_row][now_column]
    assert advice.gain_minor == pair.value_minor[row][column] - advice.value_minor
    for place in advice.places:
        assert place.flat_low_c - 1e-6 <= place.advised_c <= place.flat_high_c + 1e-6
        assert place.lowest_c < place.highest_c
        worth = dict(zip(place.curve.set_points_c, place.curve.value_minor, strict=True))
        advised = worth[min(worth, key=lambda celsius: abs(celsius - place.advised_c))]
        for loses, beyond in (
            (place.colder_loses_minor, [c for c in worth if c < place.flat_low_c][-1:]),
            (place.warmer_loses_minor, [c for c in worth if c > place.flat_high_c][:1]),
        ):
            assert loses is None or loses == advised - worth[beyond[0]]
        for celsius, value in zip(place.curve.set_points_c, place.curve.value_minor, strict=True):
            if place.flat_low_c <= celsius <= place.flat_high_c:
                assert value >= (1.0 - FLAT_WITHIN) * max(place.curve.value_minor)
        assert all(0.0 <= share <= 1.0 for share in place.curve.sold_share)
        assert all(0.0 <= used < 1.0 for used in place.curve.chilling_used)


@advised_once
def test_todays_cell_is_the_plan_of_the_book_as_it_is(few: Season) -> None:
    laid = paid_ground(few.state)
    crates = worth(laid.problem).crates
    comes_to = outcome(laid.problem, crates, laid.prospects, laid.lines.crop)
    advice = few.ask.set_point_advice()
    assert advice is not None
    assert advice.value_minor == pytest.approx(comes_to.net, rel=2e-3)


def test_a_ripening_room_that_is_too_cold_is_to_be_warmer() -> None:
    advice = advise(farm(2.0, 16.0, days_ahead=6.0))
    warm = advice.places[1]
    assert warm.place_id == WARM
    assert warm.advised_c > 16.0
    assert advice.gain_minor > 0.0
    assert warm.colder_loses_minor is not None
    assert warm.colder_loses_minor > 0.0
    assert not warm.fine_as_it_is


def test_where_nothing_is_gained_all_stays_as_it_is() -> None:
    advice = of_a_cold_and_a_warm_room()
    again = advise(farm(advice.places[0].advised_c, advice.places[1].advised_c))
    assert all(place.fine_as_it_is for place in again.places)
    assert again.gain_minor == 0.0


def test_colder_storage_uses_more_of_the_chilling_allowance() -> None:
    advice = advise(farm(4.0, 20.0, days_ahead=20.0))
    used = advice.places[0].curve.chilling_used
    assert used[0] > 2.0 * used[-1] > 0.0


def test_a_place_alone_has_no_other() -> None:
    book = farm(3.0, 20.0)
    bench = replace(book.places[WARM], kind="counter")
    advice = advise(book.with_changes([bench]))
    assert advice.pair is None
    [cold] = advice.places
    assert cold.curve == cold.as_it_is
    assert cold.curve.other_c is None


def test_a_setting_that_fruit_do_not_stand_is_never_advised() -> None:
    advice = advise(farm(-1.0, 20.0))
    cold = advice.places[0]
    assert cold.today_c == -1.0
    assert cold.advised_c >= cold.lowest_c


def test_without_fruit_or_market_days_there_is_nothing_to_advise() -> None:
    book = farm(3.0, 20.0)
    no_fruit = replace(book, batches={}, moves={})
    no_day = replace(book, market_days={}, wants={})
    for empty in (no_fruit, no_day):
        assert advise(empty).places == ()
        assert advise(empty).pair is None


def test_it_can_be_called_off() -> None:
    cancel = threading.Event()
    cancel.set()
    assert set_point_advice(SeasonState(farm(3.0, 20.0), CROPS, NOW, ZONE), cancel=cancel) is None


def test_it_can_be_called_off_on_the_way() -> None:
    cancel, told = threading.Event(), list[float]()

    def tell(share: float) -> None:
        told.append(share)
        cancel.set()

    assert set_point_advice(SeasonState(farm(3.0, 20.0), CROPS, NOW, ZONE), cancel, tell) is None
    assert len(told) == 1
