"""Which room crates take up, against a count evening by evening."""

from unittest.mock import patch

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.planning.occupancy import CrateStays, Hands, taken
from ripenroom.science.journey import Stays

EVENING_H = np.linspace(18.0, 186.0, 8)


def moves_of(way: CrateStays, number: int) -> list[tuple[float, int, bool]]:
    """When a crate comes to which place, and whether by a new move."""
    moves = [
        (float(hour), int(place), False)
        for hour, place in zip(way.stays.start_h[number], way.stays.place[number], strict=True)
    ]
    for hour, place in ((way.first_h, way.first_place), (way.move_h, way.place)):
        if np.isfinite(hour[number]):
            moves.append((float(hour[number]), int(place[number]), True))
    return moves


def stands_in(
    way: CrateStays, number: int, since_h: float, until_h: float
) -> set[tuple[int, bool]]:
    """Where a crate is between two hours, asked of its moves alone, and whether it is new there."""
    moves = moves_of(way, number)
    ends = [hour for hour, _, _ in moves[1:]] + [np.inf]
    return {
        (place, new)
        for (hour, place, new), end in zip(moves, ends, strict=True)
        if max(hour, since_h) < min(end, until_h, way.until_h[number])
    }


@given(st.integers(0, 10_000), st.booleans())
def test_a_crate_stands_in_one_place_from_its_pick_until_it_is_gone(seed: int, limit: bool) -> None:
    rng = np.random.default_rng(seed)
    size = 6
    start = np.sort(rng.choice([-20.0, -3.0, 30.0, 70.0], (size, 2)), axis=1)
    new = np.sort(rng.choice(EVENING_H[3:], (size, 2)), axis=1)
    twice, once = rng.random(size) < 0.4, rng.random(size) < 0.6
    ways = CrateStays(
        Stays(start, rng.integers(0, 3, (size, 2))),
        np.arange(size),
        np.where(twice & (new[:, 0] < new[:, 1]), new[:, 0], np.nan),
        rng.integers(0, 3, size),
        np.where(twice | once, new[:, 1], np.nan),
        rng.integers(0, 3, size),
        rng.choice([50.0, 120.0, 400.0, np.inf], size),
    )
    since_h = -8.0
    place, begin, until, new = taken(ways, EVENING_H, Hands(3, since_h) if limit else None)
    assert (until >= begin).all()
    next_h = np.append(EVENING_H[1:], np.inf)
    for number in range(size):
        if np.isfinite(ways.move_h[number]) and ways.move_h[number] >= ways.until_h[number]:
            continue  # Nobody moves what is gone.
        moves = moves_of(ways, number)
        for evening, at_h in enumerate(EVENING_H):
            there = (begin[number] <= evening) & (evening < until[number])
            found = list(
                zip(place[number][there].tolist(), new[number][there].tolist(), strict=True)
            )
            stands = {(p, brought) for p, brought in found if p < 3}
            assert stands == stands_in(ways, number, at_h, next_h[evening])
            ahead = [
                (hour, brought)
                for (hour, _, brought), (before, _, _) in zip(moves[1:], moves, strict=False)
                if since_h < hour < ways.until_h[number] and hour > before
            ]
            by_hand = [brought for hour, brought in ahead if -12.0 <= hour - at_h < 12.0]
            assert [brought for p, brought in found if p == 3] == (by_hand if limit else [])


@given(st.integers(0, 10_000), st.booleans())
def test_it_is_the_same_by_parts(seed: int, limit: bool) -> None:
    rng = np.random.default_rng(seed)
    size, stays = 9, 4
    start = np.sort(rng.uniform(-50.0, 190.0, (5, stays)), axis=1)
    ways = CrateStays(
        Stays(start, rng.integers(0, 3, (5, stays))),
        rng.integers(0, 5, size),
        np.full(size, np.nan),
        rng.integers(0, 3, size),
        np.where(rng.random(size) < 0.5, rng.choice(EVENING_H, size), np.nan),
        rng.integers(0, 3, size),
        rng.choice([50.0, 120.0, np.inf], size),
    )
    hands = Hands(3, -8.0) if limit else None
    whole = taken(ways, EVENING_H, hands)
    with patch("ripenroom.planning.occupancy._CELLS", 2 * stays):
        parts = taken(ways, EVENING_H, hands)
    for one, other in zip(whole, parts, strict=True):
        assert one.tolist() == other.tolist()
    assert sum(table.itemsize for table in whole) <= 7
