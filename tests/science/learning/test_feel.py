"""Likelihoods of counts by hand against plain integration and differences."""

from dataclasses import fields

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ndtr
from scipy.stats import norm

from ripenroom.science.learning.feel import ODD_SHARE, FeltChecks
from ripenroom.science.softening import Floats
from tests.science.learning.farms import EDGES, FRUIT_SD, JUDGEMENT_SD, by_hand

COUNTS = [
    [0, 3, 12, 5, 0],
    [20, 0, 0, 0, 0],
    [0, 0, 0, 0, 20],
    [0, 0, 20, 0, 0],
    [1, 0, 0, 0, 19],
    [0, 30, 60, 10, 0],
]


def one(counts: list[int]) -> FeltChecks:
    return by_hand(np.array([counts], float))


def at(
    checks: FeltChecks, age: float, log_sd: float = 0.0, able: float = 0.0
) -> "dict[str, float]":
    seen = checks.expand(
        np.array([0]), np.array([age]), np.array([FRUIT_SD * np.exp(log_sd)]), np.array([able])
    )
    return {field.name: float(getattr(seen, field.name)[0]) for field in fields(seen)}


def integrated(counts: list[int], age: float, fruit_sd: float, ripens: float = 0.99) -> float:
    """The same by adaptive quadrature over what the hand is off by."""
    fruit = np.array(counts, float)

    def likelihood(off: float) -> float:
        below = np.concatenate([[0.0], ndtr((EDGES - age - off) / fruit_sd), [1.0]])
        share: Floats = ripens * np.diff(below)
        share[0] += 1.0 - ripens
        share = (1.0 - ODD_SHARE) * share + ODD_SHARE / 5.0
        return float(np.exp(fruit @ np.log(share)) * norm.pdf(off, scale=JUDGEMENT_SD))

    found, _ = quad(likelihood, -3.0, 3.0, limit=400, epsabs=0.0, epsrel=1e-10)
    return float(np.log(found))


@pytest.mark.parametrize("counts", COUNTS)
def test_the_hand_is_integrated_out(counts: list[int]) -> None:
    checks = one(counts)
    peak = float(checks.nodes.seems[0])
    middle = peak if 0 < counts.index(max(counts)) < 4 else np.sign(peak) * 3.0
    for age in middle + np.array([-0.8, 0.0, 0.5]):
        assert at(checks, age)["value"] == pytest.approx(
            integrated(counts, age, FRUIT_SD), abs=2e-3
        )


@pytest.mark.parametrize("counts", COUNTS)
def test_slopes_and_curvatures_are_those_of_the_value(counts: list[int]) -> None:
    checks, step = one(counts), 1e-4
    age = float(np.clip(checks.nodes.seems[0], -4.0, 5.0)) + 0.3
    here = at(checks, age)
    older, younger = at(checks, age + step), at(checks, age - step)
    wider, closer = at(checks, age, step), at(checks, age, -step)
    assert (older["value"] - younger["value"]) / (2 * step) == pytest.approx(here["x"], abs=1e-5)
    assert (wider["value"] - closer["value"]) / (2 * step) == pytest.approx(here["s"], abs=1e-4)
    assert (older["x"] - younger["x"]) / (2 * step) == pytest.approx(here["xx"], abs=1e-4)
    assert (wider["x"] - closer["x"]) / (2 * step) == pytest.approx(here["xs"], abs=1e-3)
    assert (wider["s"] - closer["s"]) / (2 * step) == pytest.approx(here["ss"], abs=1e-3)
    more, fewer = at(checks, age, able=step), at(checks, age, able=-step)
    assert (more["value"] - fewer["value"]) / (2 * step) == pytest.approx(here["a"], abs=1e-4)
    assert (more["a"] - fewer["a"]) / (2 * step) == pytest.approx(here["aa"], abs=1e-3)
    assert (more["x"] - fewer["x"]) / (2 * step) == pytest.approx(here["xa"], abs=1e-3)
    assert (more["s"] - fewer["s"]) / (2 * step) == pytest.approx(here["sa"], abs=1e-3)


@pytest.mark.parametrize("counts", [[4, 0, 2, 13, 1], [0, 0, 2, 16, 2], [17, 2, 1, 0, 0]])
def test_as_many_ripen_as_the_odds_say(counts: list[int]) -> None:
    """Where 0.8 of fruit was thought to ripen, at three times and a third of those odds."""
    checks = by_hand(np.array([counts], float), 0.8)
    for odds in (1.0 / 3.0, 1.0, 3.0):
        share = 4.0 * odds / (1.0 + 4.0 * odds)
        for age in float(checks.nodes.seems[0]) + np.array([-0.4, 0.0, 0.4]):
            found = at(checks, age, able=float(np.log(odds)))["value"]
            assert found == pytest.approx(integrated(counts, age, FRUIT_SD, share), abs=3e-3)


def test_one_odd_fruit_does_not_make_all_others_differ() -> None:
    clean, odd = one([0, 0, 0, 1, 19]), one([0, 1, 0, 0, 19])
    assert at(odd, 4.0)["s"] < at(clean, 4.0)["s"] + 1.0


def test_soft_fruit_is_ahead_of_what_was_expected() -> None:
    checks = by_hand(np.array([[0, 0, 2, 18, 0], [0, 18, 2, 0, 0]], float))
    off = checks.off_by(
        np.arange(2), np.zeros(2), np.full(2, 0.2), np.full(2, FRUIT_SD), np.zeros(2)
    )
    assert off[0] > 1.0
    assert off[1] < -1.0
    seems = checks.seeming_age(np.arange(2), np.zeros(2))
    assert seems == pytest.approx([1.5, -1.5], abs=0.6)


@pytest.mark.parametrize(("counts", "end"), [([0, 0, 0, 0, 20], 1.0), ([20, 0, 0, 0, 0], -1.0)])
def test_fruit_beyond_the_last_edge_may_be_as_far_beyond_as_it_likes(
    counts: list[int], end: float
) -> None:
    checks = one(counts)
    far = [at(checks, end * age) for age in (9.0, 14.0, 40.0)]
    assert [seen["value"] for seen in far] == pytest.approx([far[0]["value"]] * 3, abs=1e-6)
    assert [(seen["x"], seen["xx"]) for seen in far[1:]] == [(0.0, 0.0)] * 2
    age, sd, fruit_sd, none = np.array([[end * 30.0], [0.3], [FRUIT_SD], [0.0]])
    assert checks.off_by(np.array([0]), age, sd, fruit_sd, none)[0] == 0.0
    other = checks.off_by(np.array([0]), -0.5 * age, sd, fruit_sd, none)[0]
    assert end * other > 3.0


def test_nodes_that_were_laid_are_kept() -> None:
    counts = np.array(COUNTS, float)
    whole = by_hand(counts)
    known = whole.nodes.of(slice(None))
    known.low[0] = np.nan
    every = np.ones(len(COUNTS))
    again = FeltChecks.of(
        counts,
        np.tile(EDGES, (len(COUNTS), 1)),
        JUDGEMENT_SD * every,
        0.99 * every,
        FRUIT_SD * every,
        known,
    )
    assert again.nodes.low == pytest.approx(whole.nodes.low)
    assert again.some(slice(2)).counts.shape == (2, 5)
