"""Which room crates take up, against a count evening by evening."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ripenroom.planning.occupancy import Ways, taken
from ripenroom.science.journey import Stays

EVENING_H = np.linspace(18.0, 186.0, 8)


def stands_in(way: Ways, number: int, at_h: float) -> set[int]:
    """Where a crate is in the night after an evening, asked of its moves alone."""
    moves = list(zip(way.stays.start_h[number], way.stays.place[number], strict=True))
    if np.isfinite(way.first_h[number]):
        moves.append((way.first_h[number], way.first_place[number]))
    if np.isfinite(way.move_h[number]):
        moves.append((way.move_h[number], way.place[number]))
    begun = [int(place) for hour, place in moves if hour <= at_h]
    return {begun[-1]} if begun and at_h < way.until_h[number] else set()


@given(st.integers(0, 10_000), st.booleans())
def test_a_crate_stands_in_one_place_from_its_pick_until_it_is_gone(seed: int, limit: bool) -> None:
    rng = np.random.default_rng(seed)
    size = 6
    start = np.sort(rng.choice([-20.0, -3.0, 30.0, 70.0], (size, 2)), axis=1)
    new = np.sort(rng.choice(EVENING_H[3:], (size, 2)), axis=1)
    twice, once = rng.random(size) < 0.4, rng.random(size) < 0.6
    ways = Ways(
        Stays(start, rng.integers(0, 3, (size, 2))),
        np.where(twice & (new[:, 0] < new[:, 1]), new[:, 0], np.nan),
        rng.integers(0, 3, size),
        np.where(twice | once, new[:, 1], np.nan),
        rng.integers(0, 3, size),
        rng.choice([50.0, 120.0, 400.0, np.inf], size),
    )
    place, begin, until = taken(ways, EVENING_H, 3 if limit else None)
    assert (until >= begin).all()
    for number in range(size):
        if np.isfinite(ways.move_h[number]) and ways.move_h[number] >= ways.until_h[number]:
            continue  # Nobody moves what is gone.
        for evening, at_h in enumerate(EVENING_H):
            there = (begin[number] <= evening) & (evening < until[number])
            found = place[number][there].tolist()
            assert {p for p in found if p < 3} == stands_in(ways, number, at_h)
            assert sum(p < 3 for p in found) <= 1
            moves = [ways.first_h[number], ways.move_h[number]]
            assert found.count(3) == (moves.count(at_h) if limit else 0)
