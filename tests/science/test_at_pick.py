"""Age at pick against optimisers and quadrature that share no code with it."""

from collections.abc import Callable, Sequence
from itertools import product

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.special import ndtr
from scipy.stats import norm, truncnorm

from ripenroom.science.able_to_ripen import AbleToRipen, fruit_that_ripens
from ripenroom.science.ages import AgeAtPick, Prior
from ripenroom.science.at_pick import age_from_feel, age_from_nothing, age_from_readings
from ripenroom.science.softening import Floats, age_from_firmness_n, firmness_n_at_age

HIGH_N, LOW_N = 50.0, 2.5
EDGES = (-2.5, -0.9, 0.4, 3.6)
SPREAD_DOUBT = 0.4
LOOKED_AT_SD = 2.0

feel_counts = st.lists(st.integers(0, 12), min_size=5, max_size=5)


def prior(batches: int = 1, mean: float = -1.8, sd: float = 1.1, fruit_sd: float = 0.6) -> Prior:
    return Prior(*(np.full(batches, value) for value in (mean, sd, fruit_sd)))


def from_feel(*counts: list[int], judgement_sd: float = 0.0) -> AgeAtPick:
    batches = len(counts)
    return age_from_feel(
        np.array(counts, float),
        np.tile(EDGES, (batches, 1)),
        np.full(batches, judgement_sd),
        prior(batches),
    )


def from_readings(readings_n: Floats, error_n: float = 1.5) -> AgeAtPick:
    column = np.ones(1)
    return age_from_readings(
        column * readings_n.size,
        column * readings_n.mean(),
        column * np.square(readings_n - readings_n.mean()).sum(),
        column * error_n,
        column * HIGH_N,
        column * LOW_N,
        prior(),
    )


def log_prior(mean: npt.ArrayLike, log_sd: npt.ArrayLike) -> Floats:
    off = (np.asarray(mean) + 1.8) / LOOKED_AT_SD
    wide = (np.asarray(log_sd) - np.log(0.6)) / SPREAD_DOUBT
    return np.asarray(-0.5 * (off * off + wide * wide))


def log_posterior_of_feel(
    mean: npt.ArrayLike, log_sd: npt.ArrayLike, counts: Sequence[int]
) -> Floats:
    """From the upper or lower tail, whichever keeps the digits of each interval."""
    total = log_prior(mean, log_sd)
    walls = [-np.inf, *EDGES, np.inf]
    for count, below, above in zip(counts, walls[:-1], walls[1:], strict=True):
        low, high = ((wall - np.asarray(mean)) / np.exp(log_sd) for wall in (below, above))
        share = np.where(low > 0.0, ndtr(-low) - ndtr(-high), ndtr(high) - ndtr(low))
        total = total + count * np.log(np.maximum(share, 1e-300))
    return total


def log_posterior_of_readings(
    mean: float, log_sd: float, readings_n: Floats, error_n: float
) -> float:
    """The batch's firmness taken as Normal, with mean and variance by a fine sum over fruit."""
    u = np.linspace(-7.0, 7.0, 281)
    weight = np.exp(-0.5 * u * u) / np.exp(-0.5 * u * u).sum()
    firmness = firmness_n_at_age(mean + np.exp(log_sd) * u, HIGH_N, LOW_N)
    expected = float(firmness @ weight)
    variance = float(np.square(firmness - expected) @ weight) + error_n**2
    likelihood = norm.logpdf(readings_n, expected, np.sqrt(variance)).sum()
    return float(likelihood + log_prior(mean, log_sd))


def best_of_many_starts(log_posterior: Callable[[float, float], float]) -> tuple[Floats, float]:
    """Where the posterior is highest, and how high, by a simplex from eight places."""

    def depth(at: Floats) -> float:
        return -log_posterior(float(at[0]), float(at[1]))

    found = [
        minimize(depth, np.array(start), method="Nelder-Mead", options={"xatol": 1e-7})
        for start in product((-4.0, -1.5, 1.0, 4.0), (-1.2, -0.2))
    ]
    best = min(found, key=lambda result: float(result.fun))
    return np.asarray(best.x, float), -float(best.fun)


MIXED = [
    [3, 9, 6, 2, 0],
    [0, 12, 1, 0, 0],
    [0, 0, 1, 19, 0],
    [0, 0, 0, 15, 5],
    [19, 1, 0, 0, 0],
    [200, 100, 0, 0, 0],
    [0, 1, 1, 0, 0],
]


@pytest.mark.parametrize("counts", MIXED)
def test_mixed_feels_are_at_the_mode(counts: list[int]) -> None:
    found = from_feel(counts)
    best, height = best_of_many_starts(lambda m, s: float(log_posterior_of_feel(m, s, counts)))
    mean, log_sd = found.mean[0], np.log(found.fruit_sd[0])
    assert log_posterior_of_feel(mean, log_sd, counts) == pytest.approx(height, abs=1e-6)
    np.testing.assert_allclose([mean, log_sd], best, atol=2e-3)


@pytest.mark.parametrize("counts", [[1, 0, 0, 0, 1], [10, 0, 0, 0, 10], [8, 0, 0, 12, 0]])
def test_what_no_bell_can_be_is_its_feels_apart(counts: list[int]) -> None:
    """Each feel's fruit as if it had been sorted, and the doubt of what is not known of each."""
    found = from_feel(counts)
    bands = found.bands
    assert bands is not None
    own = np.flatnonzero(bands.part[0])
    ages = found.mean[0] + found.fruit_sd[0] * bands.off_sds[0, own]
    for feel, count in enumerate(counts):
        low, high = [-np.inf, *EDGES, np.inf][feel : feel + 2]
        of_feel = own[(ages > low) & (ages < high)]
        assert float(bands.part[0, of_feel].sum()) == pytest.approx(count / sum(counts))
        if count:
            alone = from_feel([20 * (n == feel) for n in range(5)])
            middle = found.mean[0] + found.fruit_sd[0] * bands.off_sds[0, of_feel].mean()
            assert middle == pytest.approx(float(alone.mean[0]), abs=0.03)


@pytest.mark.parametrize("counts", [[3, 9, 6, 2, 0], [0, 6, 6, 0, 0], [2, 8, 3, 1, 0]])
def test_doubt_of_mixed_feels_is_that_of_the_whole_posterior(counts: list[int]) -> None:
    """The curvature at the mode against the posterior summed on a grid."""
    mean, log_sd = np.linspace(-5.0, 4.0, 361), np.linspace(-2.2, 1.2, 137)
    height = log_posterior_of_feel(mean[:, None], log_sd, counts)
    weight = np.exp(height - height.max()).sum(axis=1)
    weight /= weight.sum()
    middle = float(weight @ mean)
    sd = float(np.sqrt(weight @ np.square(mean - middle)))
    found = from_feel(counts)
    assert float(found.doubt_sd[0]) == pytest.approx(sd, rel=0.1)
    assert float(found.mean[0]) == pytest.approx(middle, abs=0.15 * sd)


@given(counts=feel_counts.filter(lambda counts: np.count_nonzero(counts[:4]) > 1))
def test_every_fruit_a_feel_softer_is_an_older_batch(counts: list[int]) -> None:
    before, after = from_feel([*counts[:4], 0], [0, *counts[:4]]).mean
    assert after > before + 0.1


@given(counts=feel_counts.filter(lambda counts: sum(counts) > 0))
def test_always_finite_and_never_certain(counts: list[int]) -> None:
    found = from_feel(counts)
    assert np.isfinite(found.mean[0])
    assert 0.05 < found.doubt_sd[0] <= LOOKED_AT_SD + 1e-6
    assert 0.1 < found.fruit_sd[0] < 8.0


def test_more_fruit_leave_less_doubt() -> None:
    few, many = from_feel([1, 3, 2, 0, 0], [10, 30, 20, 0, 0]).doubt_sd
    assert many < few / 2.0


def test_many_batches_answer_as_each_alone() -> None:
    together = from_feel(*MIXED, [0, 8, 0, 0, 0])
    for line, counts in enumerate([*MIXED, [0, 8, 0, 0, 0]]):
        alone = from_feel(counts)
        assert together.mean[line] == pytest.approx(float(alone.mean[0]), abs=1e-3)
        assert together.doubt_sd[line] == pytest.approx(float(alone.doubt_sd[0]), abs=1e-3)


def test_a_hand_that_is_off_adds_to_the_doubt_whatever_the_number() -> None:
    for counts in ([300, 900, 600, 0, 0], [0, 7, 0, 0, 0]):
        sure = from_feel(counts)
        unsure = from_feel(counts, judgement_sd=0.4)
        assert unsure.doubt_sd[0] == pytest.approx(np.hypot(sure.doubt_sd[0], 0.4))
        assert unsure.mean[0] == sure.mean[0]


def test_the_truth_is_found_from_many_fruit() -> None:
    truth_mean, truth_sd = -0.7, 0.9
    walls = (np.array([-np.inf, *EDGES, np.inf]) - truth_mean) / truth_sd
    counts = np.round(4000 * np.diff(ndtr(walls))).astype(int).tolist()
    found = from_feel(counts)
    assert found.mean[0] == pytest.approx(truth_mean, abs=0.05)
    assert found.fruit_sd[0] == pytest.approx(truth_sd, abs=0.05)


# Fruit sorted into one feel.


@pytest.mark.parametrize("feel", [0, 1, 2, 3, 4])
def test_sorted_fruit_has_the_moments_of_a_cut_normal(feel: int) -> None:
    counts = [0] * 5
    counts[feel] = 12
    found = from_feel(counts)
    walls = [-np.inf, *EDGES, np.inf]
    sd = np.hypot(1.1, 0.6) if feel == 0 else LOOKED_AT_SD
    cut = truncnorm((walls[feel] + 1.8) / sd, (walls[feel + 1] + 1.8) / sd, loc=-1.8, scale=sd)
    assert found.mean[0] == pytest.approx(cut.mean(), abs=5e-3)
    variance = found.doubt_sd[0] ** 2 + found.fruit_sd[0] ** 2
    assert variance == pytest.approx(cut.var(), rel=5e-3)


def test_in_a_narrow_feel_sorted_fruit_fills_it_and_in_a_wide_one_it_huddles() -> None:
    def sorted_into(low: float, high: float) -> AgeAtPick:
        edges = np.array([[low, high, high + 5.0, high + 9.0]])
        return age_from_feel([[0, 9, 0, 0, 0]], edges, [0.0], prior())

    narrow, wide = sorted_into(-0.1, 0.1), sorted_into(-6.0, 3.0)
    assert narrow.fruit_sd[0] == pytest.approx(0.2 / np.sqrt(12.0), rel=0.02)
    assert narrow.doubt_sd[0] < 0.2 * narrow.fruit_sd[0]
    assert wide.fruit_sd[0] == pytest.approx(0.6, abs=0.05)
    assert wide.doubt_sd[0] > 2.0 * wide.fruit_sd[0]


def test_how_many_fruit_were_sorted_tells_nothing() -> None:
    few, many = from_feel([0, 1, 0, 0, 0], [0, 500, 0, 0, 0]).mean
    assert few == many


def test_sorted_feels_come_in_order() -> None:
    ages = from_feel(*(np.eye(5, dtype=int) * 9).tolist()).mean
    assert (np.diff(ages) > 0.5).all()


def test_a_feel_far_from_the_prior_still_gets_an_age_inside_it() -> None:
    edges = np.array([[20.0, 21.0, 22.0, 23.0]])
    found = age_from_feel([[0, 0, 4, 0, 0]], edges, [0.0], prior())
    assert np.isfinite(found.mean[0])
    assert np.isfinite(found.doubt_sd[0])


# Gauge readings.

READINGS = [
    np.array([48.0, 45.0, 46.5, 47.0, 44.0]),
    np.array([20.0, 31.0, 12.0, 25.0, 40.0, 8.0]),
    np.array([5.0, 4.1, 6.2, 5.5, 4.8, 9.0]),
    np.array([3.0, 2.6, 2.9, 3.3]),
    np.array([26.0]),
    np.array([51.0, 52.0, 50.5]),
    np.array([10.0] * 12),
]


@pytest.mark.parametrize("readings_n", READINGS)
def test_readings_are_at_the_mode(readings_n: Floats) -> None:
    found = from_readings(readings_n)
    best, height = best_of_many_starts(
        lambda m, s: log_posterior_of_readings(m, s, readings_n, 1.5)
    )
    mean, log_sd = float(found.mean[0]), float(np.log(found.fruit_sd[0]))
    own_height = log_posterior_of_readings(mean, log_sd, readings_n, 1.5)
    assert own_height == pytest.approx(height, abs=1e-4)
    np.testing.assert_allclose([mean, log_sd], best, atol=2e-2)


def test_the_truth_is_found_from_many_readings() -> None:
    draw = np.random.default_rng(2)
    ages = draw.normal(-0.6, 0.8, 3000)
    readings_n = firmness_n_at_age(ages, HIGH_N, LOW_N) + draw.normal(0.0, 1.5, ages.size)
    found = from_readings(readings_n)
    assert found.mean[0] == pytest.approx(-0.6, abs=0.05)
    assert found.fruit_sd[0] == pytest.approx(0.8, abs=0.06)


def test_the_mean_reading_sets_the_age_of_even_fruit() -> None:
    found = from_readings(np.linspace(19.0, 21.0, 40), error_n=0.5)
    assert found.mean[0] == pytest.approx(float(age_from_firmness_n(20.0, HIGH_N, LOW_N)), abs=0.1)


def test_the_gauges_own_error_stays_however_many_readings() -> None:
    # Half of 1.5 N, by the slope of the curve: 47.5 / 4 N per unit of age at the midpoint.
    found = from_readings(np.full(20_000, (HIGH_N + LOW_N) / 2.0))
    assert found.doubt_sd[0] == pytest.approx(0.75 / (47.5 / 4.0), rel=0.1)


def test_softer_readings_are_older() -> None:
    means = [float(from_readings(np.full(5, n)).mean[0]) for n in (49.0, 40.0, 26.0, 12.0, 4.0)]
    assert (np.diff(means) > 0.3).all()


# Nothing noted, and fruit that will not ripen.


def test_nothing_noted_is_the_prior() -> None:
    found = age_from_nothing(prior(2))
    assert found.mean.tolist() == [-1.8, -1.8]
    assert found.doubt_sd.tolist() == [1.1, 1.1]
    assert found.fruit_sd.tolist() == [0.6, 0.6]


def able(half_n: float = 40.0, width_n: float = 2.0, half_sd: float = 0.3) -> AbleToRipen:
    return AbleToRipen(
        *(np.array([figure]) for figure in (half_n, width_n, half_sd, HIGH_N, LOW_N))
    )


def ripening(mean: float, fruit_sd: float, doubt_sd: float = 0.3) -> tuple[float, AgeAtPick]:
    age = AgeAtPick(np.array([mean]), np.array([doubt_sd]), np.array([fruit_sd]))
    share, of_them = fruit_that_ripens(age, able())
    return float(share[0]), of_them


@pytest.mark.parametrize(("mean", "fruit_sd"), [(-1.4, 0.6), (-2.5, 1.0), (0.0, 0.5)])
def test_fruit_that_ripens_is_the_part_that_was_soft_enough(mean: float, fruit_sd: float) -> None:
    rng = np.random.default_rng(4)
    fruit = rng.normal(mean, fruit_sd, 400_000)
    firmness = firmness_n_at_age(fruit, HIGH_N, LOW_N)
    drawn = fruit[rng.random(fruit.size) < 1.0 / (1.0 + np.exp((firmness - 40.0) / 2.0))]
    share, age = ripening(mean, fruit_sd)
    assert share == pytest.approx(drawn.size / fruit.size, abs=0.004)
    assert age.mean[0] == pytest.approx(drawn.mean(), abs=0.02)
    assert age.fruit_sd[0] == pytest.approx(drawn.std(), abs=0.02)


def test_even_fruit_at_the_half_way_firmness_ripens_by_half() -> None:
    half_way = float(age_from_firmness_n(40.0, HIGH_N, LOW_N))
    assert ripening(half_way, 0.0)[0] == pytest.approx(0.5)


def test_hard_fruit_fails_and_soft_fruit_does_not() -> None:
    assert ripening(-5.0, 0.3)[0] < 0.02
    assert ripening(1.0, 0.3)[0] > 0.99


def test_soft_fruit_is_as_old_as_its_batch() -> None:
    age = ripening(1.0, 0.3)[1]
    assert age.mean[0] == pytest.approx(1.0, abs=1e-3)
    assert age.doubt_sd[0] == pytest.approx(0.3, abs=1e-3)


@pytest.mark.parametrize("mean", [-1.4, -2.0, -2.5])
def test_doubt_is_what_the_age_of_the_batch_and_the_mark_leave(mean: float) -> None:
    share, age = ripening(mean, 0.6)
    later = ripening(mean + 0.01, 0.6)[1]
    by_mean = (later.mean[0] - age.mean[0]) / 0.01
    assert share < 0.8
    assert age.doubt_sd[0] == pytest.approx(np.hypot(by_mean, 1.0 - by_mean) * 0.3, rel=0.02)


def test_where_no_fruit_ripens_its_age_is_that_of_the_batch() -> None:
    hard = AgeAtPick(np.array([-13.0]), np.array([0.3]), np.array([0.1]))
    share, age = fruit_that_ripens(hard, able(half_n=30.0, width_n=0.5))
    assert share[0] < 1e-6
    assert (age.mean[0], age.fruit_sd[0]) == (-13.0, 0.1)
