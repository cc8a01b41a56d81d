"""A matrix with one dense corner, against plain linear algebra."""

import numpy as np
import pytest

from ripenroom.science.learning.posterior import ArrowheadMatrix

SHARED, HARVESTS = 6, 5
RNG = np.random.default_rng(3)


@pytest.fixture
def arrow() -> ArrowheadMatrix:
    root = RNG.normal(size=(SHARED, SHARED))
    own = np.array([[0, 1, 2], [3, 1, 4], [0, 1, 2], [5, 1, 4], [3, 1, 4]])
    side = RNG.normal(scale=0.4, size=(HARVESTS, 3))
    return ArrowheadMatrix(
        RNG.uniform(2.0, 5.0, HARVESTS), side, own, root @ root.T + 6.0 * np.eye(SHARED)
    )


def dense(arrow: ArrowheadMatrix) -> np.ndarray:
    whole = np.zeros((HARVESTS + SHARED, HARVESTS + SHARED))
    whole[:HARVESTS, :HARVESTS] = np.diag(arrow.diagonal)
    whole[HARVESTS:, HARVESTS:] = arrow.tip
    for number in range(HARVESTS):
        whole[number, HARVESTS + arrow.own[number]] = arrow.side[number]
        whole[HARVESTS + arrow.own[number], number] = arrow.side[number]
    return whole


def test_it_solves_as_the_whole_matrix_does(arrow: ArrowheadMatrix) -> None:
    right = RNG.normal(size=HARVESTS + SHARED)
    ages, shared = arrow.solve(right[:HARVESTS], right[HARVESTS:])
    expected = np.linalg.solve(dense(arrow), right)
    assert np.concatenate([ages, shared]) == pytest.approx(expected)


def test_covariances_are_entries_of_the_inverse(arrow: ArrowheadMatrix) -> None:
    inverse = np.linalg.inv(dense(arrow))
    assert arrow.tip_covariance == pytest.approx(inverse[HARVESTS:, HARVESTS:])
    for number, found in enumerate(arrow.covariances):
        entries = np.concatenate([[number], HARVESTS + arrow.own[number]])
        assert found == pytest.approx(inverse[np.ix_(entries, entries)])


def test_it_says_where_it_cannot_be_solved(arrow: ArrowheadMatrix) -> None:
    assert arrow.solvable
    assert not ArrowheadMatrix(-arrow.diagonal, arrow.side, arrow.own, arrow.tip).solvable
    assert not ArrowheadMatrix(arrow.diagonal, arrow.side, arrow.own, -arrow.tip).solvable
