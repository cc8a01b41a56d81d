"""Of very many itineraries those that pay are looked at as they are, and no others are planned."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from ripenroom.planning import itineraries, paying_itineraries
from ripenroom.planning.choices import ItineraryInput, Journeys, JourneyViews, Look
from ripenroom.planning.itineraries import FoundItineraries, find
from ripenroom.planning.problem import NO_WANT, Itineraries, Problem, Wants
from ripenroom.planning.prospects import Prospects
from ripenroom.planning.relaxation import crate_worth, relaxed, short_by, with_handling
from ripenroom.planning.rough_itineraries import as_led, leaders
from ripenroom.science.clock import Indices
from ripenroom.science.journey import Stays
from ripenroom.science.softening import Floats
from tests.planning.prospects import prospects

BATCHES, DAYS, EVENINGS = 24, 12, 20
EVENING_H = np.array([18.0 + 24.0 * evening for evening in range(EVENINGS)])
START_H = np.array([32.0 + 40.0 * day for day in range(DAYS)])
BEST_H = np.random.default_rng(3).uniform(24.0, 120.0, BATCHES)
"""How long before a market each batch has best been moved."""

CHOICES = ItineraryInput(
    stays=Stays(np.full((BATCHES, 1), -20.0), np.zeros((BATCHES, 1), np.intp)),
    written=np.zeros(BATCHES, bool),
    gone_h=np.full(BATCHES, np.inf),
    cleared_h=np.full(BATCHES, np.inf),
    want_of=np.tile(np.arange(DAYS), (BATCHES, 1)),
    second_of=np.full((BATCHES, EVENINGS), NO_WANT),
    price=np.linspace(0.8, 1.6, DAYS),
    start_h=START_H,
    evening_h=EVENING_H,
    first_evening=np.zeros(BATCHES, np.intp),
    destinations=np.array([0, 1]),
    place_c=np.array([15.0, 15.0]),
    hands=None,
)


def seen(rough: float, looked: list[Journeys]) -> Callable[[int, int], Look]:
    """Looks at market days from one up to another, of which ``looked`` keeps the journeys; the
    share is off by up to a part ``rough``."""

    def between(first: int, last: int) -> Look:
        def look(journeys: Journeys) -> Prospects:
            looked.append(journeys)
            ahead_h = START_H[first:last] - np.nan_to_num(journeys.move_h, nan=1e9)[:, None]
            late_h = np.abs(ahead_h - BEST_H[journeys.batch][:, None])
            share = 0.9 * np.exp(-late_h / 60.0)
            wrong = 1.0 + rough * np.sin(journeys.batch[:, None] + START_H[first:last])
            return fruit(share * wrong)

        return look

    return between


def fruit(share: Floats) -> Prospects:
    """All fruit that can ripen is ready and none is past."""
    number = share.shape[0]
    sure = np.zeros((number, 1))
    return prospects(
        0,
        number,
        share.shape[1],
        mean_age=sure,
        doubt_sd=sure + 0.01,
        fruit_sd=sure + 0.01,
        ready_age=sure,
        ripens=share,
        too_soft_age=sure + 9.0,
        at_start=np.ones((*share.shape, 1)),
        at_horizon=np.ones((*share.shape, 1)),
    )


def problem_of(ways: Itineraries) -> Problem:
    """Five crates of each batch; there is room for half of them in the second place."""
    bare = Problem(
        crates=np.full(BATCHES, 5),
        fruit_per_crate=np.full(BATCHES, 20.0),
        wants=Wants(
            np.full(DAYS, 100.0), CHOICES.price, START_H, np.zeros(DAYS, bool), np.zeros(DAYS, bool)
        ),
        ways=ways,
        room=np.repeat([[np.inf], [60.0]], EVENINGS, axis=1),
    )
    return with_handling(bare, crate_worth(bare))


def found(
    choose: bool,
    looked: list[Journeys],
    rough: float = 0.0,
    leader: Indices | None = None,
    tried: list[Journeys] | None = None,
) -> FoundItineraries:
    """What is found, all of it or what pays; ``looked`` keeps what was looked at as it is, and
    ``tried`` what was looked at roughly, each ``leader`` for all that it leads."""
    exactly, roughly = seen(0.0, looked), seen(rough, [] if tried is None else tried)
    never = np.full(BATCHES * 2, np.inf)
    views = JourneyViews(
        lambda first: exactly(first, DAYS),
        exactly(0, DAYS),
        lambda journeys: never[journeys.batch],
        None,
        lambda first: roughly(first, DAYS),
        exactly,
        (lambda ways: short_by(as_led(problem_of(ways), leader))) if choose else None,
    )
    return find(replace(CHOICES, leader=leader), views)


@pytest.fixture(autouse=True)
def _everything_is_much(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(itineraries, "MOST_EXACT", 0)
    monkeypatch.setattr(paying_itineraries, "MOST", 6)


@pytest.mark.parametrize("rough", [0.0, 0.1])
def test_those_that_pay_reach_what_all_would(rough: float) -> None:
    looked_all: list[Journeys] = []
    looked_few: list[Journeys] = []
    everything = relaxed(problem_of(found(False, looked_all).ways))
    those = found(True, looked_few, rough)
    few = relaxed(problem_of(those.ways))
    assert few.reach >= 0.995 * everything.reach
    number_all, number_few = (
        sum(journeys.batch.size for journeys in looked) for looked in (looked_all, looked_few)
    )
    assert number_few < 0.7 * number_all


def test_no_rough_share_is_planned_by() -> None:
    those = found(True, [], 0.1)
    expected, sells = those.prospects, those.ways.want != NO_WANT
    assert expected is not None
    assert those.ways.share[sells] == pytest.approx(expected.expected()[:, 0])
    exact = {
        (batch, want, pull): share
        for batch, want, pull, share in zip(*columns(found(False, []).ways), strict=True)
    }
    for batch, want, pull, share in zip(*columns(those.ways), strict=True):
        if want != NO_WANT:
            assert share == pytest.approx(exact.get((batch, want, pull), share))


def columns(ways: Itineraries) -> tuple[list[int], list[int], list[int], list[float]]:
    return ways.batch.tolist(), ways.want.tolist(), ways.pull.tolist(), ways.share.tolist()


def test_of_what_was_only_tried_the_bound_is_kept() -> None:
    everything = relaxed(problem_of(found(False, []).ways))
    those = found(True, [])
    assert those.left_out is not None
    few = replace(problem_of(those.ways), left_out=those.left_out)
    assert relaxed(few).bound >= everything.bound * (1.0 - 1e-3)


def test_nothing_is_found_twice() -> None:
    ways = found(True, [], 0.1).ways
    key = [ways.batch, ways.want, ways.first_place, ways.place, ways.pull]
    assert np.unique(np.array(key), axis=1).shape[1] == ways.size
    assert (np.diff(ways.batch[ways.want != NO_WANT]) >= 0).all()


def test_a_rough_look_at_one_of_a_few_alike_serves_them_all() -> None:
    leader = leaders((np.zeros(BATCHES, np.intp),), BEST_H, BATCHES // 3)
    tried: list[Journeys] = []
    looked: list[Journeys] = []
    led = found(True, looked, leader=leader, tried=tried)
    of_tried, of_looked = (
        np.unique(np.concatenate([journeys.batch for journeys in each])) for each in (tried, looked)
    )
    assert of_tried.tolist() == np.unique(leader).tolist()
    assert of_looked.tolist() == list(range(BATCHES))
    each = relaxed(problem_of(found(True, []).ways))
    assert relaxed(problem_of(led.ways)).reach > 0.98 * each.reach
