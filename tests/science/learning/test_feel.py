"""Likelihoods of counts by hand against plain integration and differences."""

from dataclasses import fields

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ndtr
from scipy.stats import norm

from ripenroom.science.able_to_ripen import with_odds_times
from ripenroom.science.learning.expansion import Expansion
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


@pytest.mark.parametrize("counts", [[25, 0, 0, 0, 35], [12, 0, 0, 0, 48], [2, 0, 0, 0, 58]])
@pytest.mark.parametrize("age", [0.8, 1.5, 2.5])
def test_what_is_a_batchs_own_in_what_can_ripen_is_integrated_out(
    counts: list[int], age: float
) -> None:
    ripens, own_sd, one_check = 0.9, 0.7, np.ones(1)
    edges = np.full(4, 1.2)  # as of a batch that was picked over
    checks = FeltChecks.of(
        np.array([counts], float),
        edges[None, :],
        JUDGEMENT_SD * one_check,
        ripens * one_check,
        FRUIT_SD * one_check,
        own_sd=own_sd * one_check,
    )

    off = np.linspace(-3.5, 3.5, 701)[:, None]
    below = [0.0 * off, *(ndtr((edge - age - off) / FRUIT_SD) for edge in edges), 1.0 + 0.0 * off]
    apart = np.diff(np.array(below), axis=0)
    own = np.linspace(-6.0, 6.0, 601) * own_sd

    def over_own(shared: float) -> float:
        here = with_odds_times(np.array(ripens), np.exp(shared + own))
        share = here * apart
        share[0] += 1.0 - here
        share = (1.0 - ODD_SHARE) * share + ODD_SHARE / 5.0
        log = np.einsum("f,fho->ho", np.array(counts, float), np.log(share))
        weight = norm.pdf(off, scale=JUDGEMENT_SD) * norm.pdf(own, scale=own_sd)
        cell = (off[1, 0] - off[0, 0]) * (own[1] - own[0])
        return float(np.log((np.exp(log) * weight).sum() * cell))

    step = 0.05
    low, mid, high = (over_own(shared) for shared in (-step, 0.0, step))
    seen = at(checks, age)
    assert seen["value"] == pytest.approx(mid, abs=1e-2)
    assert seen["a"] == pytest.approx((high - low) / (2.0 * step), abs=0.05)
    assert seen["aa"] == pytest.approx((high - 2.0 * mid + low) / step**2, abs=0.1)


@pytest.mark.parametrize("counts", [COUNTS[0], COUNTS[4], [8, 0, 2, 30, 0]])
def test_third_derivatives_along_the_odds_are_those_of_the_curvatures(counts: list[int]) -> None:
    checks, first = by_hand(np.array([counts], float), ripens=0.8), np.array([0])
    fruit_sd, age, able, step = np.full(1, FRUIT_SD), np.full(1, 0.6), np.full(1, 0.2), 1e-3

    def look(x: float, a: float) -> Expansion:
        return checks.expand(first, age + x, fruit_sd, able + a)

    _, third = checks.expand_further(first, age, fruit_sd, able)
    older, younger, more, fewer = (
        look(step, 0.0),
        look(-step, 0.0),
        look(0.0, step),
        look(0.0, -step),
    )
    assert third.xxa == pytest.approx((older.xa - younger.xa) / (2.0 * step), rel=1e-3, abs=1e-5)
    assert third.xaa == pytest.approx((older.aa - younger.aa) / (2.0 * step), rel=1e-3, abs=1e-5)
    assert third.aaa == pytest.approx((more.aa - fewer.aa) / (2.0 * step), rel=1e-3, abs=1e-5)


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
