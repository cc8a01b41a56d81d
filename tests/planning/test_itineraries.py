"""Which itineraries are found for invented batches, market days and expectations."""

from collections.abc import Callable

import numpy as np
import pytest

from ripenroom.planning.itineraries import (
    BEST_SECOND,
    LEAST_SHARE,
    ItineraryInput,
    Journeys,
    JourneyViews,
    find,
)
from ripenroom.planning.moved_itineraries import BEST_PULLS
from ripenroom.planning.occupancy import Hands
from ripenroom.planning.problem import NO_WANT, Itineraries
from ripenroom.planning.prospects import Prospects
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats
from tests.planning.prospects import prospects

EVENING_H = np.array([18.0, 42.0, 66.0, 90.0, 114.0, 138.0])
START_H = np.array([40.0, 90.0, 140.0])


def choices(**given: object) -> ItineraryInput:
    """Two batches in place 0, which may go to place 1; three market days want both."""
    facts: dict[str, object] = {
        "stays": Stays(np.array([[-50.0], [-20.0]]), np.array([[0], [0]])),
        "written": np.zeros(2, bool),
        "gone_h": np.array([np.inf, 100.0]),
        "want_of": np.array([[0, 2, 4], [1, 3, NO_WANT]]),
        "second_of": np.full((2, EVENING_H.size), NO_WANT),
        "price": np.ones(5 + EVENING_H.size),
        "start_h": START_H,
        "evening_h": EVENING_H,
        "first_evening": np.array([0, 0]),
        "destinations": np.array([0, 1]),
        "place_c": np.array([15.0, 15.0]),
        "hands": None,
    }
    facts["cleared_h"] = given.get("gone_h", facts["gone_h"])
    return ItineraryInput(**{**facts, **given})  # type: ignore[arg-type]


def ripening_at(share: Callable[[Floats, Floats], Floats]) -> JourneyViews:
    """Expects of each journey, by its move's hour and each market's start, just this share."""
    look = looking_at(share, START_H)
    return JourneyViews(
        lambda first: looking_at(share, START_H[first:]),
        look,
        lambda journeys: np.full(journeys.batch.size, np.inf),
    )


def looking_at(
    share: Callable[[Floats, Floats], Floats], at_h: Floats
) -> Callable[[Journeys], Prospects]:
    def look(journeys: Journeys) -> Prospects:
        number = journeys.batch.size
        move_h = np.nan_to_num(journeys.move_h, nan=-1.0)
        shape = number, at_h.size
        wanted = np.broadcast_to(share(move_h[:, None], at_h[None, :]), shape)
        sure = np.zeros((number, 1))
        # All fruit is ready and none is past; the share is that which can ripen.
        return prospects(
            0,
            number,
            at_h.size,
            mean_age=sure,
            doubt_sd=sure + 0.01,
            fruit_sd=sure + 0.01,
            ready_age=sure,
            ripens=wanted,
            too_soft_age=sure + 9.0,
            at_start=np.ones((*shape, 1)),
            at_horizon=np.ones((*shape, 1)),
        )

    return look


def two_days_before(move_h: Floats, start_h: Floats) -> Floats:
    """Best moved two days before the market; a fifth if not moved at all."""
    return np.where(move_h < 0.0, 0.2, np.exp(np.abs(start_h - move_h - 48.0) / -60.0)).astype(
        float
    )


def chosen(ways: Itineraries, batch: int, want: int) -> dict[int, float]:
    """Shares by pull of what goes from a batch to a want."""
    some = (ways.batch == batch) & (ways.want == want)
    return dict(zip(ways.pull[some].tolist(), ways.share[some].tolist(), strict=True))


def test_the_best_evenings_for_each_market_are_found() -> None:
    found = find(choices(), ripening_at(two_days_before))
    ways, expected = found.ways, found.prospects
    shares = chosen(ways, 0, 4)
    assert -1 in shares
    pulls = sorted(pull for pull in shares if pull >= 0)
    assert len(pulls) == BEST_PULLS
    all_shares = two_days_before(EVENING_H, np.full(EVENING_H.size, 140.0))
    best = np.sort(np.argsort(-all_shares)[:BEST_PULLS]).tolist()
    assert pulls == best
    assert [shares[pull] for pull in pulls] == pytest.approx(all_shares[best])
    assert expected is not None
    sells = ways.want != NO_WANT
    assert expected.expected()[:, 0] == pytest.approx(ways.share[sells])


def test_no_market_is_served_before_a_move_or_by_what_it_does_not_want() -> None:
    ways = find(choices(), ripening_at(two_days_before)).ways
    moved = ways.pull >= 0
    start_h = START_H[ways.want[moved] // 2]
    assert (EVENING_H[ways.pull[moved]] < start_h).all()
    assert set(ways.want[ways.batch == 1].tolist()) == {1, 3, NO_WANT}


def test_fruit_is_not_moved_once_it_is_past_where_it_stands() -> None:
    ways = find(choices(), ripening_at(lambda m, s: np.full(np.broadcast(m, s).shape, 0.7))).ways
    assert EVENING_H[ways.pull[(ways.batch == 1) & (ways.pull >= 0)]].max() < 100.0


def test_a_batch_with_moves_ahead_only_follows_what_is_written_down() -> None:
    pinned = choices(written=np.array([True, False]))
    ways = find(pinned, ripening_at(two_days_before)).ways
    assert (ways.pull[ways.batch == 0] == -1).all()
    assert (ways.pull[ways.batch == 1] >= 0).any()


def test_what_is_worth_little_is_left_out() -> None:
    def hardly(move_h: Floats, start_h: Floats) -> Floats:
        return np.where(move_h < 0.0, LEAST_SHARE / 2.0, np.where(start_h > 100.0, 0.9, 0.21))

    ways = find(choices(), ripening_at(hardly)).ways
    # A quarter of batch 0's best (0.9) is beyond 0.21, but not of batch 1's, without a third day.
    assert set(ways.want[ways.batch == 0].tolist()) == {4, NO_WANT}
    assert set(ways.want[ways.batch == 1].tolist()) == {1, 3, NO_WANT}


def test_a_crate_can_always_be_left() -> None:
    found = find(choices(), ripening_at(lambda m, s: np.zeros(np.broadcast(m, s).shape)))
    ways, expected = found.ways, found.prospects
    assert ways.batch.tolist() == [0, 1]
    assert ways.want.tolist() == [NO_WANT, NO_WANT]
    assert expected is not None
    assert expected.at_start.shape == (0, 1, 1)


def test_without_wants_batches_or_evenings() -> None:
    nobody = choices(want_of=np.full((2, 3), NO_WANT))
    found = find(nobody, ripening_at(two_days_before))
    ways, expected = found.ways, found.prospects
    assert (ways.size, expected) == (2, None)
    no_evening = choices(evening_h=np.empty(0), second_of=np.empty((2, 0), np.intp))
    ways = find(no_evening, ripening_at(two_days_before)).ways
    assert (ways.pull == -1).all()
    nothing = choices(
        stays=Stays(np.empty((0, 1)), np.empty((0, 1), np.intp)),
        written=np.zeros(0, bool),
        second_of=np.empty((0, 6), np.intp),
        first_evening=np.zeros(0, np.intp),
        gone_h=np.empty(0),
        want_of=np.empty((0, 3), np.intp),
    )
    assert find(nothing, ripening_at(two_days_before)).ways.size == 0


def test_room_is_taken_in_one_place_until_the_move_and_then_in_the_other() -> None:
    ways = find(choices(), ripening_at(two_days_before)).ways
    for way in range(ways.size):
        stays = [
            (place, *range(begin, until))
            for place, begin, until in zip(
                ways.stay_place[way], ways.stay_from[way], ways.stay_until[way], strict=True
            )
            if until > begin
        ]
        ends_h = (
            choices().gone_h[ways.batch[way]]
            if ways.want[way] == NO_WANT
            else START_H[ways.want[way] // 2]
        )
        evenings = [n for n, hour in enumerate(EVENING_H) if hour < ends_h]
        pull = ways.pull[way] if ways.pull[way] >= 0 else len(evenings)
        halves = [(0, *evenings[:pull]), (1, *evenings[pull:])]
        assert stays == [half for half in halves if len(half) > 1]


def test_a_planned_move_takes_room_where_it_leads() -> None:
    ahead = Stays(np.array([[-50.0, 60.0], [-20.0, -20.0]]), np.array([[0, 1], [0, 0]]))
    planned = choices(stays=ahead, written=np.array([True, False]))
    ways = find(planned, ripening_at(two_days_before)).ways
    (way,) = np.flatnonzero((ways.batch == 0) & (ways.want == 4))
    taken = {
        int(place): list(range(begin, until))
        for place, begin, until in zip(
            ways.stay_place[way], ways.stay_from[way], ways.stay_until[way], strict=True
        )
        if until > begin
    }
    assert EVENING_H[1] < 60.0 < EVENING_H[2]
    assert taken == {0: [0, 1], 1: [1, 2, 3, 4, 5]}
    assert not ways.stay_new[way].any()


def test_warm_fruit_is_put_away_on_the_first_evening_and_moved_again() -> None:
    warm = choices(place_c=np.array([20.0, 3.0, 19.0]), destinations=np.array([0, 1, 2]))

    def best_if_put_away(first_day: int) -> Callable[[Journeys], Prospects]:
        def look(journeys: Journeys) -> Prospects:
            share = 0.8 if journeys.first_h is not None else 0.4
            some = looking_at(lambda m, s: np.full((m.size, s.size), share), START_H[first_day:])
            return some(journeys)

        return look

    views = JourneyViews(
        best_if_put_away, best_if_put_away(0), lambda j: np.full(j.batch.size, np.inf)
    )
    ways = find(warm, views).ways
    twice = ways.first >= 0
    assert twice.any()
    assert set(ways.first_place[twice].tolist()) == {1}
    assert set(ways.first[twice].tolist()) == {0}
    assert set(ways.place[twice].tolist()) == {0, 2}
    assert (ways.pull[twice] > 0).all()
    assert (ways.moves[twice] == 2).all()
    # All stays together reach from the first evening to the market, without a gap.
    for way in np.flatnonzero(twice).tolist():
        length = (ways.stay_until[way] - ways.stay_from[way]).sum()
        assert length == (START_H[ways.want[way] // 2] > EVENING_H).sum()


def test_two_moves_that_gain_nothing_are_left_out() -> None:
    warm = choices(place_c=np.array([20.0, 3.0]))

    def better_at_once(first_day: int) -> Callable[[Journeys], Prospects]:
        def look(journeys: Journeys) -> Prospects:
            share = 0.8 if journeys.first_h is None else 0.7
            some = looking_at(lambda m, s: np.full((m.size, s.size), share), START_H[first_day:])
            return some(journeys)

        return look

    views = JourneyViews(better_at_once, better_at_once(0), lambda j: np.full(j.batch.size, np.inf))
    ways = find(warm, views).ways
    assert (ways.first == -1).all()


def test_what_is_kept_for_later_holds_its_room_and_what_is_past_does_not() -> None:
    views = ripening_at(two_days_before)
    keeps = np.array([0.0, 0.4])
    later = JourneyViews(
        views.markets, views.second, views.closes, lambda batch, _h, _to: keeps[batch]
    )
    ways = find(choices(gone_h=np.array([100.0, 100.0])), later).ways
    left = np.flatnonzero(ways.left)
    assert ways.batch[left].tolist() == [0, 1]
    assert ways.stay_until[left, 0].tolist() == [4, EVENING_H.size]


def test_second_grade_is_sold_from_where_fruit_stands_on_its_best_evenings() -> None:
    every = np.array([np.arange(5, 11), np.full(6, NO_WANT)])
    share = np.array([0.05, 0.3, 0.6, 0.9, 0.6, 0.3])
    evenings = looking_at(lambda m, s: np.broadcast_to(share, (m.size, 6)), EVENING_H)
    views = ripening_at(two_days_before)
    found = find(choices(second_of=every), JourneyViews(views.markets, evenings, views.closes))
    ways, expected = found.ways, found.prospects
    second = ways.want >= 5
    assert set(ways.batch[second].tolist()) == {0}
    assert dict(zip(ways.want[second].tolist(), ways.share[second].tolist(), strict=True)) == {
        5 + n: pytest.approx(share[n]) for n in range(1, 6)
    }
    assert second.sum() <= BEST_SECOND
    assert (ways.moves[second] == 0).all()
    assert expected is not None
    assert expected.expected()[:, 0] == pytest.approx(ways.share[ways.want != NO_WANT])


def test_fruit_that_is_still_to_be_picked_is_moved_and_sold_after_that() -> None:
    later = choices(
        first_evening=np.array([2, 0]),
        stays=Stays(np.array([[50.0], [-20.0]]), np.zeros((2, 1), int)),
    )
    ways = find(later, ripening_at(two_days_before)).ways
    assert ways.pull[(ways.batch == 0) & (ways.pull >= 0)].min() == 2
    # It stands there from noon on, before the next evening.
    assert ways.stay_from[ways.batch == 0][:, 0].min() == 1


def test_hands_are_a_place_where_crates_stand_while_they_are_moved() -> None:
    ways = find(choices(hands=Hands(2, 0.0)), ripening_at(two_days_before)).ways
    for way in range(ways.size):
        by_hand = [
            (begin, until)
            for place, begin, until in zip(
                ways.stay_place[way], ways.stay_from[way], ways.stay_until[way], strict=True
            )
            if place == 2 and until > begin
        ]
        pull = int(ways.pull[way])
        assert by_hand == ([(pull, pull + 1)] if pull >= 0 else [])
