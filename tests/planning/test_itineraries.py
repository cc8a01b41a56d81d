"""Which itineraries are found for invented batches, market days and expectations."""

from collections.abc import Callable

import numpy as np
import pytest

from ripenroom.planning.itineraries import BEST_PULLS, LEAST_SHARE, Choices, Journeys, find
from ripenroom.planning.problem import NO_WANT, Itineraries
from ripenroom.planning.prospects import Prospects
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats
from tests.planning.prospects import prospects

EVENING_H = np.array([18.0, 42.0, 66.0, 90.0, 114.0, 138.0])
START_H = np.array([40.0, 90.0, 140.0])


def choices(**given: object) -> Choices:
    """Two batches in place 0, which may go to place 1; three market days want both."""
    facts = {
        "stays": Stays(np.array([[-50.0], [-20.0]]), np.array([[0], [0]])),
        "pinned": np.zeros(2, bool),
        "gone_h": np.array([np.inf, 100.0]),
        "want_of": np.array([[0, 2, 4], [1, 3, NO_WANT]]),
        "start_h": START_H,
        "evening_h": EVENING_H,
        "destinations": np.array([0, 1]),
    }
    return Choices(**{**facts, **given})  # type: ignore[arg-type]


def ripening_at(share: Callable[[Floats, Floats], Floats]) -> Callable[[Journeys], Prospects]:
    """Expects of each journey, by its move's hour and each market's start, just this share."""

    def look(journeys: Journeys) -> Prospects:
        number = journeys.batch.size
        move_h = np.nan_to_num(journeys.move_h, nan=-1.0)
        wanted = np.broadcast_to(share(move_h[:, None], START_H[None, :]), (number, 3))
        sure = np.zeros((number, 1))
        # All fruit is ready and none is past; the share is that which can ripen.
        return prospects(
            0,
            number,
            3,
            mean_age=sure,
            doubt_sd=sure + 0.01,
            fruit_sd=sure + 0.01,
            rate_sd=sure,
            ready_age=sure,
            ripens=wanted,
            past_age=np.full((number, 3, 1), 9.0),
            at_start=np.ones((number, 3, 1)),
            at_horizon=np.ones((number, 3, 1)),
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
    ways, expected = find(choices(), ripening_at(two_days_before))
    found = chosen(ways, 0, 4)
    assert -1 in found
    pulls = sorted(pull for pull in found if pull >= 0)
    assert len(pulls) == BEST_PULLS
    all_shares = two_days_before(EVENING_H, np.full(EVENING_H.size, 140.0))
    best = np.sort(np.argsort(-all_shares)[:BEST_PULLS]).tolist()
    assert pulls == best
    assert [found[pull] for pull in pulls] == pytest.approx(all_shares[best])
    assert expected is not None
    sells = ways.want != NO_WANT
    assert expected.expected()[:, 0] == pytest.approx(ways.share[sells])


def test_no_market_is_served_before_a_move_or_by_what_it_does_not_want() -> None:
    ways, _ = find(choices(), ripening_at(two_days_before))
    moved = ways.pull >= 0
    start_h = START_H[ways.want[moved] // 2]
    assert (EVENING_H[ways.pull[moved]] < start_h).all()
    assert set(ways.want[ways.batch == 1].tolist()) == {1, 3, NO_WANT}


def test_fruit_is_not_moved_once_it_is_past_where_it_stands() -> None:
    ways, _ = find(choices(), ripening_at(lambda m, s: np.full(np.broadcast(m, s).shape, 0.7)))
    assert EVENING_H[ways.pull[(ways.batch == 1) & (ways.pull >= 0)]].max() < 100.0


def test_a_pinned_batch_only_follows_what_is_written_down() -> None:
    pinned = choices(pinned=np.array([True, False]))
    ways, _ = find(pinned, ripening_at(two_days_before))
    assert (ways.pull[ways.batch == 0] == -1).all()
    assert (ways.pull[ways.batch == 1] >= 0).any()


def test_what_is_worth_little_is_left_out() -> None:
    def hardly(move_h: Floats, start_h: Floats) -> Floats:
        return np.where(move_h < 0.0, LEAST_SHARE / 2.0, np.where(start_h > 100.0, 0.9, 0.4))

    ways, _ = find(choices(), ripening_at(hardly))
    # Half of the best of batch 0 (0.9) is beyond 0.4, but not of batch 1, which has no third day.
    assert set(ways.want[ways.batch == 0].tolist()) == {4, NO_WANT}
    assert set(ways.want[ways.batch == 1].tolist()) == {1, 3, NO_WANT}


def test_a_crate_can_always_be_left() -> None:
    ways, expected = find(choices(), ripening_at(lambda m, s: np.zeros(np.broadcast(m, s).shape)))
    assert ways.batch.tolist() == [0, 1]
    assert ways.want.tolist() == [NO_WANT, NO_WANT]
    assert expected is not None
    assert expected.at_start.shape == (0, 1, 1)


def test_without_wants_batches_or_evenings() -> None:
    nobody = choices(want_of=np.full((2, 3), NO_WANT))
    ways, expected = find(nobody, ripening_at(two_days_before))
    assert (ways.size, expected) == (2, None)
    no_evening = choices(evening_h=np.empty(0))
    ways, _ = find(no_evening, ripening_at(two_days_before))
    assert (ways.pull == -1).all()
    nothing = choices(
        stays=Stays(np.empty((0, 1)), np.empty((0, 1), np.intp)),
        pinned=np.zeros(0, bool),
        gone_h=np.empty(0),
        want_of=np.empty((0, 3), np.intp),
    )
    assert find(nothing, ripening_at(two_days_before))[0].size == 0


def test_room_is_taken_in_one_place_until_the_move_and_then_in_the_other() -> None:
    ways, _ = find(choices(), ripening_at(two_days_before))
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
    planned = choices(stays=ahead, pinned=np.array([True, False]))
    ways, _ = find(planned, ripening_at(two_days_before))
    (way,) = np.flatnonzero((ways.batch == 0) & (ways.want == 4))
    taken = {
        int(place): list(range(begin, until))
        for place, begin, until in zip(
            ways.stay_place[way], ways.stay_from[way], ways.stay_until[way], strict=True
        )
        if until > begin
    }
    assert taken == {0: [0, 1], 1: [2, 3, 4, 5]}
