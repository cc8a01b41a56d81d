"""Expected shares are the mean of shares under truths drawn one by one."""

import numpy as np
import pytest

from tests.planning.prospects import prospects


@pytest.mark.parametrize("courses", [1, 3])
def test_the_expected_share_is_the_mean_over_truths(courses: int) -> None:
    pairs = prospects(4, journeys=40, days=1, courses=courses)
    draws = np.random.default_rng(1).standard_normal((2, 1, 40_000))
    saleable, _ = pairs.under(draws[0], draws[1])
    assert pairs.expected()[:, 0] == pytest.approx(saleable.mean(axis=1), abs=0.01)


def test_without_doubt_every_truth_is_what_was_expected() -> None:
    none = np.zeros((5, 1))
    never = none[:, :, None]
    pairs = prospects(
        2, journeys=5, days=1, doubt_sd=none, start_rate_sd=never, horizon_rate_sd=never
    )
    saleable, past = pairs.under(np.array([[2.0, -1.0]]), np.array([[1.0, 3.0]]))
    for column in range(2):
        assert saleable[:, column] == pytest.approx(pairs.expected()[:, 0], abs=1e-6)
    assert (saleable + past <= 1.0 + 1e-9).all()


def test_single_pairs_are_those_of_the_table() -> None:
    table = prospects(3, journeys=6, days=4, courses=3)
    journey, day = np.array([5, 0, 5]), np.array([1, 3, 2])
    some = table.at(journey, day)
    assert some.expected()[:, 0] == pytest.approx(table.expected()[journey, day])


def test_fruit_that_used_up_an_allowance_is_lost() -> None:
    table = prospects(3, journeys=4, days=1, there=np.zeros((4, 1)))
    assert (table.expected() == 0.0).all()
    saleable, past = table.under(np.zeros((1, 1)), np.zeros((1, 1)))
    assert (saleable == 0.0).all()
    assert past == pytest.approx(table.ripens)


def test_faster_fruit_is_past_sooner() -> None:
    table = prospects(6, journeys=10, days=1)
    _, past = table.under(np.array([[-2.0, 0.0, 2.0]]), np.zeros((1, 3)))
    assert (np.diff(past, axis=1) >= 0.0).all()
    assert (np.diff(past, axis=1) > 0.0).any()
