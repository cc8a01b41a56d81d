"""Picked-over fruit against fruit drawn one by one, with a hand that is off."""

import numpy as np
import numpy.typing as npt
import pytest
from scipy.special import expit, logit, ndtr

from ripenroom.science.ages import Bands
from ripenroom.science.picked_over import EACH_FRUIT, Believed, PickingOver, after
from ripenroom.science.softening import Floats
from tests.draws import first_every_day

FARMS, FRUIT = 60_000, 60
Flags = npt.NDArray[np.bool_]

HAND_SD, SPREAD_SD, RIPENS_SD = 0.4, 0.3, 1.0


def drawn(
    before: Believed, opened: int, fit_from: float, fit_to: float, seed: int = 4
) -> tuple[Floats, Flags, Flags, Flags]:
    """Ages of so many batches' fruit, which can ripen, and which seemed firm, and which soft."""
    draw = np.random.default_rng(seed)
    mean = draw.normal(before.mean, before.doubt_sd, (FARMS, 1))
    spread = before.fruit_sd * np.exp(draw.normal(0.0, SPREAD_SD, (FARMS, 1)))
    age = mean + spread * draw.normal(0.0, 1.0, (FARMS, FRUIT))
    odds = logit(min(before.ripens, 1.0 - 1e-9)) + RIPENS_SD * draw.standard_normal((FARMS, 1))
    able = draw.random((FARMS, FRUIT)) < expit(odds)
    hand = draw.normal(0.0, HAND_SD, (FARMS, 1))
    seems = age + hand + draw.normal(0.0, EACH_FRUIT * HAND_SD, age.shape)
    looked_at = np.arange(FRUIT) < opened
    firm = looked_at & (~able | (seems < fit_from))
    soft = looked_at & able & (seems > fit_to)
    return age, able, firm, soft


def ready_share(belief: Believed, gained: float, ready: float) -> float:
    """Expected share of all fruit that is beyond an age, once so much was gained."""
    bands = belief.bands
    mean = belief.mean + bands.off_sds[0] * belief.fruit_sd + gained
    sd = np.hypot(bands.sds[0] * belief.fruit_sd, belief.doubt_sd)
    return float(belief.ripens * (bands.part[0] * ndtr((mean - ready) / sd)).sum())


@pytest.mark.parametrize("doubt_sd", [0.3, 1.0])
@pytest.mark.parametrize("ripens", [1.0, 0.85])
@pytest.mark.parametrize("opened", first_every_day([20, 60]))
def test_what_stays_gets_ready_as_fruit_drawn_one_by_one(
    doubt_sd: float, ripens: float, opened: int
) -> None:
    before = Believed(1.0, doubt_sd, 0.6, ripens, Bands.bell(1))
    fit_from, fit_to = 1.2, 9.0
    age, able, firm, soft = drawn(before, opened, fit_from, fit_to)
    taken = (np.arange(FRUIT) < opened) & ~firm & ~soft
    stays = ~taken & ~soft
    at_once, later = [0.0], [0.0]
    for wanted in (0.25, 0.5, 0.8):
        number = round(wanted * opened)
        alike = np.flatnonzero(np.abs(firm.sum(axis=1) - number) <= opened // 40)
        assert alike.size > 400
        picking = PickingOver(FRUIT, number, opened - number, 0, 0, fit_from, fit_to, HAND_SD)
        left, gone = after(before, picking, taken=False), after(before, picking, taken=True)
        assert left.mean < gone.mean
        for gained in (0.0, 0.4, 0.8, 1.6):
            ready = (age[alike] + gained > 1.6) & able[alike]
            kept, off = stays[alike], taken[alike]
            true_left = (ready & kept).sum() / kept.sum()
            true_taken = (ready & off).sum() / off.sum()
            # Each farm has one mean and one hand: the simulation errs by 0.01 or so.
            errors = later if gained else at_once
            errors.append(abs(ready_share(left, gained, 1.6) - true_left))
            errors.append(abs(ready_share(gone, gained, 1.6) - true_taken))
    assert max(later) < 0.03
    assert max(at_once) < 0.05


def test_what_seemed_firm_is_hardly_ever_ready_that_day() -> None:
    before = Believed(1.0, 0.5, 0.6, 1.0, Bands.bell(1))
    all_opened = PickingOver(50, 25, 25, 0, 0, 1.0, 3.0, 0.1)
    left = after(before, all_opened, taken=False)
    assert ready_share(left, 0.0, 1.0) < 0.25 * ready_share(before, 0.0, 1.0)
    taken = after(before, all_opened, taken=True)
    assert 1.0 - ready_share(taken, 0.0, 1.0) < 0.25 * (1.0 - ready_share(before, 0.0, 1.0))


def test_where_nothing_was_looked_at_nothing_is_learned() -> None:
    before = Believed(1.0, 0.5, 0.6, 0.9, Bands.bell(1))
    left = after(before, PickingOver(50, 0, 0, 0, 0, 1.0, 3.0, 0.4), taken=False)
    assert left.mean == pytest.approx(before.mean, abs=1e-6)
    assert left.doubt_sd == pytest.approx(before.doubt_sd, rel=1e-3)
    # How much fruit differ is not known either, and on average that makes them differ more.
    assert before.fruit_sd <= left.fruit_sd < 1.1 * before.fruit_sd
    # Odds that are doubted make a high share somewhat lower on average.
    assert 0.85 < left.ripens < 0.9


def test_soft_fruit_that_stays_makes_the_rest_older() -> None:
    before = Believed(2.5, 0.5, 0.6, 1.0, Bands.bell(1))
    put_away = after(before, PickingOver(40, 5, 20, 0, 15, 1.5, 3.0, 0.4), taken=False)
    stays = after(before, PickingOver(40, 5, 20, 15, 0, 1.5, 3.0, 0.4), taken=False)
    assert stays.mean > before.mean > put_away.mean


def test_twice_picked_over_is_firmer_still_and_more_of_it_never_ripens() -> None:
    before = Believed(1.0, 0.5, 0.6, 0.9, Bands.bell(1))
    once = after(before, PickingOver(60, 30, 30, 0, 0, 1.0, 3.0, 0.4), taken=False)
    again = Believed(once.mean + 0.5, once.doubt_sd, once.fruit_sd, once.ripens, once.bands)
    twice = after(again, PickingOver(30, 15, 15, 0, 0, 1.0, 3.0, 0.4), taken=False)
    assert twice.mean < again.mean
    assert before.ripens > once.ripens > twice.ripens > 0.0


def test_counts_that_nobody_expected_are_believed() -> None:
    before = Believed(-2.0, 0.3, 0.5, 1.0, Bands.bell(1))
    left = after(before, PickingOver(40, 2, 38, 0, 0, 1.0, 3.0, 0.3), taken=False)
    assert np.isfinite([left.mean, left.doubt_sd, left.fruit_sd, left.ripens]).all()
    assert left.mean < 1.0


def test_where_hardly_any_fruit_stays_firm_more_can_ripen_than_was_thought() -> None:
    """Of ten thousand fruit hardly any is what was squeezed: what is told is of those others."""
    before = Believed(2.5, 0.4, 0.6, 0.7, Bands.bell(1))
    left = after(before, PickingOver(10_000, 2, 97, 0, 0, 0.2, 5.0, 0.4), taken=False)
    assert left.ripens > 0.9
    as_thought = after(before, PickingOver(10_000, 30, 70, 0, 0, 0.2, 5.0, 0.4), taken=False)
    assert as_thought.ripens == pytest.approx(0.7, abs=0.05)
