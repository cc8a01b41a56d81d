"""What is kept of very many batches and places, and that its bound holds for all of them."""

from dataclasses import replace

import numpy as np
import pytest

from ripenroom.planning import search_limits
from ripenroom.planning.problem import NO_WANT, Problem
from ripenroom.planning.relaxation import relaxed
from ripenroom.planning.search_limits import (
    MOST_PLACES,
    MOST_ROUGH,
    MOST_SALES,
    MOVE_SHARE,
    kept,
    looked_at,
    looked_at_once,
    looked_at_roughly,
    places_for,
)
from tests.planning.made import problem


def test_every_batch_may_go_to_every_place_of_a_usual_farm() -> None:
    place_c = np.linspace(2.0, 22.0, MOST_PLACES)
    assert (places_for(np.array([0, 7]), place_c) == np.arange(MOST_PLACES)).all()


def test_of_very_many_places_batches_have_others_of_each_warmth_in_turn() -> None:
    place_c = np.random.default_rng(1).uniform(0.0, 25.0, 96)
    found = np.unique(places_for(np.arange(48), place_c), axis=0)
    assert found.shape == (6, MOST_PLACES)
    assert sorted(found.ravel().tolist()) == list(range(96))
    warmth = place_c[found]
    assert (warmth[:, :-1].max(axis=0) <= warmth[:, 1:].min(axis=0)).all()


def test_evenings_are_passed_over_only_where_there_are_too_many_sales() -> None:
    wait = np.arange(30)
    assert looked_at(wait, MOST_SALES).all()
    some = looked_at(wait, 3 * MOST_SALES)
    assert some[:9].all()
    assert np.flatnonzero(some[9:]).tolist() == [0, 3, 6, 9, 12, 15, 18]
    assert looked_at(wait, 5 * MOST_SALES).sum() == 13
    assert looked_at(wait, MOST_SALES, least=4).sum() == 9 + 5
    assert np.flatnonzero(looked_at(wait, 100 * MOST_SALES)).tolist() == [0, 1, 2, 3, 9, 18, 27]


def test_a_rough_look_passes_over_more_evenings_the_further_ahead_they_are() -> None:
    wait = np.arange(-2, 45)
    assert looked_at_roughly(wait, MOST_ROUGH).all()
    some = wait[2:][looked_at_roughly(wait, 2 * MOST_ROUGH)[2:]]
    assert some.tolist() == [0, 1, 2, 4, 6, 9, 12, 16, 20, 25, 30, 36, 42]
    at_once = wait[2:][looked_at_once(wait)[2:]]
    assert at_once.tolist() == [0, 1, 3, 6, 10, 15, 21, 28, 36]


BATCH = np.repeat(np.arange(40), 60)
WANT = np.tile(np.repeat(np.arange(20), 3), 40)
MOVES = np.tile(np.arange(3), 800)


def shares() -> np.ndarray:
    return np.random.default_rng(2).uniform(0.2, 1.0, BATCH.size)


def test_few_are_all_kept() -> None:
    some, out = kept(BATCH, WANT, MOVES, shares(), np.ones(20), 40)
    assert (some == np.arange(BATCH.size)).all()
    assert out is None


def test_of_many_the_best_ways_are_kept_and_others_spread_over_the_wants() -> None:
    price = np.where(np.arange(20) < 4, 10.0, 1.0)
    share = shares()
    some, out = kept(BATCH, WANT, MOVES, share, price, 1_000_000)
    assert (np.bincount(BATCH[some]) == search_limits.FEWEST_WAYS).all()
    counts = share - MOVE_SHARE * MOVES
    best = counts.reshape(40, 20, 3).max(axis=2)
    # All twenty best ways fit, and the rest are second ones.
    for batch in range(40):
        own = some[BATCH[some] == batch]
        for want in range(20):
            assert counts[own[WANT[own] == want]].max() == best[batch, want]
    assert out is not None
    left = np.setdiff1d(np.arange(BATCH.size), some)
    columns = out.batch, out.want, out.moves, out.share
    for batch, want, moves, most in zip(*columns, strict=True):
        own = (BATCH[left] == batch) & (WANT[left] == want) & (MOVES[left] == moves)
        assert share[left[own]].max() == most
    assert out.share.size == np.unique((BATCH[left] * 20 + WANT[left]) * 3 + MOVES[left]).size


def test_where_not_even_the_best_ways_fit_no_want_is_forgotten(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(search_limits, "FEWEST_WAYS", 6)
    price = np.where(np.arange(20) < 4, 10.0, 1.0)
    some, _ = kept(BATCH, WANT, MOVES, shares(), price, 1_000_000)
    served = np.bincount(WANT[some], minlength=20)
    assert served.min() >= 3
    assert served[:4].min() >= 20


# Problems in which more is wanted than the few ways can sell, so that something is lost.
@pytest.mark.parametrize("seed", [0, 2, 3, 9, 10])
def test_the_bound_holds_for_what_was_left_out(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search_limits, "FEWEST_WAYS", 3)
    whole = problem(seed, batches=12, wants=5)
    fewer = with_few_ways(whole)
    assert fewer.left_out is not None
    assert fewer.ways.size < whole.ways.size
    everything, some = relaxed(whole), relaxed(fewer)
    assert some.solved
    assert some.bound >= everything.bound * (1.0 - 1e-3)
    assert whole.value(everything.crates) > fewer.value(some.crates)
    # Without what is left out it would not hold.
    assert relaxed(replace(fewer, left_out=None)).bound < everything.bound


def with_few_ways(given: Problem) -> Problem:
    """The problem with three ways of each batch that sell something, and those that do not."""
    ways = given.ways
    sells = np.flatnonzero(ways.free & (ways.want != NO_WANT))
    some, out = kept(
        ways.batch[sells],
        ways.want[sells],
        ways.moves[sells],
        ways.share[sells],
        given.wants.price,
        10**9,
    )
    gone = np.zeros(ways.size, bool)
    gone[sells] = True
    gone[sells[some]] = False
    return replace(given, ways=ways.of(np.flatnonzero(~gone)), left_out=out)
