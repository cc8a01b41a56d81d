"""What is to be expected of harvests that have not begun, against harvests that are drawn."""

import math

import numpy as np
import pytest

from ripenroom.science.orchard.coming_harvest import Coming, coming_of

MIDDLE, SPREAD, LOG_ALL, BEARS = (8.0, 6.0), (4.5, 0.5), (math.log(400.0), 0.6), 0.8
TAIL = 1.2816


def coming(not_before: float = 0.0, middle: tuple[float, float] = MIDDLE) -> Coming:
    found = coming_of(middle, SPREAD, LOG_ALL, BEARS, not_before)
    assert found is not None
    return found


def drawn(not_before: float, since: float, until: float) -> np.ndarray:
    """Fruit due between two times of harvests that are drawn one by one, of those that had not
    begun at a time: each fruit has a day of its own, and waits for the first pick."""
    draw = np.random.default_rng(7)
    found = []
    for _ in range(6_000):
        middle = draw.normal(*MIDDLE)
        sd = SPREAD[0] * math.exp(draw.normal(0.0, SPREAD[1]))
        first = middle + sd * draw.normal(-TAIL, 0.6)
        bears = draw.random() < BEARS
        if bears and first <= not_before:
            continue
        number = round(math.exp(draw.normal(*LOG_ALL))) if bears else 0
        due = np.maximum(draw.normal(middle, sd, number), first)
        found.append(int(((due > since) & (due <= until)).sum()))
    return np.array(found, dtype=float)


@pytest.mark.parametrize("not_before", [0.0, 6.0])
@pytest.mark.parametrize("span", [(0.0, 4.0), (4.0, 12.0), (0.0, 90.0)])
def test_as_many_come_as_of_drawn_harvests(not_before: float, span: tuple[float, float]) -> None:
    since, until = not_before + span[0], not_before + span[1]
    fruit = drawn(not_before, since, until)
    mid, sd = coming(not_before).comes(since, until)
    # The middle of a lognormal is told where its mean, a fifth above it, is drawn.
    assert mid == pytest.approx(fruit.mean() / math.exp(0.6**2 / 2.0), rel=0.1, abs=3.0)
    assert sd == pytest.approx(fruit.std() / math.exp(0.6**2 / 2.0), rel=0.25)


def test_what_could_have_begun_is_less_likely_to_come_at_all() -> None:
    bears = [coming(at).bears for at in (-60.0, 0.0, 6.0, 12.0)]
    assert bears[0] == pytest.approx(BEARS)
    assert bears == sorted(bears, reverse=True)
    assert bears[-1] < 0.5 * BEARS
    assert coming_of(MIDDLE, SPREAD, LOG_ALL, BEARS, 90.0) is None


def test_nothing_comes_before_the_first_pick_and_all_of_it_in_the_end() -> None:
    own = coming(3.0)
    assert own.comes(-50.0, 3.0) == (0.0, 0.0)
    parts = [own.comes(day, day + 3.0)[0] for day in range(3, 90, 3)]
    assert min(parts) >= 0.0
    assert sum(parts) == pytest.approx(own.bears * 400.0, rel=1e-3)
    assert own.comes(3.0, math.inf)[0] == pytest.approx(own.bears * 400.0)


def test_a_later_middle_brings_it_later() -> None:
    soon, late = (coming(middle=(middle, 3.0)).comes(0.0, 10.0)[0] for middle in (6.0, 14.0))
    assert soon > 3.0 * late
