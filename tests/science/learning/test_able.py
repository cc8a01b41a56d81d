"""How much of the fruit can ripen, as checks tell it: against a sampler and one-way integration."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import binom, norm

from ripenroom.science.able_to_ripen import with_odds_times
from ripenroom.science.learning.check_fit import able_without
from ripenroom.science.learning.feel import ODD_SHARE
from ripenroom.science.learning.model import CheckColumns, FarmModel, HarvestUnknowns
from ripenroom.science.learning.posterior import learn
from tests.science.learning.farms import FRUIT_SD, Layout, by_hand, dense, farm, sampled

ABLE_SD, BOOK = 1.2, 0.85
DRAWS = 20_000


def ripe(counts: list[list[int]], age_sd: float = 0.05) -> FarmModel:
    """Batches that are far softer than the first give, whose age is known to ``age_sd``: what is
    hard there never ripens."""
    of, _ = farm(Layout(1, (1.0,), by_hand=True, ripens=BOOK, able_sd=ABLE_SD), 1)
    number = len(counts)
    every = np.ones(number)
    harvests = HarvestUnknowns(
        np.zeros(number, np.intp), 1.5 * every, age_sd * every, FRUIT_SD * every
    )
    checks = CheckColumns(
        np.arange(number),
        0.0 * every,
        0.0 * every,
        ((by_hand(np.array(counts, float), BOOK), np.arange(number)),),
    )
    return FarmModel(of.crops, of.cultivars, of.told, harvests, checks)


def moments_by_hand(hard: int, fruit: int) -> tuple[float, float]:
    """Mean and sd of the log odds over the book's, where so many of the fruit never ripened."""

    def posterior(log_odds: float) -> float:
        odds = BOOK / (1.0 - BOOK) * np.exp(log_odds)
        seen = ODD_SHARE / 5.0 + (1.0 - ODD_SHARE) / (1.0 + odds)
        return float(binom.pmf(hard, fruit, seen) * norm.pdf(log_odds, scale=ABLE_SD))

    whole, mean, square = (
        quad(lambda x, n=n: x**n * posterior(x), -8.0, 8.0, limit=200)[0] for n in range(3)
    )
    mean /= whole
    return mean, float(np.sqrt(square / whole - mean * mean))


@pytest.mark.parametrize("hard", [0, 2, 9, 30])
def test_hard_fruit_among_ripe_tells_as_a_draw_of_so_many_does(hard: int) -> None:
    """Sixty fruit, of which so many are hard and all others long soft."""
    of = ripe([[hard, 0, 10, 50 - hard, 0]])
    found = learn(of)
    mean, sd = moments_by_hand(hard, 60)
    number = of.able_offset.start
    assert ABLE_SD * found.mean.shared[number] == pytest.approx(mean, abs=0.25 * sd)
    left = ABLE_SD * np.sqrt(found.arrow.tip_covariance[number, number])
    assert left == pytest.approx(sd, rel=0.12)


@pytest.mark.long
def test_it_agrees_with_a_sampler() -> None:
    """Together with rate and ages. The log odds are skew: their mean is their mode here."""
    off, wider, of_able = [], [], []
    for by_feel in (True, False):
        for seed, (harvests, days) in enumerate(((1, (5.0,)), (2, (2.0, 5.0)), (3, (2.0,)))):
            fruit = 20 if by_feel else 8
            of, _ = farm(Layout(harvests, days, by_feel, fruit, 0.0, BOOK, ABLE_SD), seed)
            found = learn(of)
            drawn = sampled(found, DRAWS)
            mean = np.concatenate([found.mean.shared, found.mean.age])
            error = (mean - drawn.mean) / drawn.sd
            off += error[[of.cultivar_rate.start, *range(of.shared, of.shared + harvests)]].tolist()
            of_able.append(float(error[of.able_offset.start]))
            spread = np.sqrt(np.diag(dense(found))) / drawn.sd - 1.0
            wider.append(float(spread[of.able_offset.start]))
    assert np.abs(off).max() < 0.2
    assert np.abs(of_able).max() < 0.25
    assert np.abs(wider).max() < 0.1


def test_what_is_known_leaves_nothing_to_learn() -> None:
    of, _ = farm(Layout(2, (2.0, 5.0), by_hand=True, ripens=BOOK), 3)
    found = learn(of)
    assert found.mean.shared[of.able_offset] == pytest.approx(0.0)
    assert found.arrow.tip_covariance[-1, -1] == pytest.approx(1.0)
    assert np.array_equal(np.array(able_without(found)), np.zeros((2, 4)))


def test_without_the_only_check_it_is_what_was_thought() -> None:
    mean, sd = able_without(learn(ripe([[1, 0, 4, 35, 0]])))
    assert mean == pytest.approx(0.0, abs=0.02)
    assert sd == pytest.approx(ABLE_SD, rel=0.01)


def test_without_one_check_it_is_what_the_others_say() -> None:
    counts = [[5, 0, 6, 29, 0], [8, 0, 6, 26, 0], [4, 0, 4, 32, 0], [12, 0, 6, 22, 0]]
    mean, sd = able_without(learn(ripe(counts)))
    for number in range(4):
        others = learn(ripe(counts[:number] + counts[number + 1 :]))
        place = others.farm.able_offset.start
        assert mean[number] == pytest.approx(ABLE_SD * others.mode.shared[place], abs=0.1)
        left = ABLE_SD * np.sqrt(others.arrow.tip_covariance[place, place])
        assert sd[number] == pytest.approx(left, rel=0.1)


def test_odds_are_multiplied_and_none_and_all_stay() -> None:
    share = np.array([0.0, 0.2, 0.5, 1.0])
    found = with_odds_times(share, np.array(4.0))
    assert found == pytest.approx([0.0, 0.5, 0.8, 1.0])
    assert with_odds_times(found, np.array(0.25)) == pytest.approx(share)
