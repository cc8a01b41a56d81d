"""Expected shares are the mean of shares under truths drawn one by one."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import expit, logit, ndtri

from ripenroom.planning.prospects import Prospects
from ripenroom.science.ages import Bands
from tests.planning.prospects import prospects


@pytest.mark.parametrize("courses", [1, 3])
def test_the_expected_share_is_the_mean_over_truths(courses: int) -> None:
    pairs = prospects(4, journeys=40, days=1, courses=courses)
    draws = np.random.default_rng(1).standard_normal((3, 1, 40_000))
    saleable, _ = pairs.under(draws[0], draws[1], draws[2])
    assert pairs.expected()[:, 0] == pytest.approx(saleable.mean(axis=1), abs=0.01)


@pytest.mark.parametrize("courses", [1, 3])
def test_lives_and_openings_that_are_drawn_are_as_often_so_as_they_are_likely(courses: int) -> None:
    pairs = with_ripe_lives(4, journeys=40, courses=courses)
    draws = np.random.default_rng(1)
    z = draws.standard_normal((4, 1, 40_000))
    saleable, _ = pairs.under(z[0], z[1], z[2], z[3], draws.random((1, 40_000)))
    assert pairs.expected()[:, 0] == pytest.approx(saleable.mean(axis=1), abs=0.012)


def test_fruit_of_a_short_ripe_life_is_past_sooner() -> None:
    pairs = with_ripe_lives(4, journeys=40)
    none = np.zeros(5)
    slow_to_fast = ndtri([0.1, 0.3, 0.5, 0.7, 0.9])
    _, past = pairs.under(none, none, none, slow_to_fast)
    assert (np.diff(past, axis=1) >= 0.0).all()
    assert (past[:, -1] - past[:, 0]).max() > 0.5
    # Each of these is one clock, all alike likely.
    assert pairs.under(none, none, none)[1][:, 0] == pytest.approx(past.mean(axis=1))
    # Nothing is known of lives beyond the ends of the range.
    beyond = pairs.under(none, none, none, 3.0 * slow_to_fast)[1]
    assert beyond[:, [0, -1]] == pytest.approx(past[:, [0, -1]])


def test_where_ready_begins_later_fruit_is_ready_and_past_later() -> None:
    pairs = replace(with_ripe_lives(4, journeys=40), ready_sd=np.full((40, 1), 0.3))
    later = replace(pairs, ready_age=pairs.ready_age + 0.6)
    none = np.zeros(3)
    drawn = pairs.under(none, none, ready_z=np.array([-1.0, 0.0, 2.0]))
    apart = later.under(none[:1], none[:1])
    for own, told in zip(drawn, apart, strict=True):
        np.testing.assert_allclose(own[:, 2], told[:, 0])
    np.testing.assert_array_equal(drawn[0][:, 1], pairs.under(none[:1], none[:1])[0][:, 0])
    assert (np.diff(drawn[1], axis=1) <= 1e-12).all()


def test_a_truth_has_one_course_of_gates_where_there_are_several() -> None:
    table = prospects(4, journeys=6, days=1, courses=3, weight=np.full((6, 1, 3), 1.0 / 3.0))
    none = np.zeros(4)
    drawn = table.under(none, none, none, opening=np.array([0.1, 0.3, 0.5, 0.9]))[0]
    np.testing.assert_array_equal(drawn[:, 0], drawn[:, 1])
    apart = [
        replace(
            table,
            **{
                name: getattr(table, name)[:, :, course : course + 1]
                for name in (
                    "at_start",
                    "at_horizon",
                    "start_rate_sd",
                    "horizon_rate_sd",
                    "ripe_ago",
                )
            },
            weight=np.ones((6, 1, 1)),
        ).under(none[:1], none[:1], none[:1])[0][:, 0]
        for course in range(3)
    ]
    np.testing.assert_allclose(drawn[:, 1:].T, apart)


def with_ripe_lives(seed: int, journeys: int, courses: int = 1) -> Prospects:
    """Prospects with ripe lives from short to long."""
    plain = prospects(seed, journeys=journeys, days=1, courses=courses)
    lasts = np.random.default_rng(seed).uniform(0.3, 1.5, (journeys, 1, 1, 1))
    lives = lasts * np.exp(-0.5 * ndtri([0.9, 0.7, 0.5, 0.3, 0.1]))
    return replace(plain, ripe_ago=plain.at_start[..., None] - lives)


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


def test_what_can_ripen_is_doubted_apart_from_rate_and_age() -> None:
    table = prospects(2, journeys=6, days=1, ripens_sd=np.full((6, 1), 0.8))
    few, usual, many = table.under(np.zeros(3), np.zeros(3), np.array([-1.0, 0.0, 1.0]))[0].T
    # The odds that a fruit can ripen are e^0.8 times as high with each sd.
    ready = usual / expit(np.sqrt(1.0 + np.pi / 8.0 * 0.64) * logit(table.ripens[:, 0]))
    for share, z in ((few, -1.0), (many, 1.0)):
        odds = usual / ready / (1.0 - usual / ready) * np.exp(0.8 * z)
        assert share == pytest.approx(ready * odds / (1.0 + odds))


def test_where_all_or_none_can_ripen_there_is_no_doubt_of_it() -> None:
    for share in (0.0, 1.0):
        table = prospects(2, journeys=6, days=1, ripens=np.full((6, 1), share))
        found = table.under(np.zeros(3), np.zeros(3), np.array([-2.0, 0.0, 2.0]))[0]
        assert (found == found[:, :1]).all()


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


def test_truths_of_all_pairs_may_be_told_once() -> None:
    table = prospects(5, journeys=9, days=1, bands=two_bands(9))
    z = np.array([-1.0, 0.0, 1.0])
    once = table.under(z, np.zeros(3))
    every = table.under(np.tile(z, (9, 1)), np.zeros((9, 3)))
    np.testing.assert_array_equal(once, every)


def test_fruit_of_two_bands_is_what_it_would_be_apart() -> None:
    whole = prospects(5, journeys=9, days=1, bands=two_bands(9))
    apart = [
        prospects(
            5,
            journeys=9,
            days=1,
            mean_age=whole.mean_age + off * whole.fruit_sd,
            fruit_sd=sd * whole.fruit_sd,
        ).expected()
        for off, sd in ((-1.2, 0.5), (0.8, 0.7))
    ]
    np.testing.assert_allclose(whole.expected(), 0.4 * apart[0] + 0.6 * apart[1], atol=1e-9)


def two_bands(journeys: int) -> Bands:
    """Four in ten young, six in ten old."""
    part, off_sds, sds = (
        np.tile(column, (journeys, 1)) for column in ([0.4, 0.6], [-1.2, 0.8], [0.5, 0.7])
    )
    return Bands.of_parts(part, off_sds, sds)


def test_a_rough_share_is_near_the_expected_one() -> None:
    pairs = prospects(4, journeys=400, days=3)
    off = pairs.expected_roughly() - pairs.expected()
    assert np.abs(off).max() < 0.12
    assert off.std() < 0.03
    assert abs(off.mean()) < 0.01
