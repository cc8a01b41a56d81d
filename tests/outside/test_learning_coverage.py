"""80 % ranges over simulated seasons; ``python -m tests.outside.coverage`` is the long run."""

import numpy as np
import pytest

from tests.outside.coverage import JUDGES, ready_date_errors, tally
from tests.outside.learning_seasons import Judged

pytestmark = pytest.mark.long

SEASONS = 30
"""So many seasons leave some 6 % either way in the shares below."""


@pytest.mark.parametrize("judged", JUDGES)
def test_ranges_hold_about_as_often_as_they_say(judged: Judged) -> None:
    found = tally(judged, range(SEASONS))
    for what in found.held:
        assert 0.65 <= found.share(what) <= 0.93, what


@pytest.mark.parametrize("judged", JUDGES)
def test_checks_bring_the_ready_date_nearer(judged: Judged) -> None:
    seeds = range(SEASONS)
    none, _, other_before = ready_date_errors(judged, 0, seeds)
    three, _, other = ready_date_errors(judged, 3, seeds)
    assert np.median(three) < 0.7 * np.median(none)
    assert np.median(other) < np.median(other_before)
