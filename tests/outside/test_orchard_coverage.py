"""80 % ranges of rows hold about four of five truths of simulated orchards."""

import pytest

from tests.outside.orchard_coverage import tally


@pytest.mark.long
def test_a_few_orchards() -> None:
    """So few that only a gross slip shows: of some 100 ranges each, correlated within orchards."""
    found = tally(range(3))
    for what in ("cultivar's needs", "fruit set", "ready in 5 days", "pick 1 of 3"):
        assert 0.6 <= found.share(what) <= 0.97, what


@pytest.mark.long
@pytest.mark.timeout(900)
def test_ranges_hold_as_often_as_they_say() -> None:
    """Rows whose fruit gives, and what is learned of cultivars: 75 to 85 %, and 3 more either way
    for the luck of 40 orchards (of 100 they lie between 78.9 and 85.7). Where none gives yet
    nothing is the usual truth and the usual low end, so that these hold more often."""
    found = tally(range(40))
    for what in ("needs", "spread", "pace"):
        assert 0.72 <= found.share(f"cultivar's {what}") <= 0.88, what
    assert 0.75 <= found.share("fruit set") <= 0.85
    for what in ("ready in 2 days", "ready in 5 days", "ready in 9 days", "lost in 5 days"):
        assert 0.72 <= found.share(what) <= 0.88, what
    for what in ("pick 1 of 3", "pick 2 of 3", "pick 3 of 3"):
        assert 0.72 <= found.share(what) <= 0.88, what
        assert found.share(f"{what}, none gave yet") >= 0.8, what
