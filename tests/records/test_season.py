"""The season's own record."""

from datetime import date

import pytest

from ripenroom.records.season import SeasonDetails


@pytest.mark.parametrize(("currency", "decimals"), [("EUR", 2), ("USD", 2), ("JPY", 0)])
def test_amounts_have_the_decimals_of_the_currency(currency: str, decimals: int) -> None:
    season = SeasonDetails(
        id="season",
        name="Farm",
        zone="Asia/Tokyo",
        first_day=date(2026, 8, 1),
        units="metric",
        currency=currency,
    )
    assert season.currency_decimals == decimals
