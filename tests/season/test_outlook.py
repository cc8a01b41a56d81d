"""Shares at any hour, and ages looked up in two ways."""

import numpy as np
import pytest

from ripenroom.records.crop.library import shipped_profiles
from ripenroom.season.batch_columns import BookOutlook
from ripenroom.season.projector import Projector
from tests.season.farm import NOW
from tests.season.test_projector import LISBON, any_season


@pytest.fixture(scope="module")
def outlook() -> BookOutlook:
    return Projector(shipped_profiles(), LISBON).outlook(any_season(9, batches=120), NOW)


@pytest.fixture(scope="module")
def hours(outlook: BookOutlook) -> np.ndarray:
    picked = outlook.lines.batches.picked_h
    return np.asarray(np.linspace(picked.min() - 50.0, picked.max() + 900.0, 97))


def test_shares_are_shares_and_none_comes_back_from_being_past(
    outlook: BookOutlook, hours: np.ndarray
) -> None:
    ready, past = outlook.shares(hours)
    picked = outlook.lines.batches.picked_h[:, None] <= hours
    assert (ready[picked] >= -1e-6).all()
    assert (past[picked] >= -1e-6).all()
    ripens = outlook.batches.ripens[:, None]
    assert ((ready + past)[picked] <= np.broadcast_to(ripens, ready.shape)[picked] + 1e-6).all()
    gone = np.where(picked[:, :-1], np.diff(past, axis=1), 0.0)
    # The shares' own accuracy (see ripenroom.science.spread) is less where a rate is very doubtful.
    slack = np.where(outlook.gaining.way.rate_sd > 0.4, 1e-2, 3e-3)
    assert (gone >= -slack[:, None]).all()


def test_a_range_holds_its_median(outlook: BookOutlook, hours: np.ndarray) -> None:
    low, middle, high = outlook.ready_range(hours)
    picked = outlook.lines.batches.picked_h[:, None] <= hours
    assert (low <= middle + 1e-6)[picked].all()
    assert (middle <= high + 1e-6)[picked].all()


def test_own_hours_and_common_hours_tell_the_same(outlook: BookOutlook) -> None:
    """The range at one hour of each batch is the range of all batches at that hour."""
    size = len(outlook.lines.ids)
    for at_h in outlook.lines.batches.picked_h.max() + np.array([5.0, 77.0, 400.0]):
        low, high = outlook.ready_range_at(np.full(size, at_h))
        common_low, _, common_high = outlook.ready_range(np.array([at_h]))
        np.testing.assert_allclose(low, common_low[:, 0], atol=1e-9)
        np.testing.assert_allclose(high, common_high[:, 0], atol=1e-9)


def test_supply_begins_at_the_pick_and_ends_with_an_allowance(
    outlook: BookOutlook, hours: np.ndarray
) -> None:
    there = outlook.in_supply(hours)
    assert set(np.unique(there)) == {0.0, 1.0}
    before = hours < outlook.lines.batches.picked_h[:, None]
    assert not there[before].any()
    changes = np.abs(np.diff(there, axis=1)).sum(axis=1)
    assert changes.max() <= 2.0
