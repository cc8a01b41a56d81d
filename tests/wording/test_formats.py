"""Numbers and dates as the user reads and types them."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from ripenroom.records.season import SeasonDetails
from ripenroom.season.moments import to_hours
from ripenroom.wording.formats import NEVER, Formats

METRIC = SeasonDetails(
    id="s",
    name="A season",
    zone="Europe/Berlin",
    first_day=date(2026, 9, 1),
    units="metric",
    currency="EUR",
)
BERLIN = ZoneInfo("Europe/Berlin")
US = replace(METRIC, units="us", currency="USD")


def words(locale: str = "en_US", season: SeasonDetails = METRIC) -> Formats:
    return Formats(locale, season, BERLIN)


def test_numbers_are_read_with_the_decimal_mark_of_the_locale() -> None:
    assert words("de_DE").parse_number("1,5") == 1.5
    assert words("en_US").parse_number(" 1.5 ") == 1.5


@pytest.mark.parametrize("typed", ["1.5", "", "12x", "1,5,2", "inf", "nan"])
def test_what_is_no_number_of_the_locale_is_not_guessed_at(typed: str) -> None:
    assert words("de_DE").parse_number(typed) is None


@pytest.mark.parametrize(("locale", "said"), [("de_DE", "Fri 2 Oct"), ("en_GB", "Fri 2 Oct")])
def test_a_short_day_ends_no_sentence(locale: str, said: str) -> None:
    """Names of days and months by CLDR, without the full stops of their abbreviations."""
    assert words(locale).day(date(2026, 10, 2)) == said


def test_temperatures_go_there_and_back_in_both_units() -> None:
    assert words().temperature(3.0) == "3.0 °C"
    assert words(season=US).temperature(3.0) == "37.4 °F"
    assert words(season=US).parse_temperature_c("37.4 °F") == pytest.approx(3.0)
    assert words().parse_temperature_c("-1.5") == -1.5


def test_a_difference_of_temperatures_has_no_offset() -> None:
    assert words(season=US).temperature_difference(5.0) == "9.0 °F"
    assert words(season=US).difference_k(9.0) == pytest.approx(5.0)


def test_days_are_those_of_the_home_zone() -> None:
    late = datetime(2026, 9, 25, 23, 30, tzinfo=UTC)
    assert words("C").moment(late) == words("C").moment(to_hours(late))
    assert words("C").day(late) == "Sat 26 Sep"
    assert words("C").day(date(2026, 9, 26)) == "Sat 26 Sep"


def test_ranges_of_days_say_the_month_once() -> None:
    def hours(month: int, day: int) -> float:
        return to_hours(datetime(2026, month, day, 12, tzinfo=UTC))

    assert words("C").day_range(hours(9, 24), hours(9, 27)) == "24–27 Sep"
    assert words("C").day_range(hours(9, 29), hours(10, 2)) == "29 Sep–2 Oct"
    assert words("C").day_range(hours(9, 24), hours(9, 24)) == "24 Sep"


def test_what_never_happens_is_a_dash() -> None:
    nothing = float("nan")
    assert words().day(nothing) == NEVER
    assert words().day_range(nothing, 1.0) == NEVER
    assert words().share(nothing) == NEVER
    assert words().number(nothing) == NEVER


def test_shares_and_their_ranges() -> None:
    assert words("C").share(0.734) == "73 %"
    assert words("C").share_range(0.5, 0.7) == "50–70 %"
    assert words("C").share_range(0.7, 0.7) == "70 %"


def test_no_zero_is_negative() -> None:
    assert words().number(-0.2) == "0"


@pytest.mark.parametrize(
    ("locale", "currency", "said"),
    [
        ("en_GB", "EUR", "€12.50"),
        ("de_DE", "EUR", "12,50 €"),
        ("fr_FR", "EUR", "12,50 €"),
        ("en_US", "USD", "$12.50"),
        ("en_GB", "USD", "US$12.50"),
        ("C", "EUR", "€12.50"),
        ("en_GB", "CHF", "CHF 12.50"),
        ("de_DE", "PLN", "12,50 PLN"),
        # Without cents nothing is divided.
        ("en_US", "JPY", "¥1250"),
    ],
)
def test_money_is_written_as_the_locale_has_it(locale: str, currency: str, said: str) -> None:
    """Patterns by CLDR, in which a space never breaks the line."""
    own = Formats(locale, replace(METRIC, currency=currency), BERLIN)
    money = own.money(1250)
    assert " " not in money
    assert " ".join(money.split()) == said


def test_a_range_of_money_has_one_sign() -> None:
    assert words().in_currency("224 (102–317)") == "€224 (102–317)"


def test_a_full_day_has_its_year() -> None:
    assert words("C").full_day(date(2026, 9, 26)) == "26 Sep 2026"


# CLDR 46, en_US: availableFormats "MMM d", "MMM d, y"; percentFormats "#,##0%". We leave out the
# comma behind a weekday: several days often stand in one sentence.
def test_the_month_goes_first_where_it_does_in_figures() -> None:
    american = words("en_US")
    day = date(2026, 11, 30)
    assert american.day(day) == "Mon Nov 30"
    assert american.full_day(day) == "Nov 30, 2026"
    low = datetime(2026, 11, 24, 12, tzinfo=BERLIN)
    assert american.day_range(to_hours(low), to_hours(low + timedelta(days=3))) == "Nov 24–27"
    assert american.day_range(to_hours(low), to_hours(low + timedelta(days=9))) == "Nov 24–Dec 3"
    assert words("en_GB").day(day) == "Mon 30 Nov"


def test_a_percent_sign_stands_as_in_the_country() -> None:
    assert words("en_US").share(0.55) == "55%"
    assert words("C").share_range(0.5, 0.55) == "50–55 %"
