"""In which units a season is read where nobody has chosen any."""

import pytest

from ripenroom.records.season import usual_territory, usual_units


@pytest.mark.parametrize(
    ("locale", "environment", "units"),
    [
        ("en_US", {}, "us"),
        ("es_US", {"LANG": "de_DE.UTF-8"}, "us"),
        ("en_GB", {}, "metric"),
        ("en", {}, "metric"),
        ("C", {}, "metric"),
        ("", {}, "metric"),
        ("", {"LANG": "en_US.UTF-8"}, "us"),
        # A desktop in American English in a country that weighs in kilograms.
        ("en_US", {"LANG": "en_US.UTF-8", "LC_MEASUREMENT": "de_DE.UTF-8"}, "metric"),
        ("de_DE", {"LC_MEASUREMENT": "en_US.UTF-8@euro"}, "us"),
        ("en_US", {"LC_ALL": "de_DE.UTF-8", "LC_MEASUREMENT": "en_US.UTF-8"}, "metric"),
        # What names no country leaves it to the next that does.
        ("en_US", {"LC_ALL": "C.UTF-8", "LANG": "de_DE.UTF-8"}, "us"),
        ("de_DE", {"LC_ALL": "", "LANG": "en_US.UTF-8"}, "metric"),
    ],
)
def test_units_are_those_of_the_country(
    locale: str, environment: dict[str, str], units: str
) -> None:
    assert usual_units(locale, environment) == units


@pytest.mark.parametrize(
    ("locale", "environment", "territory"),
    [
        ("en_US", {}, "US"),
        ("C", {}, ""),
        ("en_US", {"LC_MONETARY": "en_GB.UTF-8", "LC_MEASUREMENT": "de_DE.UTF-8"}, "GB"),
        ("en_US", {"LC_ALL": "de_CH.UTF-8", "LC_MONETARY": "en_GB.UTF-8"}, "CH"),
    ],
)
def test_money_is_that_of_the_country(
    locale: str, environment: dict[str, str], territory: str
) -> None:
    assert usual_territory(locale, environment) == territory
