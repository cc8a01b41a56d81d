"""80 % ranges of rows hold about four of five truths where whole seasons go through the records."""

import pytest

from tests.outside.rows_coverage import tally


@pytest.mark.long
@pytest.mark.timeout(900)
@pytest.mark.parametrize("by_heat", [True, False])
def test_ranges_hold_though_fruit_goes_by_another_law(by_heat: bool) -> None:
    """75 to 85 % are aimed at, and 5 more either way for the luck of 20 seasons."""
    found = tally(range(20), by_heat)
    for what in ("hanging now", "ready in 3 days", "ready in 7 days", "lost within 5 days"):
        assert 0.7 <= found.share(what) <= 0.9, what
